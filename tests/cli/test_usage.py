"""Wrong usage is answered with exit status 2, the option's name and the nearest one."""

import fcntl
import os
import pty
import re
import shutil
import struct
import subprocess
import termios

from evenhand_cli import FAILED, GOOD, PROGRAM, ROOT, SHIPPED, USAGE, CliTest, main

COMMANDS = ["play", "audition", "care", "climb", "contrast", "demo", "calibrate", "judge", "compare",
            "history", "list", "show", "export", "pad", "ports", "pulse", "today"]


class Usage(CliTest):
    def test_help_and_version_are_answered_everywhere(self):
        for command in COMMANDS:
            with self.subTest(command=command):
                page = self.expect(GOOD, command, "--help", prints=f"Usage: evenhand {command}")
                self.assertEqual(self.expect(GOOD, "help", command), page)
                self.assertEqual(self.expect(GOOD, command, "-h"), page)
                for line in page.splitlines():
                    self.assertLessEqual(len(line), 80, line)
                for option in ("--help", "--version", "--db FILE"):
                    self.assertIn(option, page)
                self.assertRegex(self.expect(GOOD, command, "--version"), r"^evenhand \d+\.\d+")
        self.assertRegex(self.expect(GOOD, "--version"), r"^evenhand \d+\.\d+\.\d+\n$")

    def test_the_main_help_lists_every_command(self):
        page = self.expect(GOOD, "--help")
        for command in COMMANDS:
            self.assertRegex(page, rf"(?m)^  {command} +\w")
        self.assertEqual(self.expect(GOOD, "help"), page)
        self.assertEqual(self.expect(GOOD, "-h"), page)

    def test_no_page_says_a_range_twice(self):
        for command in COMMANDS:
            for line in self.expect(GOOD, command, "--help").splitlines():
                ranges = re.findall(r"\d+ to \d+", line)
                self.assertEqual(len(ranges), len(set(ranges)), line)

    def test_a_complaint_ends_its_lines_between_words_on_a_terminal(self):
        near, far = pty.openpty()
        fcntl.ioctl(far, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 60, 0, 0))
        status = subprocess.run([PROGRAM, "show", "no-such-\u00e9xercise"], stdin=subprocess.DEVNULL,
                                stdout=far, stderr=far, env=self.environment, cwd=self.folder,
                                timeout=60, check=False).returncode
        os.close(far)
        page = os.read(near, 4096).decode().replace("\r\n", "\n")
        os.close(near)
        self.assertEqual(status, FAILED)
        plain = self.run_program("show", "no-such-\u00e9xercise").stderr.decode()
        self.assertEqual(page.replace("\n  ", " "), plain)
        self.assertGreater(page.count("\n"), 1)
        for line in page.splitlines():
            self.assertLessEqual(len(line), 60, page)

    def test_help_goes_before_other_mistakes_that_follow(self):
        self.expect(GOOD, "judge", "--help", "--nonsense")

    def test_wrong_usage_exits_with_2_and_says_what_is_wrong(self):
        rows = [
            ([], "say what to do"),
            (["paly", "single-strokes"], 'did you mean "play"'),
            (["xyzzy"], "xyzzy: no such command"),
            (["--verison"], 'did you mean "--version"?'),
            (["help", "juge"], 'did you mean "judge"?'),
            (["play"], "play: something is missing: evenhand play EXERCISE"),
            (["play", "single-strokes", "double-strokes"], "double-strokes: one argument too many"),
            (["play", "single-strokes", "--tempoo", "90"], "--tempoo: no such option; did you mean --tempo?"),
            (["play", "single-strokes", "--zzzzzzzzzz"], "--zzzzzzzzzz: no such option"),
            (["play", "single-strokes", "-t", "90"], "-t: no such option"),
            (["play", "single-strokes", "--tempo"], "--tempo: needs a value (BPM)"),
            (["play", "single-strokes", "--tempo="], "--tempo: needs a value (BPM)"),
            (["play", "single-strokes", "--tempo", "--json"], "--tempo: needs a value (BPM)"),
            (["play", "single-strokes", "--tempo", "fast"], '--tempo: "fast" is not a number'),
            (["play", "single-strokes", "--tempo", "1e2"], '--tempo: "1e2" is not a number'),
            (["play", "single-strokes", "--tempo", "nan"], '--tempo: "nan" is not a number'),
            (["play", "single-strokes", "--tempo", "90,5"], '--tempo: "90,5" is not a number'),
            (["play", "single-strokes", "--passes", "0"], "--passes: 0 is outside 1 to"),
            (["play", "single-strokes", "--passes", "1.5"], '--passes: "1.5" is not a whole number'),
            (["play", "single-strokes", "--json=yes"], "--json: takes no value"),
            (["play", "single-strokes", "--bars", "x"], "--bars"),
            (["judge", "single-strokes"], "judge: something is missing: evenhand judge EXERCISE TAKE"),
            (["judge", "single-strokes", "run:"], "say the run's number"),
            (["judge", "single-strokes", "run:0"], "say the run's number"),
            (["judge", "single-strokes", "run:1x"], "say the run's number"),
            (["judge", "single-strokes", "a.mid", "--start", "0"], '--start: "0" is not BAR[:BEAT]'),
            (["judge", "single-strokes", "a.mid", "--start", "2:0"], "is not BAR[:BEAT]"),
            (["judge", "single-strokes", "a.mid", "--start", "2:"], "is not BAR[:BEAT]"),
            (["judge", "single-strokes", "a.mid", "--start", "2:1/0"], "is not BAR[:BEAT]"),
            (["judge", "single-strokes", "a.mid", "--start", "2:12/11"], "is not BAR[:BEAT]"),
            (["judge", "single-strokes", "a.mid", "--start", "two"], "is not BAR[:BEAT]"),
            (["history", "shwo", "1"], "shwo: no such word"),
            (["history", "show"], "evenhand history show RUN"),
            (["history", "export", "1"], "evenhand history export RUN FILE.mid"),
            (["history", "show", "one"], "one is not a run's number"),
            (["history", "--limit", "0"], "--limit: 0 is outside 1 to"),
            (["list", "flams", "drags"], "drags: one argument too many"),
            (["show"], "show: something is missing"),
            (["ports", "--json"], "--json: no such option"),
        ]
        for arguments, words in rows:
            with self.subTest(arguments=arguments):
                self.expect(USAGE, *arguments, says=words)
        self.assertFalse(self.data.exists(), "wrong usage creates nothing")

    def test_a_tempo_beyond_the_limits_is_refused_and_nothing_is_created(self):
        for command in (["play", "single-strokes", "--demo", "--fast"],
                        ["demo", "single-strokes", "--save", "beyond.mid"]):
            for tempo in ("19.99", "400.01", "-90", "0"):
                with self.subTest(command=command, tempo=tempo):
                    self.expect(FAILED, *command, "--tempo", tempo,
                                says=f"--tempo: {tempo} is outside 20 to 400")
        self.assertFalse(self.data.exists(), "nothing is created")

    def test_the_limits_themselves_are_accepted(self):
        for tempo in ("20", "400", "97.5"):
            with self.subTest(tempo=tempo):
                self.demo_run("single-strokes", "--demo", "--bars", "1-2", "--tempo", tempo)

    def test_options_may_stand_anywhere_and_a_double_dash_ends_them(self):
        page = self.expect(GOOD, "show", "single-strokes")
        self.assertEqual(self.expect(GOOD, "show", "--", "single-strokes"), page)
        self.assertEqual(self.expect(GOOD, "show", "--db", "x.db", "single-strokes"), page)
        self.assertEqual(self.expect(GOOD, "show", "single-strokes", "--db=x.db"), page)
        self.expect(FAILED, "show", "--", "--help", says="--help: no exercise and no file")

    def test_db_may_stand_before_the_command(self):
        self.demo_run("single-strokes", "--demo", "--bars", "1-2", "--db", "own.db")
        after = self.expect(GOOD, "history", "--db", "own.db", prints="single-strokes")
        self.assertEqual(self.expect(GOOD, "--db", "own.db", "history"), after)
        self.assertEqual(self.expect(GOOD, "--db=own.db", "history"), after)
        self.assertFalse(self.data.exists())


