"""evenhand calibrate as a player meets it: the demo player, a recording made by another library,
what is kept, and what is refused."""

import math
import random

import mido

from evenhand_cli import FAILED, GOOD, USAGE, CliTest, main

# Stick heights in inches (common practice, no source).
HEIGHTS = [1, 3, 4.5, 6, 9, 12]


def recorded(path, *, taps=8, bpm=100, law=1.0, late_ms=30.0, top=127, first_bar=0, levels=True,
             shade=1.0):
    """Plays the course into a Standard MIDI File: two bars to read before each step, six dynamics
    and the same six again, two steps of pairs and one with the click, each four times as long.
    Amplitude in proportion to the
    stick's height; a dB of velocity is worth LAW dB. The player shades SHADE of what is written, his
    taps scatter by 1 dB whatever he shades."""
    chance = random.Random(5)
    beat = 60 / bpm
    hits = []
    at = first_bar * 4 * beat

    def strike(when, level):
        velocity = 127 * 10 ** ((level - 9.5) / 20 / law)
        hits.append((when + late_ms / 1000, max(1, min(top, round(velocity)))))

    for step in range(15):
        at += 8 * beat
        count = taps if step < 12 else 4 * taps
        for tap in range(count):
            when = at + tap * beat + chance.gauss(0, 0.008)
            if step < 12 and levels:
                meant = shade * 20 * math.log10(HEIGHTS[step % 6] / 6)
                strike(when, meant + chance.gauss(0, 1))
            elif step in (12, 13):
                strike(when, 3)
                gap = 0.03 if step == 12 else 0.06
                strike(when + gap, 3 - 14 * tap / (count - 1))
            else:
                strike(when, chance.gauss(0, 1))
        at += count * beat
    file = mido.MidiFile(ticks_per_beat=9600)
    track = mido.MidiTrack()
    file.tracks.append(track)
    track.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(bpm)))
    last = 0
    for when, velocity in sorted(hits):
        tick = round(when / beat * 9600)
        track.append(mido.Message("note_on", channel=9, note=38, velocity=velocity,
                                  time=tick - last))
        last = tick
    file.save(path)
    return path


def pad_values(text):
    """Sections and keys of a pad file; points as numbers."""
    values, points = {}, []
    for line in text.splitlines():
        key, _, value = line.partition("=")
        if key.strip() == "point":
            points.append(tuple(map(float, value.split())))
        elif value:
            values[key.strip()] = value.strip()
    return values, points


def level(points, velocity):
    for (v, a), (w, b) in zip(points, points[1:]):
        if velocity <= w:
            return a + (b - a) * (velocity - v) / (w - v)
    return points[-1][1]


