"""evenhand compare: files written by python3-mido, judged by two styles side by side."""

import json
import random
import sys

import mido

import stroke_tables
from evenhand_cli import FAILED, GOOD, ROOT, USAGE, CliTest, main, some

sys.path.insert(0, str(ROOT / "tests" / "report"))
import judgement_document  # noqa: E402

NAME = "accents-over-taps"
BPM = 100
DIVISION = 9600  # a tick is a sixteenth of a millisecond
MARK_DB = 3.0    # 20 log10 of stick heights: 2.5 to 3.5 dB a mark (common practice, no source)

# Accents so many dynamic marks above the taps around, and what each style says of them. A concert
# accent stands about one mark above its surroundings, a rudimental one two at least (common
# practice, no source).
ISSUE = [
    (1.0, "right-sized", "under"),
    (2.0, "overblown", "right-sized"),
    (3.0, "overblown", "right-sized"),
    (0.0, "under", "under"),
    (5.0, "overblown", "overblown"),
]


def player(seed, marks):
    """Notes as (quarter, velocity): 1.2 dB and 6 ms of scatter, taps at velocity 17."""
    chance = random.Random(seed)
    for at, _, _, _, accent in stroke_tables.EXERCISES[NAME].strokes():
        level = chance.gauss(0, 1.2) + (MARK_DB * marks if accent else 0)
        late = chance.gauss(0, 0.006) * BPM / 60
        yield float(at) + late, max(1, min(126, round(17 * 10 ** (level / 20))))


