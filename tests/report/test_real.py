"""What "evenhand judge" says about performances: the document against its schema, the text against
its width. Every shipped exercise, and every fault of the demo player in turn."""

import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

import judgement_document

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "lib"))
from fewer import some  # noqa: E402

EVENHAND = os.environ["EVENHAND"]
ROUNDS = 2

# Figures that no shipped exercise has, and some that are too short for any verdict.
FIGURES = [
    "| 4:Rz - 2:- |",
    "| 16:R/ L/ R/ L/ 4:- 2:- |",
    "| p 4:R L f R L | cresc 4:RLRL | dim 8:RLRLRLRL | p 4:llR>R 2:Lz |",
    "|: ff 8:3[lR>LR] 3[rL>RL] 3[lR>LR] 3[rL>RL] :|x4 | p 4:RzLz RzLz |: 4:RzLzRzLz :|x8",
]


def run(*arguments):
    return subprocess.run([EVENHAND, *arguments], capture_output=True, text=True, check=False)


def first_words(text):
    """Of the lines that name something: they begin with a name, perhaps indented."""
    return [line.split()[0] for line in text.splitlines() if line.strip()]


class Real(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        self.valid = judgement_document.validator()
        self.database = os.path.join(self.folder.name, "none.db")

    def save(self, exercise, fault, number):
        path = os.path.join(self.folder.name, f"{number}.mid")
        extra = [f"--fault={fault}"] if fault else []
        done = run("demo", exercise, "--save", path, "--seed", str(number), *extra)
        self.assertEqual(done.returncode, 0, done.stderr)
        return path

    def check(self, exercise, path, *more):
        style = ["concert", "rudimental"][len(path) % 2]
        done = run("judge", exercise, path, "--json", "--style", style, "--db", self.database,
                   *more)
        self.assertEqual(done.returncode, 0, done.stderr)
        document = judgement_document.check(done.stdout, self.valid)
        self.assertEqual(document["style"], style)
        text = run("judge", exercise, path, "--style", style, "--db", self.database, *more).stdout
        self.assertIn("Work on this first", text)
        self.assertLessEqual(max(map(len, text.splitlines())), 80)
        self.assertNotIn("\x1b", text)
        return document

    def test_every_exercise_without_its_click(self):
        for number, exercise in some(enumerate(first_words(run("list").stdout))):
            with self.subTest(exercise=exercise):
                path = self.save(exercise, None, number)
                done = run("judge", exercise, path, "--json", "--no-click", "--db", self.database)
                self.assertEqual(done.returncode, 0, done.stderr)
                document = judgement_document.check(done.stdout, self.valid)
                self.assertIsNone(document["tempo"]["offset_ms"])
                self.assertIs(document["tempo"]["click"], False)

    def test_every_exercise_and_every_fault(self):
        exercises = first_words(run("list").stdout)
        help_lines = run("demo", exercises[0], "--fault=help").stdout.splitlines()
        faults = [line.split()[0] for line in help_lines if line.startswith("  ") and line[2] != " "]
        self.assertGreaterEqual(len(exercises), 8)
        self.assertGreaterEqual(len(faults), 20)
        found = set()
        for i in some(range(max(len(faults), ROUNDS * len(exercises)))):
            exercise, fault = exercises[i % len(exercises)], faults[i % len(faults)]
            with self.subTest(exercise=exercise, fault=fault):
                # A tempo of one's own is not played to the click.
                more = ["--no-click"] if fault in ("faster", "slower", "rubato") else []
                document = self.check(exercise, self.save(exercise, fault, i), *more)
                found |= {f["verdict"] for f in document["findings"]}
        self.assertGreaterEqual(len(found), 10)

    def test_other_figures_and_too_little_to_judge(self):
        for i, figure in enumerate(FIGURES):
            exercise = os.path.join(self.folder.name, f"figure-{i}.txt")
            with open(exercise, "w", encoding="utf-8") as file:
                file.write(figure + "\n")
            with self.subTest(figure):
                self.check(exercise, self.save(exercise, None, 1000 + i))

    def test_a_stroke_played_as_written_is_at_its_place(self):
        path = os.path.join(self.folder.name, "exact.mid")
        self.assertEqual(run("demo", "five-stroke-rolls", "--save", path, "--exact").returncode, 0)
        document = self.check("five-stroke-rolls", path)
        for stroke in document["strokes"]:
            self.assertLess(abs(stroke["offset_ms"]), 0.1)
        self.assertFalse([f for f in document["findings"] if f["aspect"] in ("missed", "extra")
                          and f["fault"]])


if __name__ == "__main__":
    unittest.main()
