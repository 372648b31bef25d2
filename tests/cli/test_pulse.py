"""evenhand pulse: bars without a click, played by the demo player and by none."""

import json
import os
import pty
import re
import sqlite3
import subprocess
import sys

from evenhand_cli import FAILED, GOOD, PROGRAM, ROOT, USAGE, CliTest, main, some

sys.path.insert(0, str(ROOT / "tests" / "report"))
import judgement_document  # noqa: E402

NAME = "paradiddles-with-accents"  # sixteen bars


class Pulse(CliTest):
    def pulse(self, *arguments):
        return judgement_document.check(
            self.expect(GOOD, "pulse", *arguments, "--fast", "--json"))

    def silent_bars(self):
        with sqlite3.connect(self.data / "evenhand" / "history.db") as db:
            return [row[0] for row in
                    db.execute("select silent_bars from run order by number")]

    def test_a_beat_of_its_own_is_told_and_a_steady_one_holds(self):
        """A tempo P percent faster makes L ms last L / (1 + P/100): plain arithmetic."""
        length_ms = 4 * 2400
        for percent, verdict in [(4, "rushed"), (-4, "dragged"), (0, "held")]:
            for seed in some(range(3)):
                demo = f"--demo=own-tempo:{percent}" if percent else "--demo"
                with self.subTest(demo=demo, seed=seed):
                    document = self.pulse("single-strokes", demo, "--silent", "5-8",
                                          "--tempo", "100", "--seed", seed)
                    (stretch,) = document["pulse"]["stretches"]
                    drift = length_ms / (1 + percent / 100) - length_ms
                    self.assertEqual(stretch["verdict"], verdict)
                    self.assertLess(abs(stretch["drift_ms"]["value"] - drift), 35)
                    self.assertEqual(stretch["bars"], [5, 8])
                    low, high = stretch["drift_ms"]["interval"]
                    self.assertLess(low, stretch["drift_ms"]["value"])
                    self.assertLess(stretch["drift_ms"]["value"], high)
                    self.assertLess(abs(stretch["back"]["offset_ms"]["value"] - drift), 35)

    def test_a_planted_mistake_is_no_document(self):
        page = self.expect(GOOD, "pulse", NAME, "--demo", "--bars", "1-2", "--fast", "--json")
        for good, bad in [('"verdict": "held"', '"verdict": "kept"'), ('"length": 1', '"length": 0'),
                          ('"lost_bars": null', '"lost_bars": 0'), ('"back": null', '"back": 1')]:
            self.assertIn(good, page)
            with self.assertRaises(AssertionError):
                judgement_document.check(page.replace(good, bad))

    def test_it_is_followed_over_eight_silent_bars(self):
        for percent in some([-4, -2, 2, 4]):
            with self.subTest(percent=percent):
                document = self.pulse("five-stroke-rolls", f"--demo=own-tempo:{percent}",
                                      "--silent", "5-12", "--tempo", "100")
                (stretch,) = document["pulse"]["stretches"]
                drift = 8 * 2400 * (1 / (1 + percent / 100) - 1)
                self.assertLess(abs(stretch["drift_ms"]["value"] - drift), 45)
                self.assertIs(stretch["verdict"] == "rushed", percent > 0)

    def test_etudes_are_followed_over_eight_silent_bars_and_judged_again(self):
        """Where rests and presses leave little to hold on to, it helps to know which bars were
        silent: live as from the history."""
        pieces = some([("concert-etude", 3), ("rudimental-etude", -4)])
        for run, (piece, percent) in enumerate(pieces, 1):
            with self.subTest(piece=piece):
                ask = (piece, f"--demo=own-tempo:{percent}", "--silent", "5-12", "--bars", "1-16",
                       "--tempo", "80", "--seed", 1)
                document = self.pulse(*ask)
                (stretch,) = document["pulse"]["stretches"]
                length_ms = stretch["length"] * 3000
                drift = length_ms / (1 + percent / 100) - length_ms
                self.assertEqual((document["counts"]["missed"], document["course"]), (0, []))
                self.assertLess(abs(stretch["drift_ms"]["value"] - drift), 45)
                self.assertEqual(self.judge(piece, f"run:{run}"), document)

    def test_the_run_knows_its_silent_bars(self):
        cases = [(["--silent", "every-other"], "2,4,6,8,10,12,14,16"),
                 (["--silent", "growing"], "3,6-7,10-13"),
                 (["--silent", "3-4,7", "--passes", "2"], "3-4,7,19-20,23"),
                 (["--bars", "1-8"], "2,4,6,8"),
                 (["--bars", "5-8", "--silent", "6-7"], "2-3")]
        for arguments, _ in cases:
            self.pulse(NAME, "--demo", *arguments)
        self.assertEqual(self.silent_bars(), [bars for _, bars in cases])
        with sqlite3.connect(self.data / "evenhand" / "history.db") as db:
            self.assertEqual(db.execute("select kind, asked from sitting").fetchall()[2],
                             ("pulse", "silent 3-4,7 bars 0-0 passes 2"))

    def test_judged_again_it_says_the_same(self):
        ask = [NAME, "--demo=own-tempo:2", "--silent", "growing", "--bars", "1-8", "--passes", "2"]
        document = self.pulse(*ask)
        self.assertEqual(self.judge(NAME, "run:1"), document)
        self.assertEqual([s["length"] for s in document["pulse"]["stretches"]], [1, 2, 4])
        page = self.expect(GOOD, "pulse", *ask, "--fast")
        page = page[page.index("Your beat without the click"):page.index("Kept as run")]
        self.assertTrue(self.expect(GOOD, "judge", NAME, "run:2").endswith(page))
        self.assertIn("\nTake care\n", page, "the cautions come last, and once")

    def test_without_silent_bars_there_is_no_pulse(self):
        self.expect(GOOD, "play", NAME, "--demo", "--fast")
        self.assertNotIn("pulse", self.judge(NAME, "run:1"))
        self.assertNotIn("without the click", self.expect(GOOD, "judge", NAME, "run:1"))
        self.assertEqual(self.silent_bars(), [""])

    def test_a_run_that_ended_early_tells_of_what_was_played(self):
        document = self.pulse("five-stroke-rolls", "--demo=stop:64", "--silent", "every-other")
        last = max(s["bar"] for s in document["strokes"])
        self.assertLess(last, 12)
        self.assertEqual([s["bars"][0] for s in document["pulse"]["stretches"]],
                         list(range(2, last + 1, 2)))
        self.assertEqual(self.judge("five-stroke-rolls", "run:1"), document)

    def test_the_page_fits_and_marks_the_silent_bars(self):
        page = self.expect(GOOD, "pulse", "single-strokes", "--demo=own-tempo:2", "--fast",
                           "--silent", "growing", "--tempo", "100", "--seed", "3")
        for line in page.splitlines():
            self.assertLessEqual(len(line), 80, line)
            self.assertEqual(line, line.rstrip())
        self.assertIn("The click is silent in 7 of 16 bars: 3,6-7,10-13.", page)
        self.assertRegex(page, r"(?m)^  10-13 +\d+ +-\d+ +-\d+ to -\d+ +150 +\+\d\.\d  rushed")
        plot = page[page.index("Offset bar by bar"):]
        plot = plot[:plot.index("\nTake care")]
        marks = "".join(line[9:] for line in plot.splitlines()[1:-1])
        self.assertEqual((marks.count("x"), marks.count("o")), (7, 9))
        self.assertRegex(plot, r"(?m)^   bar    1  2  3  4 ")

    def test_many_bars_are_drawn_in_several_rows(self):
        page = self.expect(GOOD, "pulse", "five-stroke-rolls", "--demo", "--fast", "--passes", "6")
        plot = page[page.index("Offset bar by bar"):]
        self.assertEqual(len(re.findall(r"(?m)^   bar ", plot)), 2)
        self.assertLessEqual(max(map(len, plot.splitlines())), 80)

    def test_bad_input_says_what_would_do(self):
        for arguments, status, words in [
                (["--silent", "never"], USAGE, "there are every-other, growing and bars"),
                (["--silent", ""], USAGE, "needs a value"),
                (["--silent", "0-2"], USAGE, "count from 1"),
                (["--silent", "4-3"], USAGE, "the lower number first"),
                (["--silent", "17"], FAILED, "the bars that are played are 1 to 16"),
                (["--bars", "2-4", "--silent", "5"], FAILED, "are 2 to 4"),
                (["--silent", "1-16"], FAILED, "--no-click"),
                (["--bars", "3"], FAILED, "every-other needs 2; take more bars"),
                (["--bars", "1-3", "--silent", "growing"], FAILED, "growing needs 4"),
                (["--no-click"], USAGE, "--no-click"),
                (["--tempo", "500"], FAILED, "20 to 400")]:
            with self.subTest(arguments):
                self.expect(status, "pulse", NAME, "--demo", "--fast", *arguments, says=words)
        self.expect(USAGE, "pulse", says="evenhand pulse EXERCISE")
        self.expect(FAILED, "pulse", NAME, "--demo", "--fast", "--db", self.folder / "no" / "h.db",
                    "--silent", "99", says="bar 99")
        self.assertFalse((self.data / "evenhand" / "history.db").exists())

    def test_nothing_moves_on_the_screen_in_a_silent_bar(self):
        """Without sound the beat is shown in the terminal; in a silent bar it must not be."""
        leader, follower = pty.openpty()
        with subprocess.Popen(
                [PROGRAM, "pulse", NAME, "--demo", "--no-sound", "--tempo", "240", "--bars", "1-2"],
                env=self.environment, stdin=subprocess.DEVNULL, stdout=follower,
                stderr=subprocess.DEVNULL) as program:
            os.close(follower)
            seen = b""
            try:
                while chunk := os.read(leader, 4096):
                    seen += chunk
            except OSError:
                pass
            self.assertEqual(program.wait(30), GOOD)
        os.close(leader)
        drawn = [piece.strip() for piece in seen.decode().split("\r") if piece.strip()]
        self.assertEqual([d for d in drawn if re.fullmatch(r"[.1-4] [.1-4] [.1-4] [.1-4]", d)],
                         ["1 . . .", ". 2 . .", ". . 3 .", ". . . 4"])
        self.assertGreaterEqual(drawn.count("silent"), 1)


if __name__ == "__main__":
    main()
