"""The whole piece without a click, its sheet, and the tempo that the history speaks for."""

import json
import re
import unittest

from evenhand_cli import FAILED, GOOD, USAGE, CliTest

ETUDES = ("rudimental-etude", "concert-etude")


class AuditionTest(CliTest):
    def audition(self, etude, fault, tempo, seed=1, *more):
        demo = "--demo" if fault is None else f"--demo={fault}"
        return self.expect(GOOD, "audition", etude, demo, "--fast", "--tempo", tempo, "--seed",
                           seed, *more)

    def part(self, sheet, heading):
        """What stands under a heading."""
        match = re.search(rf"\n{heading}\n(.*?)(?=\n\n[A-Z]|\Z)", sheet, re.S)
        self.assertIsNotNone(match, f"{heading}: {sheet}")
        return " ".join(match.group(1).split())


class Sheet(AuditionTest):
    def test_a_learner_whose_faults_show_above_a_tempo(self):
        """At 70 nothing fails; at 120 the bars are named in which the faults were put."""
        fault = "under-accents:0@80/17-20,late-left:30@100/1-4,rushing:6@100/25-28"
        slow = self.audition(ETUDES[0], fault, 70)
        self.assertIn("Nothing that is sure.", self.part(slow, "What fails"))
        self.assertTrue(self.part(slow, "Tempo").startswith("Kept"), slow)
        self.assertNotIn("Work on this first", slow)
        middle = self.audition(ETUDES[0], fault, 90)
        self.assertRegex(self.part(middle, "What fails"), r"Bars 17 to 2[01]: .*accents stay under")
        self.assertTrue(self.part(middle, "Tempo").startswith("Kept"), middle)
        fast = self.audition(ETUDES[0], fault, 120)
        fails = self.part(fast, "What fails")
        self.assertRegex(fails, r"Bars 17 to 2[01]: .*accents stay under")
        self.assertRegex(fails, r"Bars 1 to [45]: the left hand comes .* later")
        self.assertRegex(self.part(fast, "Tempo"), r"Not kept: .* Pushed in bars 2[456] to 2[789]")
        work = self.part(fast, "Work on this first")
        self.assertRegex(work, r"evenhand climb rudimental-etude --bars 17-2[01] --from 96 --to 120")
        self.assertRegex(work, r"evenhand pulse rudimental-etude --tempo 120 --silent 2\d-2\d")

    def test_every_number_of_the_table_has_unit_limit_and_count(self):
        sheet = self.audition(ETUDES[1], "strong-left", 90)
        rows = re.search(r"  what .*\n((?:  .*\n)+)", sheet).group(1).splitlines()
        self.assertGreater(len(rows), 12)
        for row in rows:
            self.assertRegex(row, r"^  \S.* (holds|fails|unclear)")
            self.assertRegex(row, r"\d .*\d", row)
        self.assertIn("All through: the right hand is", self.part(sheet, "What fails"))

    def test_the_sheet_again_is_the_same_sheet(self):
        live = self.audition(ETUDES[0], "missed:20/9-12,wait:2/17", 100, 3)
        again = self.expect(GOOD, "audition", ETUDES[0], "--of", "run:1")
        begin = live.index("Sheet: ")
        self.assertEqual(live[begin:live.index("\nKept as run 1")], again)
        self.assertIn("evenhand audition rudimental-etude --of run:1", live)
        self.assertRegex(again, r"Stopped at bar 17, beat 1")

    def test_a_run_by_another_command_has_a_sheet_too(self):
        self.expect(GOOD, "play", ETUDES[1], "--demo", "--fast", "--tempo", 80, "--bars", "9-16")
        sheet = self.expect(GOOD, "audition", ETUDES[1], "--of", "run:1")
        self.assertIn("Not the whole piece: bars 9 to 16 of 32; to the click.",
                      " ".join(sheet.split()))
        self.assertIn("the click gave 80.0 to the quarter", " ".join(sheet.split()))

    def test_json_is_the_judgement_document(self):
        out = self.audition(ETUDES[1], "late-left/9-12", 90, 1, "--json")
        document = json.loads(out)
        self.assertEqual(document["format"], "evenhand-judgement/1")
        self.assertIs(document["tempo"]["click"], False)
        self.assertEqual(self.expect(GOOD, "audition", ETUDES[1], "--of", "run:1", "--json").
                         replace("run:1", document["take"]["source"]), out)

    def test_a_count_off_of_ones_own(self):
        sheet = self.audition(ETUDES[0], "slower:10", 90, 1, "--count-off", 4)
        self.assertIn("Tap 4 even beats", sheet)
        self.assertRegex(self.part(sheet, "Tempo"), r"Kept: begun at 8[0123]\.\d")

    def test_no_line_is_wider_than_a_terminal(self):
        for etude in ETUDES:
            sheet = self.audition(
                etude, "late-left/1-8,strong-right/9-12,missed:30/21-24,rushing:8/25-30", 120)
            for line in sheet.splitlines():
                self.assertLessEqual(len(line), 80, line)