class Calibrate(CliTest):
    def fit(self, path, *options):
        self.expect(GOOD, "calibrate", "--take", path, "--save-pad", "pad.ini", *options)
        text = (self.folder / "pad.ini").read_text(encoding="utf-8")
        (self.folder / "pad.ini").unlink()
        return pad_values(text)

    def test_a_recorded_pad_is_found_again(self):
        for law in (0.7, 1.0, 1.6):
            with self.subTest(law=law):
                path = recorded(self.folder / "a.mid", law=law)
                values, points = self.fit(path)
                played = [127 * 10 ** ((20 * math.log10(h / 6) - 9.5) / 20 / law) for h in HEIGHTS]
                played = [max(v, 1) for v in played]
                for a, b in zip(range(5), range(1, 6)):
                    written = 20 * math.log10(HEIGHTS[b] / HEIGHTS[a])
                    found = level(points, played[b]) - level(points, played[a])
                    # A median of 16 taps of 1 dB has an SE of 1.2533 / 4 dB: three of a difference.
                    self.assertAlmostEqual(found, written, delta=3 * 2**0.5 * 1.2533 / 4,
                                           msg=(a, b))
                self.assertAlmostEqual(float(values["click_to_hit_ms"]), 30, delta=3)
                self.assertIn("calibrated", values)

    def test_a_recording_may_begin_at_a_later_bar_and_run_at_another_tempo(self):
        values, _ = self.fit(recorded(self.folder / "a.mid", first_bar=6, bpm=84, taps=4),
                             "--start", 7, "--taps", 4)
        self.assertAlmostEqual(float(values["click_to_hit_ms"]), 30, delta=4)

    def test_a_pad_that_tops_out_is_said_to(self):
        path = recorded(self.folder / "a.mid", law=1.0, top=60)
        out = self.expect(GOOD, "calibrate", "--take", path, "--save-pad", "pad.ini")
        self.assertRegex(out, r"Top +velocity 60: \d+ % of the ff taps")
        self.assertIn("- ff: most taps are at the pad's top", out)
        values, _ = pad_values((self.folder / "pad.ini").read_text(encoding="utf-8"))
        self.assertEqual(float(values["top_velocity"]), 60)

    def test_levels_stay_as_they_were_when_no_dynamics_were_played(self):
        path = recorded(self.folder / "a.mid", levels=False)
        out = self.expect(GOOD, "calibrate", "--take", path, "--save-pad", "pad.ini")
        self.assertIn("The levels stay as they were.", out)
        values, points = pad_values((self.folder / "pad.ini").read_text(encoding="utf-8"))
        self.assertEqual(points, [])
        self.assertNotIn("calibrated", values, "a pad without levels is not called calibrated")

    def test_much_or_little_contrast_is_told_with_both_its_reasons(self):
        told = {}
        for name, how in {"plain": {}, "hot": {"law": 1.8}, "narrow": {"shade": 0.38},
                          "dull": {"law": 0.5}, "flat": {"shade": 0.22}}.items():
            path = recorded(self.folder / "a.mid", **how)
            told[name] = self.expect(GOOD, "calibrate", "--take", path)
            for line in told[name].splitlines():
                self.assertLessEqual(len(line), 80, line)
        self.assertNotIn("Contrast", told["plain"])
        # p to f: 9.5 dB by the stick heights. On the hot pad they are 9.5 / 1.8 = 5.3 dB.
        self.assertRegex(told["hot"], r"Contrast: p to f came out 5\.\d dB apart .* where 9\.5 are")
        self.assertIn("Either the pad squeezes or you shade too little", told["hot"])
        self.assertIn("one pad\ncannot tell", told["hot"])
        self.assertIn("it is rather the pad", told["hot"])
        # The same from a player whose taps scatter by 1 / 0.38 dB of his marks.
        self.assertRegex(told["narrow"], r"Contrast: p to f came out 3\.\d dB apart")
        self.assertIn("it is rather the shading", told["narrow"])
        self.assertIn("Either the pad stretches or you shade more than is written", told["dull"])
        self.assertIn("your f is hardly louder than your p", told["flat"])
        self.assertIn("The levels stay as they were", told["flat"])

    def test_what_is_found_is_kept_for_port_and_player_and_judged_by(self):
        path = recorded(self.folder / "a.mid", law=1.6)
        out = self.expect(GOOD, "calibrate", "--take", path, "--port", "My pad", "--player", "Ann")
        self.assertIn("Kept for My pad, as played by Ann.", out)
        self.expect(GOOD, "demo", "five-stroke-rolls", "--save", "run.mid")
        by_default = self.judge("five-stroke-rolls", "run.mid")
        for more in (["--player", "Ann"], []):
            by_pad = self.judge("five-stroke-rolls", "run.mid", "--port", "My pad", *more)
            self.assertEqual(by_default["pad"]["level_map"], "default")
            self.assertEqual(by_pad["pad"]["level_map"], "calibrated")
        self.expect(FAILED, "judge", "five-stroke-rolls", "run.mid", "--port", "My pad",
                    "--player", "Ben", says="Ann")

    def test_a_port_of_our_own_is_kept_under_the_name_that_it_has_when_it_is_open(self):
        path = recorded(self.folder / "a.mid")
        out = self.expect(GOOD, "calibrate", "--take", path, "--port", "virtual", "--save-pad",
                          "a.ini")
        self.assertIn("Kept for evenhand:pad.", out)
        kept = self.expect(GOOD, "pad", "list")
        self.assertTrue(kept.startswith("evenhand:pad\n"), kept)
        for line in kept.splitlines():
            self.assertLessEqual(len(line), 80, line)
        self.assertEqual(self.expect(GOOD, "pad", "delete", "--port", "virtual"),
                         "Deleted: evenhand:pad\n")
        self.expect(GOOD, "pad", "keep", "a.ini", "--port", "virtual")
        self.assertTrue(self.expect(GOOD, "pad", "list").startswith("evenhand:pad\n"))

    def test_a_port_of_a_recording_is_said_by_name(self):
        path = recorded(self.folder / "a.mid")
        self.expect(FAILED, "calibrate", "--take", path, "--port", "2", says="say the port's name")
        self.assertFalse(self.data.exists())

    def test_another_recording_is_not_taken_for_the_course(self):
        for arguments in (["--take", recorded(self.folder / "a.mid", taps=12)],
                          ["--take", recorded(self.folder / "b.mid"), "--taps", 16],
                          ["--take", recorded(self.folder / "c.mid"), "--taps", 4],
                          ["--take", recorded(self.folder / "d.mid", first_bar=20)],
                          ["--take", recorded(self.folder / "e.mid"), "--start", 2]):
            self.expect(FAILED, "calibrate", *arguments, "--port", "My pad",
                        says=("this is not that course", "--start and --taps"))
        self.assertNotIn("My pad", self.expect(GOOD, "pad", "list"))

    def test_the_demo_player_is_never_kept(self):
        out = self.expect(GOOD, "calibrate", "--demo=hot", "--fast", "--seed", 2)
        self.assertIn("Not kept: the demo player has no pad.", out)
        self.assertFalse(self.data.exists())

    def test_every_described_pad_prints_no_line_wider_than_80(self):
        page = self.expect(GOOD, "calibrate", "--demo=help").splitlines()
        self.assertLessEqual(max(map(len, page)), 80)
        pads = [line.split()[0] for line in page[2:]]
        self.assertGreaterEqual(len(pads), 7)
        for pad in pads:
            for seed in range(3):
                out = self.expect(GOOD, "calibrate", f"--demo={pad}", "--fast", "--seed", seed)
                for line in out.splitlines():
                    self.assertLessEqual(len(line), 80, line)
                    self.assertEqual(line.isascii(), True, line)
                self.assertIn("protect your hearing", out)

    def test_saved_taps_give_the_same_answer_again(self):
        for pad in ("dull", "high-floor"):
            live = self.expect(GOOD, "calibrate", f"--demo={pad}", "--fast", "--save-taps",
                               f"{pad}.mid")
            again = self.expect(GOOD, "calibrate", "--take", f"{pad}.mid")
            table = live[live.index("Dynamic\n"):live.index("  Delay")]
            self.assertIn(table if pad == "dull" else "pp: the pad reported less than half", again)

    def test_what_cannot_be_is_refused(self):
        path = recorded(self.folder / "a.mid", taps=8)
        for arguments, says in [
                (["--demo", "--port", "x"], "one player at a time"),
                (["--demo", "--take", path], "one player at a time"),
                (["--demo=loud"], 'no pad "loud"'),
                (["--fast"], "only the demo player"),
                (["--taps", 3], "--taps"),
                (["--tempo", 49], "--tempo"),
                (["--player", ""], "--player"),
                (["something"], "something")]:
            self.expect(USAGE, "calibrate", *arguments, says=says)
        self.write("text.mid", "no MIDI")
        self.write("exists.ini", "")
        self.expect(FAILED, "calibrate", "--take", "missing.mid", says="missing.mid")
        self.expect(FAILED, "calibrate", "--take", "text.mid", says="text.mid")
        self.expect(FAILED, "calibrate", "--take", recorded(self.folder / "fast.mid", bpm=180),
                    says="50 to 140")
        run = self.run_program("calibrate", "--take", path, "--taps", 8, "--save-pad", "exists.ini")
        self.assertEqual(run.returncode, FAILED)
        self.assertIn(b"exists.ini", run.stderr)

    def test_a_file_with_nothing_in_it_is_no_calibration(self):
        file = mido.MidiFile()
        track = mido.MidiTrack()
        file.tracks.append(track)
        track.append(mido.Message("note_on", note=60, velocity=64))
        file.save(self.folder / "other.mid")
        self.expect(FAILED, "calibrate", "--take", "other.mid", says="not one hit")


if __name__ == "__main__":
    main()
