"""Bad input: one clear line, exit status 1, no crash, nothing lost or created."""

import os
import random
import socket
import struct
import subprocess
import unittest

import midi_takes
import stroke_tables
from evenhand_cli import FAILED, GOOD, PROGRAM, ROOT, USAGE, CliTest, main

NAME = "five-stroke-rolls"


def chunk(kind, body):
    return kind + struct.pack(">I", len(body)) + body


def header(kind=0, tracks=1, division=480):
    return chunk(b"MThd", struct.pack(">HHH", kind, tracks, division))


class Takes(CliTest):
    def good_bytes(self):
        path = self.folder / "good.mid"
        midi_takes.exact_take(stroke_tables.EXERCISES[NAME], 120).save(path)
        return path.read_bytes()

    def test_what_is_no_midi_file_is_refused_with_the_reason(self):
        good = self.good_bytes()
        rows = [
            ("empty.mid", b"", "is empty"),
            ("text.mid", b"This is a text, not music.\n" * 10, "text file"),
            ("zeros.mid", b"\0" * 64, "zeros.mid: "),
            ("cut.mid", good[:len(good) // 2], "at byte"),
            ("head.mid", good[:10], "at byte"),
            ("format2.mid", header(2) + chunk(b"MTrk", b"\0\xff\x2f\0"), "at byte"),
            ("division0.mid", header(0, 1, 0) + chunk(b"MTrk", b"\0\xff\x2f\0"), "at byte"),
            ("event.mid", header() + chunk(b"MTrk", b"\0\x40\x40\0\xff\x2f\0"), "at byte"),
            ("length.mid", header() + chunk(b"MTrk", b"\xff\xff\xff\xff\xff\x90"), "at byte"),
        ]
        for name, content, words in rows:
            with self.subTest(name=name):
                self.write(name, content)
                self.expect(FAILED, "judge", NAME, name, says=[f"{name}: ", words])
                self.expect(FAILED, "judge", NAME, name, "--json", says=words)

    def test_what_is_no_ordinary_file_is_refused_at_once(self):
        os.mkfifo(self.folder / "pipe")
        (self.folder / "folder").mkdir()
        with socket.socket(socket.AF_UNIX) as unix:
            unix.bind(str(self.folder / "socket"))
            for name, words in [("folder", "is a folder"), ("pipe", "is a device or pipe"),
                                ("/dev/zero", "is a device or pipe"), ("socket", "socket: "),
                                ("absent.mid", "there is no such file"),
                                ("empty.mid/x", "there is no such file")]:
                with self.subTest(name=name):
                    self.expect(FAILED, "judge", NAME, name, says=words)
                    if name != "absent.mid":
                        self.expect(FAILED, "show", f"./{name}" if name[0] != "/" else name)

    @unittest.skipIf(os.geteuid() == 0, "root may read everything")
    def test_a_file_that_may_not_be_read_is_refused(self):
        self.write("secret.mid", self.good_bytes()).chmod(0)
        self.expect(FAILED, "judge", NAME, "secret.mid", says="you may not read it")

    @unittest.skipUnless(os.geteuid() == 0, "needs another user to become")
    def test_a_file_of_another_user_is_refused(self):
        """The same as root: the program runs as nobody."""
        self.folder.chmod(0o755)
        self.write("secret.mid", self.good_bytes()).chmod(0o600)
        exercise = self.write("mine.txt", "| 4:RLRL |\n")
        exercise.chmod(0o644)
        run = subprocess.run(
            ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", PROGRAM, "judge",
             "./mine.txt", "secret.mid"],
            cwd=self.folder, env=self.environment, capture_output=True, check=False)
        if run.returncode in (126, 127):
            self.skipTest("the program itself lies where nobody may go")
        self.assertEqual(run.returncode, FAILED, run.stderr)
        self.assertIn(b"you may not read it", run.stderr)

    def test_a_take_without_hits_is_refused_and_says_what_is_in_it(self):
        midi_takes.file_of([], 120).save(self.folder / "silent.mid")
        self.expect(FAILED, "judge", NAME, "silent.mid", says="not one hit")
        file = midi_takes.exact_take(stroke_tables.EXERCISES[NAME], 120)
        for message in file.tracks[1]:
            if not message.is_meta:
                message.note = 36
        file.save(self.folder / "kick.mid")
        self.expect(FAILED, "judge", NAME, "kick.mid",
                    says=["none of its 253 notes is one of the pad's", "37, 38, 40"])

    def test_another_exercise_is_not_judged(self):
        path = self.folder / "other.mid"
        midi_takes.exact_take(stroke_tables.EXERCISES["single-strokes"], 120).save(path)
        self.expect(FAILED, "judge", "nine-stroke-rolls", path, "--json", says="not in this take")

    def test_damaged_files_never_crash(self):
        """Bytes of a good file changed at random (seeded): judged or refused, never a crash."""
        good = self.good_bytes()
        chance = random.Random(20)
        for turn in range(60):
            bad = bytearray(good)
            for _ in range(chance.randint(1, 20)):
                bad[chance.randrange(len(bad))] = chance.randrange(256)
            self.write("bad.mid", bytes(bad))
            run = self.run_program("judge", NAME, "bad.mid", "--json")
            self.assertIn(run.returncode, (GOOD, FAILED), (turn, run.stderr))

    def test_start_says_where_the_exercise_begins(self):
        path = self.folder / "take.mid"
        path.write_bytes(self.good_bytes())
        found = self.judge(NAME, path)
        self.assertAlmostEqual(found["take"]["start_ms"], 4000, places=3)
        for start in ("3", "3:1", "3:1.0", "3:1/1"):
            self.assertEqual(self.judge(NAME, path, "--start", start), found)
        # A bar later only the later bars' hits fit: the numbers must differ.
        self.assertNotEqual(self.judge(NAME, path, "--start", "4")["counts"], found["counts"])
        self.expect(USAGE, "judge", NAME, path, "--start", "3:5", says="no such beat")
        self.expect(FAILED, "judge", NAME, path, "--start", "900")


class ExerciseFiles(CliTest):
    def test_bad_exercises_are_refused_with_their_place(self):
        rows = [
            ("empty.txt", b"", "is empty"),
            ("nothing.txt", b"title: Nothing\n", "nothing.txt"),
            ("rests.txt", b"| 1:- |\n", "rests.txt"),
            ("binary.txt", bytes(range(256)), "binary.txt:1:1: "),
            ("short.txt", b"| 4:RLR |\n", "short.txt:1:"),
            ("midi.txt", b"MThd\0\0\0\6\0\0\0\1\1\xe0", "midi.txt: this is a MIDI file"),
            ("latin.txt", b"title: Gr\xf6\xdfe\n| 4:RLRL |\n", "latin.txt:1:"),
            ("piece.musicxml", b"<?xml version='1.0'?>", "expected an XML document"),
        ]
        for name, content, words in rows:
            with self.subTest(name=name):
                self.write(name, content)
                self.expect(FAILED, "show", name, says=words)
                self.expect(FAILED, "play", name, "--demo", "--fast", "--json", says=words)
        self.assertFalse(self.data.exists(), "nothing is created")

    def test_bars_that_do_not_exist_are_refused(self):
        run = self.run_program("play", NAME, "--demo", "--fast", "--bars", "40-41")
        self.assertIn(run.returncode, (FAILED, USAGE))
        self.assertIn(b"evenhand: ", run.stderr)
        self.assertFalse(self.data.exists(), "nothing is created")


class Output(CliTest):
    def test_output_that_does_not_arrive_is_an_error(self):
        path = self.folder / "take.mid"
        midi_takes.exact_take(stroke_tables.EXERCISES[NAME], 120).save(path)
        rows = [["--help"], ["--version"], ["list"], ["show", NAME], ["judge", NAME, path],
                ["judge", NAME, path, "--json"], ["history"], ["play", "--help"],
                ["play", NAME, "--demo", "--fast", "--bars", "1-2", "--json"]]
        for arguments in rows:
            with self.subTest(arguments=arguments), open("/dev/full", "wb") as full:
                run = self.run_program(*arguments, stdout=full, stderr=subprocess.PIPE)
                self.assertEqual(run.returncode, FAILED, run.stderr)
                self.assertIn(b"evenhand: standard output: ", run.stderr)

    def test_json_is_one_document_and_plain_text_has_no_escapes(self):
        path = self.folder / "take.mid"
        midi_takes.exact_take(stroke_tables.EXERCISES[NAME], 120).save(path)
        self.judge(NAME, path)
        page = self.expect(GOOD, "judge", NAME, path)
        self.assertNotIn("\x1b", page)
        self.assertLessEqual(max(map(len, page.splitlines())), 80)


if __name__ == "__main__":
    main()
