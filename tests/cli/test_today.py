"""A plan from the history, played to its end: what failed comes back below its tempo, in turn."""

import os
import pty
import re
import signal
import sqlite3
import subprocess
import time
import unittest

from evenhand_cli import FAILED, GOOD, PROGRAM, USAGE, CliTest, main

FIVES = "five-stroke-rolls"
FLAMS = "flam-taps-and-accents"


class Today(CliTest):
    def setUp(self):
        super().setUp()
        self.db = self.data / "evenhand" / "history.db"
        self.seed = 10

    def rows(self, query):
        store = sqlite3.connect(f"file:{self.db}?mode=ro", uri=True)
        try:
            return store.execute(query).fetchall()
        finally:
            store.close()

    def play(self, exercise, tempo, ago, *more, fault=""):
        """A run of the demo player's, moved AGO days into the past: what the store keeps of the
        date is this one number."""
        self.seed += 1
        self.demo_run(exercise, f"--demo={fault}" if fault else "--demo", "--tempo", tempo,
                      "--seed", self.seed, *more)
        store = sqlite3.connect(self.db)
        store.execute("UPDATE run SET started_utc_s = started_utc_s - ? "
                      "WHERE number = (SELECT max(number) FROM run)", (ago * 86400,))
        store.commit()
        store.close()

    def weeks(self):
        """Left seconds of the fives late above 96, in bars 5 to 8; flams flat; a quiet piece that
        rested for nine days."""
        for ago in (5, 4, 3):
            self.play(FIVES, 108, ago, "--bars", "5-8", fault="late-left-seconds@96")
        self.play(FIVES, 84, 4)
        self.play(FIVES, 84, 3)
        for ago in (5, 2):
            self.play(FLAMS, 80, ago, fault="flat-flams")
        self.play("quiet-lead", 80, 9)

    def plan(self, *more):
        page = self.expect(GOOD, "today", "--demo", *more)
        for line in page.splitlines():
            self.assertLessEqual(len(line), 80, line)
        return page

    def item(self, page, name):
        """Bars, tempo, passes of a row of the table, and its reason in one line."""
        found = re.search(rf"(?m)^ [A-Z]  {name} +(all bars|bar \d+|[\d-]+) +([\d.]+) +(\d+(?: x \d+)?)\n"
                          r"((?:      .*\n)+)", page)
        self.assertIsNotNone(found, page)
        return found[1], float(found[2]), found[3], " ".join(found[4].split())

    def test_an_empty_history_is_told_with_what_to_do_and_creates_nothing(self):
        self.expect(FAILED, "today", says=("holds no run", "evenhand play"))
        self.expect(FAILED, "today", "--start", says=("holds no run", "evenhand play"))
        self.expect(FAILED, "today", "--db", "absent.db", says="absent.db")
        self.assertEqual(list(self.folder.iterdir()), [])

    def test_whose_runs_count_is_who_plays(self):
        self.play(FIVES, 100, 1, "--bars", "1-2", fault="late-left-seconds")
        self.play(FIVES, 100, 1, "--bars", "1-2", "--player", "ada", fault="late-left-seconds")
        self.expect(FAILED, "today", says="the demo player's count with --demo only")
        self.expect(FAILED, "today", "--demo", "--player", "bo", says="by bo")
        self.expect(FAILED, "today", "--demo", "--style", "concert", says="holds no run")
        self.expect(GOOD, "today", "--demo", "--player", "ada", prints=FIVES)

    def test_runs_of_two_months_ago_are_too_old(self):
        self.play(FIVES, 100, 75, "--bars", "1-2")
        self.expect(FAILED, "today", "--demo", says=("75 days", "evenhand play"))

    def test_impossible_minutes_are_refused(self):
        for minutes in ("0.9", "91", "-3", "soon"):
            self.expect(USAGE, "today", "--minutes", minutes, says="--minutes")
        self.expect(USAGE, "today", "--fast", says="demo player")
        self.expect(USAGE, "today", FIVES, says="too many")

    def test_what_failed_comes_back_in_its_bars_below_its_tempo(self):
        self.weeks()
        page = self.plan()
        bars, tempo, _, reason = self.item(page, FIVES)
        self.assertEqual(bars, "5-8")
        self.assertTrue(84 < tempo < 108, page)
        self.assertIn("left seconds late at 108, in 3 of the latest 3 runs", reason)
        self.assertIn("played 3 days ago", reason)
        self.assertIn("grace-note gap flat at 80, in 2 of the latest 2", self.item(page, FLAMS)[3])
        self.assertLess(self.item(page, FLAMS)[1], 80)
        self.assertIn("not played for 9 days; without a fault at 80", self.item(page, "quiet-lead")[3])
        self.assertIn("In turn: W A B C, A B C", page)
        self.assertEqual(self.plan(), page)
        self.assertEqual(self.rows("SELECT count(*) FROM run"), [(8,)])
        self.assertIn("today --start", page)

    def test_an_exercise_that_was_written_anew_starts_anew(self):
        mine = "data/evenhand/exercises/mine.txt"
        self.write(mine, "title: Before\ntempo: 60 to 120\n" + "| 16:RRLL RRLL RRLL RRLL |\n" * 4)
        for ago in (3, 2):
            self.play("mine", 100, ago, fault="late-left-seconds")
        self.assertIn("in 2 of the latest 2", self.item(self.plan(), "mine")[3])
        self.write(mine, "title: After\ntempo: 60 to 120\n" + "| 16:RRLL RLRL RRLL RLRL |\n" * 6)
        self.play("mine", 100, 1)
        self.assertNotIn("seconds late", self.plan())

    def test_a_whole_plan_is_played_to_its_end_without_a_key(self):
        self.weeks()
        plan = self.plan("--minutes", "8")
        page = self.expect(GOOD, "today", "--demo=late-left-seconds@96", "--fast", "--start",
                           "--minutes", "8", "--seed", "40")
        for line in page.splitlines():
            self.assertLessEqual(len(line), 80, line)
        self.assertIn(plan[:plan.index('"evenhand today')].strip(), page)
        passes = [eval(passes.replace("x", "*")) for passes in  # noqa: S307 "3 x 2", our own table
                  re.findall(r"(?m)^ [A-Z]  \S+ .*  (\d+(?: x \d+)?)$", plan)]
        sittings = self.rows("SELECT number, kind FROM sitting")
        self.assertEqual([kind for _, kind in sittings], ["today"])
        played = self.rows("SELECT exercise, tempo_bpm, first_bar, last_bar, ended FROM run "
                           "WHERE sitting IS NOT NULL AND sitting > 0 ORDER BY number")
        self.assertEqual(len(played), sum(passes))
        self.assertEqual({row[4] for row in played}, {"complete"})
        self.assertEqual(len(re.findall(r"(?m)^   pass \d+  ", page)), len(played))
        first = played[0][0]
        self.assertTrue(first.startswith("warm-up-"), first)
        # In turn: each of the others comes back after the others have been.
        turns = [name for i, (name, *_) in enumerate(played) if i == 0 or played[i - 1][0] != name]
        self.assertEqual(turns[1:4], turns[4:7])
        self.assertEqual(len(set(turns[1:4])), 3)
        end = page[page.index("What had failed, before and now"):]
        tempo = self.item(plan, FIVES)[1]
        self.assertRegex(end, rf"A  {FIVES}, bars 5 to 8: left seconds late")
        before = re.search(r"before  (0\.\d\d) of the span, (0\.\d\d) to (0\.\d\d) \(runs at 108", end)
        now = re.search(r"now     (0\.\d\d) of the span, (0\.\d\d) to (0\.\d\d): (\w+)", end)
        self.assertLess(tempo, 96, "where the learner's fault does not show")
        self.assertTrue(float(before[2]) > 0.55 > float(now[1]) > 0.45, end)
        self.assertEqual(now[4], "fine")
        self.assertIn(f"at {tempo:g}, n=", end)

    def test_what_still_fails_is_said(self):
        self.weeks()
        page = self.expect(GOOD, "today", "--demo=late-left-seconds", "--fast", "--start",
                           "--minutes", "8")
        self.assertRegex(page[page.index("What had failed"):],
                         r"now     0\.6\d of the span, 0\.\d\d to 0\.\d\d: still fails")

    def started(self, *arguments):
        """The program at a terminal; its output as it comes."""
        main_end, other_end = pty.openpty()
        process = subprocess.Popen([PROGRAM, "today", *arguments], cwd=self.folder, stdin=other_end,
                                   stdout=other_end, stderr=subprocess.STDOUT, env=self.environment,
                                   start_new_session=True)
        os.close(other_end)
        self.addCleanup(os.close, main_end)
        self.addCleanup(process.kill)
        return process, main_end

    def read_until(self, terminal, words):
        page = ""
        end = time.monotonic() + 60
        while words is None or words not in page:
            self.assertLess(time.monotonic(), end, page)
            try:
                page += os.read(terminal, 4096).decode()
            except OSError:  # the other end is closed
                break
        return page

    def test_at_a_terminal_enter_begins_and_ctrl_c_ends_it_with_what_was_found(self):
        self.play(FIVES, 100, 2, "--bars", "1-4", fault="late-left-seconds")
        self.play(FIVES, 100, 1, "--bars", "1-4", fault="late-left-seconds")
        process, terminal = self.started("--demo", "--no-sound", "--minutes", "2")
        page = self.read_until(terminal, "Enter begins")
        self.assertNotIn("pass 1", page)
        self.assertEqual(self.rows("SELECT count(*) FROM run"), [(2,)])
        os.write(terminal, b"\n")
        self.read_until(terminal, "W  warm-up")
        process.send_signal(signal.SIGINT)
        page = self.read_until(terminal, None)
        self.assertEqual(process.wait(60), GOOD, page)
        self.assertIn("not played to an answer", page)
        self.assertIn("before  0.6", page)


if __name__ == "__main__":
    main()
