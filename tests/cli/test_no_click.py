"""evenhand judge --no-click: files whose tempo map is wrong, written by python3-mido."""

import json
import math

import mido

from evenhand_cli import FAILED, GOOD, USAGE, CliTest, main

EXERCISE = """title: Two bars, four times
metre: 4/4
tempo: 80 to 120
|: 16:RLRL RLRL 8:RLRL | 4:RL 8:RL 4:R :|x4
"""
# The same by hand: quarters from the bar line.
BARS = [[0, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5], [0, 1, 2, 2.5, 3]]
STROKES = [4 * bar + at for bar in range(8) for at in BARS[bar % 2]]

# Milliseconds a tick of the files: 960 to the quarter at the 120 that they claim.
TICKS_A_MS = 960 / 500


def seconds_at(tempo):
    """When each stroke comes, if TEMPO gives the quarters a minute at a quarter: in small steps."""
    times, at, now = [], 0.0, 0.0
    for stroke in STROKES:
        while at < stroke - 1e-9:
            now += 60 / tempo(at + 1 / 128) / 64
            at += 1 / 64
        times.append(now)
    return times


class NoClick(CliTest):
    def setUp(self):
        super().setUp()
        self.write("two.txt", EXERCISE)

    def save(self, times, name="take.mid", before=()):
        track, last = mido.MidiTrack(), 0
        track.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(120), time=0))
        for time in [*before, *times]:
            tick = round((time + 2.0) * 1000 * TICKS_A_MS)
            track.append(mido.Message("note_on", channel=9, note=38, velocity=60, time=tick - last))
            last = tick
        file = mido.MidiFile(type=0, ticks_per_beat=960)
        file.tracks = [track]
        file.save(str(self.folder / name))

    def tempo_finding(self, document):
        return next(f for f in document["findings"] if f["aspect"] == "tempo")

    def test_the_files_tempo_is_not_believed(self):
        for bpm in (41.5, 93.0, 171.0):
            with self.subTest(bpm=bpm):
                self.save(seconds_at(lambda at, bpm=bpm: bpm))
                document = self.judge("two.txt", "take.mid", "--no-click")
                self.assertAlmostEqual(document["tempo"]["bpm"], bpm, delta=0.05)
                self.assertIsNone(document["tempo"]["offset_ms"])
                self.assertIs(document["tempo"]["click"], False)
                self.assertLess(document["tempo"]["wander_percent"], 0.5)
                self.assertEqual(document["counts"]["missed"], 0)
                self.assertEqual(document["counts"]["extra"], 0)
                self.assertTrue(all(abs(s["offset_ms"]) < 2 for s in document["strokes"]))
                self.assertEqual(self.tempo_finding(document)["verdict"], "steady")

    def test_drift_and_rubato_are_told_apart(self):
        self.save(seconds_at(lambda at: 100 * (1 - 0.08 * at / 32)))
        finding = self.tempo_finding(self.judge("two.txt", "take.mid", "--no-click"))
        self.assertEqual((finding["verdict"], finding["direction"]), ("drifting", "dragging"))
        self.assertAlmostEqual(finding["value"], -8.0, delta=0.6)
        self.save(seconds_at(lambda at: 100 * (1 + 0.05 * math.sin(2 * math.pi * at / 32))))
        document = self.judge("two.txt", "take.mid", "--no-click")
        finding = self.tempo_finding(document)
        self.assertEqual((finding["verdict"], finding["fault"]), ("unclear", None))
        self.assertIn("goes both ways", finding["text"])
        self.assertGreater(document["tempo"]["wander_percent"], 3.0)

    def test_a_count_off_is_no_stroke(self):
        beat = 60 / 84
        self.save([time + 4 * beat for time in seconds_at(lambda at: 84)],
                  before=[i * beat for i in range(4)])
        document = self.judge("two.txt", "take.mid", "--no-click", "--count-off", "4")
        self.assertAlmostEqual(document["tempo"]["bpm"], 84, delta=0.05)
        self.assertAlmostEqual(document["take"]["start_ms"], 2000 + 4000 * beat, delta=3)
        self.assertEqual(document["strokes"][0]["hit"], 4)
        self.expect(FAILED, "judge", "two.txt", "take.mid", "--no-click", "--count-off", "7",
                    says="no count-off")

    def test_the_text_says_that_there_was_no_click(self):
        self.save(seconds_at(lambda at: 97.3))
        page = self.expect(GOOD, "judge", "two.txt", "take.mid", "--no-click",
                           prints=["97.3 to the quarter without a click", "your own tempo"])
        self.assertNotIn("the click,", page)

    def test_the_same_bytes_every_time(self):
        self.save(seconds_at(lambda at: 97.3 + at / 8))
        first = self.expect(GOOD, "judge", "two.txt", "take.mid", "--no-click", "--json")
        self.assertEqual(first, self.expect(GOOD, "judge", "two.txt", "take.mid", "--no-click", "--json"))
        json.loads(first)

    def test_another_exercise_is_refused(self):
        self.save(seconds_at(lambda at: 97.3))
        self.expect(FAILED, "judge", "five-stroke-rolls", "take.mid", "--no-click",
                    says="this exercise is not what was played")

    def test_a_bar_that_was_broken_off_is_not_called_another_exercise(self):
        self.save([0.0, 0.5, 0.75, 2.0, 2.1, 3.2])
        self.expect(FAILED, "judge", "five-stroke-rolls", "take.mid", "--no-click",
                    says="too little of it was played to find a tempo in (6 hits, where 253 strokes")

    def test_a_stored_run_is_judged_without_its_click(self):
        run = self.demo_run("single-strokes", "--demo", "--tempo", "96")
        source = run["take"]["source"]
        document = self.judge("single-strokes", source, "--no-click")
        self.assertAlmostEqual(document["tempo"]["bpm"], 96, delta=0.3)
        self.assertEqual(document["counts"]["missed"], run["counts"]["missed"])

    def test_wrong_usage(self):
        self.save(seconds_at(lambda at: 97.3))
        self.expect(USAGE, "judge", "two.txt", "take.mid", "--no-click", "--start", "2", says="--start")
        self.expect(USAGE, "judge", "two.txt", "take.mid", "--count-off", "4", says="--count-off")
        self.expect(USAGE, "judge", "two.txt", "take.mid", "--no-click", "--count-off", "1",
                    says="--count-off: 1 is outside 2 to 32")


if __name__ == "__main__":
    main()