class Exercises(CliTest):
    def test_list_begins_each_line_with_the_name(self):
        page = self.expect(GOOD, "list")
        self.assertEqual([line.split()[0] for line in page.splitlines()], SHIPPED)

    def test_show_prints_the_exercise_and_what_there_is_to_play(self):
        page = self.expect(GOOD, "show", "five-stroke-rolls")
        # Counted by hand from the table in stroke_tables.py.
        self.assertIn("17 bars: 253 strokes, 127 right, 126 left, 47 accents, 88 doubles", page)
        self.assertIn("hand    |  RR LL R ", page)

    def test_an_unknown_exercise_is_answered_with_the_nearest_names(self):
        rows = [("five-stroke-rols", '"five-stroke-rolls"'), ("paradidles", "evenhand list"),
                ("paradiddles", '"paradiddles-with-accents"'), ("SINGLE-STROKES", '"single-strokes"')]
        for name, words in rows:
            for arguments in (["show", name], ["play", name, "--demo", "--fast"]):
                with self.subTest(arguments=arguments):
                    self.expect(FAILED, *arguments, says=[f"{name}: no exercise and no file", words])

    def test_a_midi_file_is_no_exercise(self):
        self.expect(GOOD, "export", "flam", "x.mid")
        self.expect(FAILED, "show", "x.mid", says=("x.mid: this is a MIDI file",
                                                   "evenhand judge EXERCISE x.mid"))

    def test_bars_that_run_backwards_are_called_so(self):
        for command in (["play", "flam", "--demo", "--fast"], ["show", "flam"]):
            self.expect(FAILED, *command, "--bars", "4-2", says="bar 4 comes after bar 2")
        self.expect(FAILED, "play", "flam", "--demo", "--fast", "--bars", "9-",
                    says="bars 9 to 8 do not exist: the exercise has bars 1 to 8")

    def test_an_own_exercise_is_found_by_name_and_goes_before_a_shipped_one(self):
        self.write("data/evenhand/exercises/mine.txt", "title: Mine\n| 4:RLRL |\n")
        self.write("data/evenhand/exercises/single-strokes.txt", "title: Slower\n| 4:RLRL |\n")
        self.expect(GOOD, "show", "mine", prints="Mine\n")
        self.expect(GOOD, "show", "single-strokes", prints="Slower\n")
        self.assertEqual(self.expect(GOOD, "list").count("single-strokes "), 1)

    def test_an_unreadable_own_exercise_does_not_hide_the_others(self):
        self.write("data/evenhand/exercises/broken.txt", "| 4:RLRX |\n")
        run = self.run_program("list")
        self.assertEqual(run.returncode, FAILED)
        self.assertIn(b"broken.txt:1:8: ", run.stderr)
        self.assertEqual(len(run.stdout.splitlines()), len(SHIPPED))

    def test_a_mistake_is_shown_with_its_line_and_a_caret(self):
        self.write("wrong.txt", "title: Größe\n| 4:RLRL |\n| 4:RL\tRQ |\n")
        self.expect(FAILED, "show", "wrong.txt",
                    says=["wrong.txt:3:9: ", "\n  | 4:RL RQ |\n          ^\n"])
        self.write("wide.txt", "title: x\n# ü\n| 4:RLRL | # über die Maßen\n|" + " 4:RLRL |" * 30 + " 4:RLRQ |\n")
        run = self.run_program("show", "wide.txt")
        lines = run.stderr.decode().splitlines()
        self.assertEqual(len(lines), 3)
        self.assertLessEqual(max(map(len, lines[1:])), 80)
        self.assertEqual(lines[1][lines[2].index("^")], "Q")

    def test_what_others_wrote_cannot_drive_the_terminal(self):
        name = "\x1b[31mred\x9b\n\x07.txt"
        self.write(name, "| 4:RLRL |\x1b[2J\n")
        for wanted in (name, "absent\x1b[2J"):
            run = self.run_program("show", wanted)
            self.assertEqual(run.returncode, FAILED)
            for byte in (b"\x1b", b"\x9b", b"\x07"):
                self.assertNotIn(byte, run.stderr)

    def test_no_home_is_needed_to_read(self):
        bare = {"PATH": "/usr/bin:/bin"}
        self.expect(GOOD, "list", environment=bare)
        self.expect(FAILED, "history", says="HOME is not set", environment=bare)
        # A relative path in the variable is invalid (XDG Base Directory Specification 0.8).
        odd = {"XDG_DATA_HOME": "relative", "HOME": str(self.folder)}
        self.expect(GOOD, "history", prints="No runs yet", environment=odd)


