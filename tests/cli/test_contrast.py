"""evenhand contrast: two styles in turn, played by the demo player and by none."""

import json
import os
import signal
import sqlite3
import subprocess
import time

from evenhand_cli import FAILED, GOOD, PROGRAM, ROOT, USAGE, CliTest, main, some

NAME = "accents-over-taps"


class Contrast(CliTest):
    def contrast(self, *arguments):
        return json.loads(self.expect(GOOD, "contrast", *arguments, "--fast", "--json"))

    def test_a_player_who_follows_the_styles_has_the_contrast(self):
        for seed in some(range(20)):
            with self.subTest(seed=seed):
                document = self.contrast(NAME, "--demo", "--seed", seed, "--rounds", "2")
                self.assertEqual(document["contrast"]["verdict"], "there", document["text"])
                self.assertIs(document["contrast"]["fault"], False)
                self.assertEqual([s["verdict"] for s in document["styles"]], ["right-sized"] * 2)

    # What the demo player does in both styles, and what is to be said: the contrast, concert,
    # rudimental. The default sizes follow the style of each pass, a size that is given does not.
    FAULTS = [
        ("under-accents", "too-small", "under", "under"),
        ("under-accents:3", "too-small", "right-sized", "under"),
        ("overblown-accents:7.5", "too-small", "overblown", "right-sized"),
        ("overblown-accents", "there", "overblown", "overblown"),
    ]

    def test_what_is_wrong_with_the_accents_is_named(self):
        for fault, contrast, *styles in self.FAULTS:
            for seed in some(range(4)):
                with self.subTest(fault=fault, seed=seed):
                    document = self.contrast(NAME, f"--demo={fault}", "--seed", seed,
                                             "--rounds", "2")
                    self.assertEqual(document["contrast"]["verdict"], contrast, document["text"])
                    self.assertEqual([s["verdict"] for s in document["styles"]], styles)

    def test_the_page_asks_before_each_pass_and_answers_at_the_end(self):
        page = self.expect(GOOD, "contrast", NAME, "--demo=under-accents:3", "--fast",
                           "--rounds", "2", "--seed", "5")
        lines = page.splitlines()
        for line in lines:
            self.assertLessEqual(len(line), 80, line)
            self.assertEqual(line, line.rstrip())
        asked = [line for line in lines if " of 4: " in line]
        self.assertEqual([line.split()[3].strip(".") for line in asked],
                         ["concert", "rudimental", "concert", "rudimental"])
        self.assertIn("Accents 0.5 to 1.5 marks above the taps (1.5 to 4.5 dB).", asked[0])
        self.assertIn("Accents 1.5 to 4.0 marks above the taps (4.5 to 12.0 dB).", asked[1])
        self.assertRegex(page, r"(?m)^  difference .* 3\.0 or more +too small$")
        self.assertIn("The contrast is too small: rudimental accents stand", page)
        self.assertIn("right-sized in concert, under in", " ".join(page.split()))
        self.assertIn("run:4", lines[-1])

    def test_every_pass_is_a_run_of_its_own_in_its_style(self):
        document = self.contrast(NAME, "--demo", "--bars", "7-8", "--rounds", "2")
        self.assertEqual([run["style"] for run in document["runs"]],
                         ["concert", "rudimental"] * 2)
        self.assertEqual(document["bars"], [7, 8])
        for run in document["runs"]:
            judged = self.judge(NAME, f"run:{run['run']}")
            self.assertEqual(judged["style"], run["style"])
            self.assertEqual({s["bar"] for s in judged["strokes"]}, {7, 8})
        with sqlite3.connect(self.data / "evenhand" / "history.db") as db:
            self.assertEqual(db.execute("select kind, exercise, asked from sitting").fetchall(), [
                ("styles", NAME, "styles concert,rudimental bars 7-8 rounds 2")])
            self.assertEqual(
                db.execute("select sitting, stage from run order by number").fetchall(),
                [(1, "concert"), (1, "rudimental")] * 2)

    def test_styles_may_be_named_in_any_order_and_be_ones_own(self):
        document = self.contrast(NAME, "--demo", "--styles", "rudimental,concert")
        self.assertEqual(document["runs"][0]["style"], "rudimental")
        self.assertEqual([s["style"] for s in document["styles"]], ["concert", "rudimental"])
        self.assertEqual(document["contrast"]["verdict"], "there")
        text = (ROOT / "exercises" / "styles" / "concert.ini").read_text()
        mine = self.write("mine.ini", text.replace("name = concert", "name = mine")
                          .replace("low_db = 1.5", "low_db = 2.5"))
        document = self.contrast(NAME, "--demo", "--styles", f"concert,{mine}", "--rounds", "1")
        self.assertEqual(document["contrast"]["limit"], [1.0, None])

    def test_a_contrast_that_is_turned_round_is_named(self):
        # The demo player plays the middle of a style's limits, by their product: 7.7 dB in the
        # style that allows low accents too, 4.6 dB in the one that wants exactly that.
        text = (ROOT / "exercises" / "styles" / "concert.ini").read_text()
        broad, narrow = (
            self.write(f"{name}.ini", text.replace("name = concert", f"name = {name}")
                       .replace("low_db = 1.5", f"low_db = {low}")
                       .replace("high_db = 4.5", f"high_db = {high}"))
            for name, low, high in (("broad", 1.5, 40), ("narrow", 4.5, 4.7)))
        for seed in some(range(3)):
            document = self.contrast(NAME, "--demo", "--styles", f"{broad},{narrow}", "--seed",
                                     seed, "--rounds", "2")
            self.assertEqual(document["contrast"]["verdict"], "turned-round", document["text"])
            self.assertIs(document["contrast"]["fault"], True)
            self.assertIn("lower than broad ones", document["text"])

    def test_a_pad_that_ends_below_the_accents_is_said_to_be_in_the_way(self):
        self.write("top.ini", "[pad]\nname = top\n[range]\ntop_velocity = 70\n")
        page = self.expect(GOOD, "contrast", NAME, "--demo", "--fast", "--pad", "top.ini",
                           "--through", "top.ini", prints="top of the pad's range")
        self.assertRegex(page, r"(?m)^  rudimental .* unclear$")
        self.assertNotRegex(page, r"(?m)^  difference .* too small$")

    def test_what_cannot_be_contrasted_is_said_with_what_to_do(self):
        text = (ROOT / "exercises" / "styles" / "concert.ini").read_text()
        near = self.write("near.ini", text.replace("name = concert", "name = near")
                          .replace("low_db = 1.5", "low_db = 2.4"))
        self.write("all.txt", "title: All\nmetre: 4/4\n| 16:R>L>R>L> R>L>R>L> R>L>R>L> R>L>R>L> |"
                              " 4:RLRL | 16:R>LRL RLRL 4:RL |\n")
        rows = [
            (USAGE, [], "something is missing: evenhand contrast EXERCISE"),
            (FAILED, ["nosuch"], "nosuch: no exercise and no file"),
            (FAILED, ["single-strokes"],
             'no accent in it, so there is nothing to contrast; "evenhand list accents"'),
            (FAILED, ["all.txt", "--bars", "2-2"], "there is no accent in bar"),
            (FAILED, ["all.txt", "--bars", "1-1"], "every stroke in bar"),
            (FAILED, ["all.txt", "--bars", "3-3", "--rounds", "7"],
             "have 1 accent, and 8 are needed in each style; ask for --rounds 8"),
            (FAILED, [NAME, "--bars", "15-17"], f"--bars: {NAME} has the bars 1 to 16"),
            (FAILED, [NAME, "--bars", "8-5"], "bar 8 comes after bar 5; say the earlier one first"),
            (USAGE, [NAME, "--bars", "x"], '--bars: "x" is not A-B'),
            (USAGE, [NAME, "--rounds", "0"], "--rounds: 0 is outside 1 to 50"),
            (USAGE, [NAME, "--rounds", "51"], "--rounds: 51 is outside 1 to 50"),
            (USAGE, [NAME, "--style", "concert"], "did you mean --styles?"),
            (USAGE, [NAME, "--styles", "concert,concert"], "stands there twice"),
            (FAILED, [NAME, "--styles", f"concert,{near}"],
             "are nearer than 1 dB, so there is no contrast to play"),
            (FAILED, [NAME, "--tempo", "500"], "--tempo: 500 is outside 20 to 400"),
        ]
        for status, arguments, says in rows:
            with self.subTest(arguments=arguments):
                self.expect(status, "contrast", *arguments, *(["--demo"] if arguments else []),
                            says=says)
        self.assertFalse((self.data / "evenhand" / "history.db").exists())
        self.expect(GOOD, "contrast", "all.txt", "--bars", "3-3", "--rounds", "8", "--demo",
                    "--fast")

    def test_the_last_bars_may_be_fewer_than_four(self):
        self.write("short.txt", "title: Short\nmetre: 4/4\n| 16:R>LRL R>LRL R>LRL R>LRL |"
                                " 16:RL>RL RL>RL RL>RL RL>RL |\n")
        self.assertEqual(self.contrast("short.txt", "--demo")["bars"], [1, 2])

    def test_ctrl_c_ends_the_practice_and_sums_up_what_was_whole(self):
        run = subprocess.Popen([PROGRAM, "contrast", NAME, "--demo", "--bars", "7-7", "--tempo",
                                "400", "--no-sound", "--rounds", "2", "--json"],
                               cwd=self.folder, env=self.environment, stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, text=True)
        said = ""
        while "2 of 4: " not in said:  # the rest before the second pass
            line = run.stderr.readline()
            self.assertNotEqual(line, "", said)
            said += line
        time.sleep(0.2)
        os.kill(run.pid, signal.SIGINT)
        out, said = run.communicate(timeout=30)
        self.assertEqual(run.returncode, GOOD, said)
        document = json.loads(out)
        self.assertEqual(document["runs"], [{"run": 1, "style": "concert"}])
        self.assertEqual(document["contrast"]["verdict"], "unclear")
        self.assertIn("one of the two styles has no whole pass", document["text"])
        self.assertIsNone(document["styles"][1]["value"])


if __name__ == "__main__":
    main()
