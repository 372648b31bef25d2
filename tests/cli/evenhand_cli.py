"""Runs the program as a person or a script would: its own folders, its exit status, its words."""

import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "lib"))
from fewer import some  # noqa: E402,F401

PROGRAM = os.environ["EVENHAND_PROGRAM"]
ROOT = pathlib.Path(os.environ["EVENHAND_SOURCE_DIR"])

# The names as they are listed: those without a group, then the groups in the order of their
# folders' and files' numbers, which are no part of the names.
PLAIN = sorted(path.stem for path in (ROOT / "exercises").glob("*.txt"))
GROUPED = [re.sub(r"^\d+-", "", path.stem) for path in
           sorted((ROOT / "exercises").glob("*/**/*.txt"), key=str)]
RUDIMENTS = [re.sub(r"^\d+-", "", path.stem) for path in
             sorted((ROOT / "exercises").glob("rudiments/**/*.txt"), key=str)]
SHIPPED = PLAIN + GROUPED

GOOD, FAILED, USAGE = 0, 1, 2


class CliTest(unittest.TestCase):
    """Each test has a folder of its own and stands in it; nothing of the user's is touched."""

    maxDiff = 4000

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)
        self.data = self.folder / "data"
        self.environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("XDG_")},
            "HOME": str(self.folder / "home"),
            "XDG_DATA_HOME": str(self.data),
            "TZ": "UTC",
            # A sanitizer's finding must not look like a failure that is expected.
            "ASAN_OPTIONS": "exitcode=99",
            "UBSAN_OPTIONS": "exitcode=99",
        }

    def run_program(self, *arguments, environment=None, **more):
        return subprocess.run(
            [PROGRAM, *map(str, arguments)], cwd=self.folder, capture_output="stdout" not in more,
            env=environment or self.environment, timeout=60, check=False,
            stdin=subprocess.DEVNULL, **more)

    def expect(self, status, *arguments, says=(), prints=(), environment=None):
        """Runs, and holds the exit status, standard error and standard output against what is
        expected. A failure prints nothing on standard output; a crash is never expected."""
        run = self.run_program(*arguments, environment=environment)
        out, err = run.stdout.decode(), run.stderr.decode()
        told = f"evenhand {' '.join(map(str, arguments))}\n{out}\n{err}"
        self.assertEqual(run.returncode, status, told)
        for words in [says] if isinstance(says, str) else says:
            self.assertIn(words, err, told)
        for words in [prints] if isinstance(prints, str) else prints:
            self.assertIn(words, out, told)
        if status != GOOD:
            self.assertEqual(out, "", told)
            self.assertTrue(err.startswith("evenhand: "), told)
        return out

    def write(self, name, content):
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(content, bytes):
            path.write_bytes(content)
        else:
            path.write_text(content, encoding="utf-8")
        return path

    def judge(self, *arguments):
        return json.loads(self.expect(GOOD, "judge", *arguments, "--json"))

    def demo_run(self, *arguments):
        """A stored run of the demo player, without waiting for the clock."""
        return json.loads(self.expect(GOOD, "play", *arguments, "--fast", "--json"))


def main():
    unittest.main()