class Styles(CliTest):
    def test_an_unknown_style_is_answered_with_the_list(self):
        self.expect(FAILED, "play", "single-strokes", "--demo", "--fast", "--style", "jazzy",
                    says=["jazzy: no style", "concert", "rudimental"])

    def test_an_own_style_is_found_by_name_and_by_file(self):
        text = "[style]\nname = mine\nbased_on = concert\n"
        self.write("data/evenhand/styles/mine.ini", text)
        self.write("other.ini", text.replace("mine", "other"))
        for style, name in (("mine", "mine"), ("other.ini", "other"), ("./other.ini", "other")):
            document = self.demo_run("single-strokes", "--demo", "--bars", "1-2", "--style", style)
            self.assertEqual(document["style"], name)

    def test_a_mistake_in_a_style_is_shown_with_its_line(self):
        self.write("bad.ini", "[accent]\nlow_db = soft\n")
        self.expect(FAILED, "play", "single-strokes", "--demo", "--fast", "--style", "bad.ini",
                    says="bad.ini:2:")


class Installed(CliTest):
    def test_readme_and_help_agree_on_the_commands(self):
        readme = (ROOT / "README.md").read_text(encoding="utf-8")
        for command in COMMANDS:
            self.assertTrue(re.search(rf"evenhand {command}\b", readme), command)

    def test_the_session_in_the_readme_is_what_the_program_prints(self):
        """Line by line; "..." stands for lines that are left out."""
        readme = (ROOT / "README.md").read_text(encoding="utf-8")
        command = re.search(r"\$ build/evenhand (play .*)", readme).group(1)
        shown = re.search(r"```text\n(.*?)```", readme, re.DOTALL).group(1)
        printed = iter(self.expect(GOOD, *command.split(), "--fast").splitlines())
        for line in shown.splitlines():
            if line != "...":
                self.assertIn(line, printed)

    def test_links_between_the_documents_lead_somewhere(self):
        pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")]
        for page in pages:
            for link in re.findall(r"\]\(([^)#]+)[^)]*\)", page.read_text(encoding="utf-8")):
                if "://" not in link:
                    self.assertTrue((page.parent / link).exists(), f"{page.name}: {link}")

    def test_the_program_can_be_moved_with_its_exercises(self):
        place = self.folder / "prefix"
        (place / "bin").mkdir(parents=True)
        (place / "share" / "evenhand").mkdir(parents=True)
        shutil.copy(os.environ["EVENHAND_PROGRAM"], place / "bin" / "evenhand")
        shutil.copytree(ROOT / "exercises", place / "share" / "evenhand" / "exercises")
        run = subprocess.run([place / "bin" / "evenhand", "list"], capture_output=True,
                             env=self.environment, check=False)
        self.assertEqual(run.returncode, GOOD, run.stderr)
        self.assertEqual(len(run.stdout.splitlines()), len(SHIPPED))


if __name__ == "__main__":
    main()
