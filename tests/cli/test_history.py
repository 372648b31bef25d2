"""Runs are kept, listed, shown, written as MIDI, and judged again with the same answer."""

import json
import os
import sqlite3
import stat
import unittest

import mido

from evenhand_cli import FAILED, GOOD, CliTest, main

NAME = "five-stroke-rolls"


class History(CliTest):
    def setUp(self):
        super().setUp()
        self.db = self.data / "evenhand" / "history.db"

    def one_run(self):
        return self.demo_run(NAME, "--demo=late-left-seconds", "--seed", "3")

    def test_no_history_is_an_answer_and_creates_nothing(self):
        self.expect(GOOD, "history", prints="No runs yet")
        self.expect(FAILED, "history", "show", "1", says="no runs yet")
        self.expect(FAILED, "judge", NAME, "run:1", says="no runs yet")
        self.expect(FAILED, "history", "--db", "absent.db", says="absent.db")
        self.expect(FAILED, "judge", NAME, "run:1", "--db", "absent.db", says="absent.db")
        self.assertEqual(list(self.folder.iterdir()), [])

    def test_a_run_is_listed_newest_first_and_shown(self):
        self.one_run()
        self.demo_run("single-strokes", "--demo", "--bars", "1-2")
        page = self.expect(GOOD, "history")
        self.assertLess(page.index("single-strokes"), page.index(NAME))
        only = self.expect(GOOD, "history", "--exercise", NAME)
        self.assertNotIn("single-strokes", only)
        self.assertNotIn(NAME, self.expect(GOOD, "history", "--limit", "1"))
        none = self.expect(GOOD, "history", "--exercise", "flam")
        self.assertEqual(none, "No runs of flam yet; \"evenhand history\" lists those there are.\n")
        shown = self.expect(GOOD, "history", "show", "1")
        for words in (NAME, "late-left-seconds", "seed 3", "253", "complete", "run:1"):
            self.assertIn(words, shown)
        self.assertEqual(self.expect(GOOD, "history", "show", "run:1"), shown)
        self.expect(FAILED, "history", "show", "3", says="run:3: ")

    def test_a_tempo_is_told_as_it_was_asked_for(self):
        for tempo in ("70", "97.5", "133"):
            self.expect(GOOD, "play", NAME, "--demo", "--fast", "--bars", "1-2", "--tempo", tempo,
                        prints=f"rudimental style, {tempo} to the quarter, bars 1 to 2;")

    def test_judging_a_run_again_gives_the_same_document(self):
        played = self.one_run()
        self.assertEqual(self.judge(NAME, "run:1"), played)
        kept = json.loads(self.expect(GOOD, "history", "show", "1", "--json"))
        self.assertEqual(kept, played)
        late = [finding for finding in played["findings"] if finding["fault"]]
        self.assertEqual([(finding["aspect"], finding["hand"], finding["direction"])
                          for finding in late], [("diddle-spacing", "left", "late")])

    def test_a_run_is_judged_by_the_exercise_as_it_was_played(self):
        self.write("data/evenhand/exercises/mine.txt", "title: Before\n| 8:RLRL RLRL |\n")
        played = self.demo_run("mine", "--demo")
        self.write("data/evenhand/exercises/mine.txt", "title: After\n| 8:RRLL RRLL |\n")
        self.assertEqual(self.judge("mine", "run:1"), played)
        (self.data / "evenhand/exercises/mine.txt").unlink()
        self.assertEqual(self.judge("mine", "run:1"), played)

    def test_another_style_changes_the_verdict_of_a_run_only_when_asked(self):
        self.demo_run(NAME, "--demo", "--seed", "1")
        self.assertEqual(self.judge(NAME, "run:1")["style"], "rudimental")
        concert = self.judge(NAME, "run:1", "--style", "concert")
        self.assertEqual(concert["style"], "concert")
        self.assertIn("overblown", [finding["verdict"] for finding in concert["findings"]])

    def test_an_exported_run_is_read_by_another_program_and_judged_alike(self):
        played = self.one_run()
        self.expect(GOOD, "history", "export", "1", "run.mid", prints="253 hits")
        notes = [message for message in mido.MidiFile(self.folder / "run.mid")
                 if message.type == "note_on" and message.velocity > 0]
        self.assertEqual(len(notes), 253)
        self.assertEqual([note.velocity for note in notes],
                         [int(stroke["velocity"]) for stroke in played["strokes"]])
        again = self.judge(NAME, "run.mid")
        self.assertEqual([(f["aspect"], f["hand"], f["verdict"]) for f in again["findings"]],
                         [(f["aspect"], f["hand"], f["verdict"]) for f in played["findings"]])
        for before, after in zip(played["strokes"], again["strokes"]):
            self.assertAlmostEqual(before["offset_ms"], after["offset_ms"], delta=0.03)

    def test_an_export_overwrites_nothing_and_says_what_is_in_the_way(self):
        self.one_run()
        self.write("there.mid", "mine")
        self.expect(FAILED, "history", "export", "1", "there.mid", says="exists already")
        self.assertEqual((self.folder / "there.mid").read_text(), "mine")
        self.expect(FAILED, "history", "export", "1", "no/where.mid", says="does not exist")
        self.expect(FAILED, "history", "export", "1", "/dev/full", says="/dev/full")
        self.expect(FAILED, "history", "export", "7", "seven.mid", says="run:7")
        self.assertFalse((self.folder / "seven.mid").exists())

    def test_a_history_that_cannot_be_read_is_refused_and_left_alone(self):
        self.one_run()
        good = self.db.read_bytes()
        newer = self.folder / "newer.db"
        newer.write_bytes(good)
        with sqlite3.connect(newer) as connection:
            connection.execute("PRAGMA user_version = 9999")
        connection.close()
        other = self.folder / "other.db"
        with sqlite3.connect(other) as connection:
            connection.execute("CREATE TABLE recipes (name TEXT)")
        connection.close()
        self.write("text.db", "Dear diary,\n" * 400)
        self.write("cut.db", good[:len(good) // 2 // 4096 * 4096 + 100])
        self.write("scrambled.db", good[:100] + bytes(b ^ 0x5A for b in good[100:]))
        for name in ("newer.db", "other.db", "text.db", "cut.db", "scrambled.db"):
            before = (self.folder / name).read_bytes()
            for arguments in (["history"], ["history", "show", "1"], ["judge", NAME, "run:1"],
                              ["play", NAME, "--demo", "--fast", "--bars", "1-2", "--json"]):
                if name == "cut.db" and arguments[0] == "history" and len(arguments) == 1:
                    continue  # the pages of the list may be whole
                with self.subTest(name=name, arguments=arguments):
                    self.expect_refused(name, arguments)
                    self.assertEqual((self.folder / name).read_bytes(), before)
        (self.folder / "folder.db").mkdir()
        self.expect(FAILED, "history", "--db", "folder.db", says="folder.db")

    def expect_refused(self, name, arguments):
        """A practice may go on without its history, but says so; everything else fails."""
        run = self.run_program(*arguments, "--db", name)
        self.assertIn(name.encode(), run.stderr)
        if arguments[0] != "play":
            self.assertEqual((run.returncode, run.stdout), (FAILED, b""), run.stderr)
        self.assertGreaterEqual(run.returncode, 0, run.stderr)

    def test_the_history_is_the_users_alone(self):
        self.one_run()
        self.assertEqual(stat.S_IMODE(os.stat(self.db.parent).st_mode), 0o700)

    @unittest.skipIf(os.geteuid() == 0, "root may write everywhere")
    def test_a_folder_that_may_not_be_written_is_said(self):
        self.data.mkdir(mode=0o500)
        run = self.run_program("play", NAME, "--demo", "--fast", "--bars", "1-2")
        self.assertIn(b"history", run.stderr)


if __name__ == "__main__":
    main()