class Choose(AuditionTest):
    def play(self, tempo, fault="none", seed=1, *more):
        self.expect(GOOD, "play", ETUDES[1], f"--demo={fault}", "--fast", "--tempo", tempo, "--seed",
                    seed, *more)

    def choose(self, *more):
        return " ".join(self.expect(GOOD, "audition", ETUDES[1], "--choose", "--demo",
                                    *more).split())

    def test_an_empty_history_gets_a_clear_word(self):
        self.expect(FAILED, "audition", ETUDES[1], "--choose",
                    says=["no whole run of concert-etude", "evenhand play concert-etude --tempo 76",
                          "evenhand audition concert-etude"])

    def test_parts_only_are_said(self):
        self.play(100, "none", 1, "--bars", "5-8")
        self.expect(FAILED, "audition", ETUDES[1], "--choose", "--demo",
                    says=["only parts were played, such as bars 5 to 8 up to 100"])

    def test_the_fastest_clean_tempo_with_its_reasons(self):
        self.play(80, "none", 1)
        self.play(90, "none", 2)
        self.play(90, "none", 3)
        self.play(100, "strong-left", 4)
        self.play(100, "none", 5, "--bars", "5-8")
        said = self.choose()
        self.assertIn("Proposed 90 to the quarter. Clean there: 2 of 2 runs: run 3", said)
        self.assertIn("What broke above it - 100: 0 of 1 clean; run 4: right hand softer", said)
        self.assertIn("bars 5 to 8, 1 run, up to 100", said)
        self.assertIn("three of four are clean at", said)
        self.assertIn("evenhand audition concert-etude --tempo 90", said)

    def test_a_single_run_is_said_to_be_one(self):
        self.play(96)
        self.assertIn("A single clean run, which may have been luck", self.choose())

    def test_no_clean_run_is_no_tempo(self):
        self.play(96, "strong-left")
        said = self.choose()
        self.assertIn("Proposed None", said)
        self.assertIn("evenhand climb concert-etude --from 77 --to 96", said)

    def test_runs_of_others_do_not_count(self):
        self.play(96, "none", 1, "--player", "ada")
        self.expect(FAILED, "audition", ETUDES[1], "--choose", "--demo", says="no whole run")
        self.assertIn("--player ada", self.choose("--player", "ada"))
        self.expect(FAILED, "audition", ETUDES[1], "--choose", "--player", "ada",
                    says="no whole run of concert-etude by ada")


class BadInput(AuditionTest):
    def test_what_cannot_be(self):
        self.audition(ETUDES[1], None, 90)
        for status, words, arguments in (
                (USAGE, "something is missing: evenhand audition EXERCISE", []),
                (USAGE, "run:N", [ETUDES[0], "--of", "12"]),
                (USAGE, "run:N", [ETUDES[0], "--of", "run:0"]),
                (USAGE, "nothing else is done", [ETUDES[0], "--of", "run:1", "--choose"]),
                (USAGE, "--choose and --json", [ETUDES[0], "--choose", "--json"]),
                (USAGE, "either the click counts, or you",
                 [ETUDES[0], "--count-off", "4", "--count-in", "2"]),
                (USAGE, "--count-off: 1", [ETUDES[0], "--count-off", "1"]),
                (FAILED, "run 7", [ETUDES[1], "--of", "run:7"]),
                (FAILED, "run:1 is a run of concert-etude", [ETUDES[0], "--of", "run:1"]),
                (FAILED, "up to bar 40, but the exercise has 32 bars",
                 [ETUDES[0], "--demo=late/39-40", "--fast"])):
            with self.subTest(arguments=arguments):
                self.expect(status, "audition", *arguments, says=words)


if __name__ == "__main__":
    unittest.main()