class Compare(CliTest):
    def take(self, seed, marks):
        track, last = mido.MidiTrack(), 0
        track.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(BPM), time=0))
        for quarter, velocity in sorted(player(seed, marks)):
            tick = round((quarter + 8) * DIVISION)
            track.append(mido.Message("note_on", channel=9, note=38, velocity=velocity,
                                      time=tick - last))
            last = tick
        file = mido.MidiFile(type=0, ticks_per_beat=DIVISION)
        file.tracks = [track]
        path = self.folder / f"{marks}-{seed}.mid"
        file.save(path)
        return path

    def compare(self, *arguments):
        return json.loads(self.expect(GOOD, "compare", *arguments, "--json"))

    def test_one_take_is_right_sized_in_one_style_and_not_in_the_other(self):
        for marks, concert, rudimental in ISSUE:
            for seed in some(range(3)):
                with self.subTest(marks=marks, seed=seed):
                    document = self.compare(NAME, self.take(seed, marks))
                    for judged, expected in zip(document["judgements"], (concert, rudimental)):
                        found = [f for f in judged["findings"] if f["aspect"] == "accent"]
                        self.assertEqual([f["hand"] for f in found], ["left", "right"])
                        for finding in found:
                            self.assertEqual(finding["verdict"], expected, finding["text"])
                            self.assertAlmostEqual(finding["value"], marks * MARK_DB, delta=0.6)
                            self.assertIn(judged["style"] + " style", finding["text"])

    def test_the_page_says_the_number_once_and_why_in_each_style(self):
        page = self.expect(GOOD, "compare", NAME, self.take(1, 1.0))
        for line in page.splitlines():
            self.assertLessEqual(len(line), 80, line)
            self.assertEqual(line, line.rstrip())
        lines = page.splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith("left accents"))
        self.assertRegex(" ".join(lines[at:at + 2]),
                         r"^left accents above the taps around: [23]\.\d dB, about [01]\.\d dynamic "
                         r"marks; 90 % interval \d\.\d to \d\.\d; n=31$")
        verdicts = lines.index("  right-sized                             under")
        self.assertIn("fine: 1.5 to 4.5 dB                     fine: 4.5 to 12.0 dB",
                      lines[verdicts + 1])
        self.assertIn("(0.5 to 1.5 marks)                      (1.5 to 4.0 marks)",
                      lines[verdicts + 2])
        left = " ".join(line[2:40].strip() for line in lines[verdicts + 3:verdicts + 6])
        right = " ".join(line[42:].strip() for line in lines[verdicts + 3:verdicts + 6])
        self.assertRegex(left, r"^Why: [23]\.\d dB \([01]\.\d marks\) lies within\.")
        self.assertRegex(right, r"^Why: all of the interval lies below 4\.5 dB \(1\.5 marks\)")

    def test_what_differs_comes_first_and_what_is_the_same_is_short(self):
        page = self.expect(GOOD, "compare", NAME, self.take(2, 2.0))
        differs, same = page.index("What differs"), page.index("The same in both")
        self.assertLess(differs, page.index("overblown"))
        self.assertLess(page.index("overblown"), same)
        self.assertNotIn("overblown", page[same:])
        for words in ("taps even in level", "timing steady", "concert only: rim strokes"):
            self.assertEqual(page.count(words), 1)
            self.assertGreater(page.index(words), same)
        self.assertLess(page[same:].count("\n"), 20)

    def test_the_document_holds_both_judgements_as_judge_writes_them(self):
        take = self.take(3, 1.0)
        document = self.compare(NAME, take)
        self.assertEqual(document["format"], "evenhand-comparison/1")
        self.assertEqual(document["styles"], ["concert", "rudimental"])
        for style, judged in zip(document["styles"], document["judgements"]):
            alone = self.expect(GOOD, "judge", NAME, take, "--style", style, "--json")
            self.assertEqual(judged, judgement_document.check(alone))
        self.assertEqual(document["differences"], [
            {"aspect": "accent", "hand": hand, "verdicts": ["right-sized", "under"]}
            for hand in ("left", "right")])

    def test_where_nothing_differs_that_is_said(self):
        concert = (ROOT / "exercises" / "styles" / "concert.ini").read_text()
        mine = self.write("mine.ini", concert.replace("name = concert", "name = mine"))
        take = self.take(4, 1.0)
        page = self.expect(GOOD, "compare", NAME, take, "--styles", f"concert,{mine}",
                           prints="Nothing: both styles come to the same verdicts.")
        self.assertNotIn("concert only", page)
        other = self.write("other.ini", concert.replace("name = concert", "name = other")
                           .replace("high_db = 4.5", "high_db = 6")
                           .replace("least_strokes = 8", "least_strokes = 35"))
        page = self.expect(GOOD, "compare", NAME, take, "--styles", f"{other},concert")
        # 31 accents of the left hand are fewer than 35: one style judges both hands together.
        for words in ("other only: accents right-sized", "concert only: left accents right-sized",
                      "concert only: right accents right-sized"):
            self.assertIn(words, page)
        document = self.compare(NAME, take, "--styles", f"{other},concert")
        hands = [[f["hand"] for f in judged["findings"] if f["aspect"] == "accent"]
                 for judged in document["judgements"]]
        self.assertEqual(hands, [["both"], ["left", "right"]])
        for line in page.splitlines():
            self.assertLessEqual(len(line), 80, line)

    def test_rim_strokes_are_a_fault_in_one_style_only(self):
        self.demo_run("concert-accent-line", "--demo=rim", "--seed", "1")
        document = self.compare("concert-accent-line", "run:1")
        self.assertIn({"aspect": "rim", "hand": "both", "verdicts": ["some", None]},
                      document["differences"])
        page = self.expect(GOOD, "compare", "concert-accent-line", "run:1",
                           prints="not asked here")
        self.assertLess(page.index("rim strokes"), page.index("The same in both"))

    def test_a_stored_run_and_its_options_are_found_as_judge_finds_them(self):
        self.demo_run(NAME, "--demo", "--bars", "5-8", "--seed", "1")
        self.assertEqual(self.compare(NAME, "run:1")["judgements"][0]["counts"]["strokes"], 64)
        self.expect(GOOD, "compare", NAME, self.take(1, 1.0), "--start", "3")

    def test_what_cannot_be_compared_is_said_with_what_to_do(self):
        take = self.take(1, 1.0)
        rows = [
            (USAGE, ["compare", NAME], "something is missing: evenhand compare EXERCISE TAKE"),
            (USAGE, ["compare", NAME, take, "--styles", "concert"], "is not two styles"),
            (USAGE, ["compare", NAME, take, "--styles", "concert,"], "is not two styles"),
            (USAGE, ["compare", NAME, take, "--styles", ",concert"], "is not two styles"),
            (USAGE, ["compare", NAME, take, "--styles", "a,b,c"], "is not two styles"),
            (USAGE, ["compare", NAME, take, "--styles", "concert,concert"], "stands there twice"),
            (FAILED, ["compare", NAME, take, "--styles", "concert,march"],
             "march: no style and no file of that name; there are: concert, rudimental"),
            (FAILED, ["compare", NAME, take, "--styles",
                      f"concert,{ROOT / 'exercises' / 'styles' / 'concert.ini'}"],
             'are both called "concert"; give one of them another name'),
            (USAGE, ["compare", NAME, take, "--style", "concert"], "did you mean --styles?"),
            (FAILED, ["compare", "single-stroke-four", take], "check the exercise"),
            (FAILED, ["compare", NAME, "none.mid"], "none.mid"),
            (FAILED, ["compare", NAME, "run:7"], "there are no runs yet"),
            (USAGE, ["compare", NAME, take, "--start", "0"], "is not BAR[:BEAT]"),
        ]
        for status, arguments, says in rows:
            with self.subTest(arguments=arguments):
                self.expect(status, *arguments, says=says)


if __name__ == "__main__":
    main()
