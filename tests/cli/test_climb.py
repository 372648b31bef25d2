"""evenhand climb: up, back, the tempo held and what broke first, with demo learners whose fault shows
only above a tempo; killed and gone on with; what cannot be climbed. Figures over a hundred seeds:
tools/measure-climb."""

import json
import signal
import sqlite3
import subprocess
import time

from evenhand_cli import FAILED, GOOD, PROGRAM, USAGE, CliTest, main, some

FIVES = "five-stroke-rolls"

# Exercise, tempi and step, the demo player's fault, above which tempo, what is to be said of it.
LEARNERS = [
    (FIVES, (70, 120, 4), "late-left-seconds:40", 92.5, ("diddle-spacing", "left", "late")),
    ("nine-stroke-rolls", (66, 112, 8), "weak-right-seconds", 85, ("diddle-level", "right", "weak")),
    ("double-strokes", (70, 120, 5), "early-right-seconds:40", 101,
     ("diddle-spacing", "right", "early")),
    ("accents-over-taps", (70, 120, 8), "under-accents:2", 89, ("accent", None, None)),
]


class Climb(CliTest):
    def words(self, exercise, tempi, demo, *more):
        low, high, step = tempi
        return ["climb", exercise, "--from", low, "--to", high, "--step", step, f"--demo={demo}",
                "--fast", *more]

    def climb(self, *arguments):
        return json.loads(self.expect(GOOD, *self.words(*arguments, "--json")))

    def rows(self, query):
        store = sqlite3.connect(f"file:{self.data}/evenhand/history.db?mode=ro", uri=True)
        try:
            return store.execute(query).fetchall()
        finally:
            store.close()

    def check_found(self, document, aim, step, expected):
        stage = document["stages"][-1]
        self.assertEqual(document["end"], "the next tempo failed twice")
        self.assertLessEqual(abs(stage["passed_bpm"] - aim), step)
        self.assertLessEqual(abs(stage["held"]["bpm"] - aim), step)
        broke = document["broke"]
        for word, wanted in zip(("aspect", "hand", "direction"), expected):
            self.assertIn(wanted, (None, broke[word]), broke)
        low, high = broke["limit"]
        self.assertTrue(broke["value"] < (low or -1e9) or broke["value"] > (high or 1e9), broke)
        self.assertGreater(broke["bpm"], aim)

    def test_the_tempo_of_a_learner_is_found_within_a_step_and_what_broke_is_named(self):
        for seed, (exercise, tempi, fault, aim, expected) in enumerate(some(LEARNERS), 1):
            with self.subTest(exercise=exercise, fault=fault):
                document = self.climb(exercise, tempi, f"{fault}@{aim}", "--seed", seed)
                self.check_found(document, aim, tempi[2], expected)

    def test_who_plays_well_reaches_the_top(self):
        document = self.climb(FIVES, (70, 90, 10), "none")
        self.assertEqual((document["end"], document["passes"]), ("the highest tempo holds", 6))
        held = document["stages"][-1]["held"]
        self.assertTrue(held["open_high"])
        self.assertIsNone(document["broke"])

    def kill_after(self, passes, words):
        """Kills the climb (kill -9) once so many passes were told."""
        child = subprocess.Popen([PROGRAM, *map(str, words)], stdout=subprocess.PIPE, text=True,
                                 env=self.environment, cwd=self.folder, stdin=subprocess.DEVNULL)
        for line in child.stdout:
            passes -= line.startswith("  pass ")
            if passes == 0:
                child.send_signal(signal.SIGKILL)
                break
        child.stdout.close()
        self.assertEqual(child.wait(), -signal.SIGKILL)

    def test_a_climb_that_was_killed_goes_on_where_it_stood(self):
        words = self.words(FIVES, (70, 120, 8), "late-left-seconds:40@90", "--seed", 4)
        self.kill_after(5, words)
        told = self.rows("SELECT count(*) FROM run WHERE ended = 'complete'")[0][0]
        self.assertGreaterEqual(told, 5)
        text = self.expect(GOOD, *words)
        self.assertIn("of 1 earlier sitting", text)
        # The same day: one sitting, and nothing of it counts for less.
        self.assertEqual(self.rows("SELECT count(*) FROM sitting"), [(1,)])
        document = json.loads(self.expect(GOOD, *words, "--json"))
        self.check_found(document, 90, 8, ("diddle-spacing", "left", "late"))
        # By then it had ended, so that this was another sitting, which began at the tempo held.
        self.assertEqual(self.rows("SELECT count(*) FROM sitting"), [(2,)])
        first = self.rows("SELECT tempo_bpm FROM run WHERE sitting = 2 ORDER BY number LIMIT 1")
        self.assertEqual(first, [(86.0,)])

    def test_another_day_goes_on_and_another_wish_begins_anew(self):
        tempi = (70, 120, 8)
        self.climb(FIVES, tempi, "none", "--passes", 5)
        store = sqlite3.connect(self.data / "evenhand" / "history.db")
        store.execute("UPDATE sitting SET begun_utc_s = begun_utc_s - 86400")
        store.execute("UPDATE run SET started_utc_s = started_utc_s - 86400")
        store.commit()
        store.close()
        document = self.climb(FIVES, tempi, "none", "--passes", 3)
        self.assertEqual(document["earlier_passes"], 5)
        self.assertEqual(self.rows("SELECT tempo_bpm FROM run WHERE sitting = 2 ORDER BY number"),
                         [(86.0,), (86.0,), (94.0,)])
        for more in (["--anew"], ["--in-a-row", 1], ["--bars", "2-5"], ["--player", "ada"]):
            with self.subTest(more=more):
                document = self.climb(FIVES, tempi, "none", "--passes", 1, *more)
                self.assertEqual(document["earlier_passes"], 0)

    def test_the_hand_motion_comes_first_at_each_tempo(self):
        document = self.climb(FIVES, (70, 90, 10), "late-left-seconds:40@85", "--hand-motion")
        motion, played = document["stages"]
        self.assertEqual((motion["stage"], played["stage"]), ("hand motion", "as written"))
        self.assertEqual(motion["passed_bpm"], 90)  # it has no seconds that could be late
        self.assertEqual(played["passed_bpm"], 80)
        self.assertEqual(document["broke"]["stage"], "as written")
        order = self.rows("SELECT stage, tempo_bpm FROM run ORDER BY number LIMIT 6")
        self.assertEqual(order, [("hand motion", 70.0)] * 2 + [("as written", 70.0)] * 2 +
                         [("hand motion", 80.0)] * 2)
        # A pass of the hand motion is judged again by what was played, not by the written rolls.
        again = self.judge(FIVES, "run:1")
        self.assertEqual(again["counts"]["missed"] + again["counts"]["extra"], 0)

    def test_only_the_chosen_aspects_count(self):
        tempi, fault = (70, 86, 8), "late-left-seconds:40"
        document = self.climb(FIVES, tempi, fault, "--aspects", "diddle-level,timing")
        self.assertEqual(document["end"], "the highest tempo holds")
        document = self.climb(FIVES, tempi, fault, "--aspects", "diddle-spacing")
        self.assertEqual(document["end"], "the lowest tempo failed twice")

    def test_the_page_says_it_within_80_columns(self):
        text = self.expect(GOOD, *self.words(FIVES, (70, 120, 4), "late-left-seconds:40@92"))
        for line in text.splitlines():
            self.assertLessEqual(len(line), 80, line)
        for words in ("Next: 94 to the quarter", "once more like this leads back",
                      "Tempo held: 92 to the quarter", "---- held: three passes of four are clean",
                      "What broke first: at 94, left seconds late", "Another day it goes on at 90"):
            self.assertIn(words, text)
        self.assertNotIn("\x1b", text)

    def test_one_answer_is_one(self):
        page = self.expect(GOOD, *self.words(FIVES, (70, 120, 4), "none", "--passes", 1, "--bars", "1-2"))
        self.assertIn("(n=1 answer).", " ".join(page.split()))

    def test_an_interrupted_climb_keeps_what_was_played(self):
        words = ["climb", FIVES, "--demo", "--no-sound", "--from", "200", "--to", "220",
                 "--aspects", "timing"]
        child = subprocess.Popen([PROGRAM, *words], stdout=subprocess.PIPE, text=True,
                                 env=self.environment, cwd=self.folder, stdin=subprocess.DEVNULL)
        time.sleep(2.5)
        child.send_signal(signal.SIGINT)
        out, _ = child.communicate(timeout=20)
        self.assertEqual(child.returncode, GOOD, out)
        self.assertIn("broken off; it counts neither way", out)
        self.assertEqual(self.rows("SELECT ended FROM run"), [("stopped",)])

    def test_what_cannot_be_climbed_is_said(self):
        for arguments, status, words in (
                (["--from", 120, "--to", 70], FAILED, "begin with the slower tempo"),
                (["--step", 0], FAILED, "a step is more than 0"),
                (["--from", 10], FAILED, "a ladder goes from 20 to 400 at most"),
                (["--bars", "40-44"], FAILED, "has bars 1 to 17"),
                (["--bars", "x"], USAGE, "is not A-B"),
                (["--aspects", "taste"], USAGE, "diddle-spacing, diddle-level"),
                (["--in-a-row", 0], USAGE, "1 to 9"),
                (["--passes", 0], USAGE, "--passes")):
            with self.subTest(arguments=arguments):
                self.expect(status, "climb", FIVES, "--demo", "--fast", *arguments, says=words)
        self.expect(FAILED, "climb", "single-strokes", "--demo", "--fast", "--hand-motion",
                    says="climb without --hand-motion")
        self.expect(FAILED, "climb", FIVES, "--demo", "--fast", "--hand-motion", "--bars", "17",
                    says="no roll in these bars")
        self.expect(FAILED, "climb", "no-such-exercise", "--demo", "--fast", says="no-such-exercise")
        self.expect(USAGE, "climb", says="climb EXERCISE")


if __name__ == "__main__":
    main()
