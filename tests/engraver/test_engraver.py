"""MusicXML between evenhand and verovio, an engraving library of others (https://www.verovio.org,
LGPL-3.0): what evenhand exports is loaded and drawn there without a complaint and played at the
same places; what another writer wrote is read by evenhand, played by verovio, and judged.

What verovio 6.3 cannot play is put into words in played_musicxml.py. An unpitched note comes out as
note 0, whatever instrument the file names: it is moved to the pad's note 38."""

import fractions
import functools
import json
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest
from typing import NamedTuple

import mido

HERE = pathlib.Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "cli")]

import library_tables  # noqa: E402
import midi_takes  # noqa: E402
import played_musicxml  # noqa: E402
import rudiment_tables  # noqa: E402
import stroke_tables  # noqa: E402
import typed_musicxml  # noqa: E402
from typed_musicxml import ACCENT, BOUNCES, TAP, WAYS, Played, Sheet  # noqa: E402

PROGRAM = os.environ["EVENHAND_PROGRAM"]
PAD_NOTE = 38
BUZZES = rudiment_tables.BUZZES
NEAR = fractions.Fraction(1, 4)  # of a quarter: no grace note is further from its main note


class Typed(NamedTuple):
    """An exercise as the tables have it."""
    metre: tuple
    tempos: tuple
    style: str
    bars: list      # of lists of (quarter in the bar, hand, accent, graces, buzz)
    played: list    # (quarter from the beginning, the same), repeats unfolded
    levels: list
    repeated: set
    velocity: object  # by bar, quarter in the bar and accent


def typed_rudiment(exercise):
    bars = [[] for _ in exercise.bars]
    played = []
    for stroke in exercise.strokes():
        row = (stroke.in_bar, stroke.hand, stroke.accent, stroke.graces, stroke.buzz)
        bars[stroke.bar - 1].append(row)
        played.append((stroke.at, *row[1:]))
    return Typed(exercise.metre, exercise.tempos, exercise.style, bars, played,
                 [(1, 0, False)], set(),
                 lambda bar, in_bar, accent: ACCENT if accent else TAP)


def typed_exercise(exercise):
    bars = {}
    played = []
    for at, bar, in_bar, hand, accent in exercise.strokes():
        bars.setdefault(bar, {})[in_bar] = (in_bar, hand, accent, "", False)
        played.append((at, hand, accent, "", False))
    repeated = set() if exercise.once is None else \
        set(range(1, len(exercise.bars) + 1)) - exercise.once
    return Typed((4, 4), exercise.tempos, exercise.style,
                 [sorted(bars.get(number + 1, {}).values()) for number in range(len(exercise.bars))],
                 played, exercise.levels, repeated,
                 lambda bar, in_bar, accent: midi_takes.velocity(exercise, bar, in_bar, accent))


def typed_piece(piece):
    """Of the library: presses and grace notes, and marks and hairpins."""
    velocity = functools.partial(midi_takes.velocity, piece)
    return typed_rudiment(piece)._replace(levels=piece.levels, velocity=velocity)


TYPED = {**{name: typed_exercise(row) for name, row in stroke_tables.EXERCISES.items()},
         **{name: typed_rudiment(row) for name, row in rudiment_tables.RUDIMENTS.items()},
         **{name: typed_piece(row) for name, row in library_tables.PIECES.items()}}
PRESSED = {name for name, typed in TYPED.items() if any(row[4] for row in typed.played)}

# Every way of writing the sticking comes about. Words above the staff stand at a place in the bar,
# so that they cannot tell a grace note's hand from its main note's: the exercises with grace notes
# use the ways that stand at the note itself.
AT_NOTES = [way for way in WAYS if way != "words"]


def way_of(name):
    number = list(TYPED).index(name)
    graced = any(row[3] for row in TYPED[name].played)
    return AT_NOTES[number % 3] if graced else WAYS[number % 4]


def sheet_of(name, bounced=False):
    """BOUNCED: each press of a buzz roll is three notes, falling, instead of a sign."""
    typed = TYPED[name]
    bars = []
    for number, rows in enumerate(typed.bars, 1):
        strokes = []
        for in_bar, hand, accent, graces, buzz in rows:
            velocity = typed.velocity(number, in_bar, accent)
            letter = "R" if hand == "right" else "L"
            if buzz and bounced:
                strokes += [(in_bar + fractions.Fraction(bounce, 12), Played("", loudness))
                            for bounce, loudness in enumerate(BOUNCES)]
            else:
                strokes.append((in_bar, Played(letter, velocity, accent, graces, buzz)))
        bars.append(strokes)
    return Sheet(name, typed.metre, typed.tempos[1], way_of(name), bars, typed.levels,
                 typed.repeated)


class Take(NamedTuple):
    loaded: int
    complaints: str
    drawn: int
    notes: list  # (tick, velocity)
    path: pathlib.Path


def engrave(folder, sources):
    """The takes that verovio makes of the files SOURCES, by the files' stems. Drawing takes longer
    than everything else: only what evenhand exported is drawn."""
    jobs = folder / "jobs.json"
    jobs.write_text(json.dumps([
        [str(path), str(path.with_suffix(".mid")), path.stem.startswith("exported")]
        for path in sources]))
    run = subprocess.run(["node", str(HERE / "engrave.mjs"), str(jobs)], capture_output=True,
                         text=True, timeout=300, check=False)
    assert run.returncode == 0, run.stderr[-2000:]
    answers = map(json.loads, run.stdout.splitlines())
    return {path.stem: take_of(answer, path.with_suffix(".mid"))
            for path, answer in zip(sources, answers, strict=True)}


def take_of(answer, path):
    if not answer["loaded"]:
        return Take(0, answer["complaints"], 0, [], path)
    file = mido.MidiFile(path)
    notes = []
    for track in file.tracks:
        tick = 0
        for message in track:
            tick += message.time
            if message.type in ("note_on", "note_off"):
                message.note = PAD_NOTE
            if message.type == "note_on" and message.velocity > 0:
                notes.append((fractions.Fraction(tick, file.ticks_per_beat), message.velocity))
    file.save(path)
    return Take(answer["loaded"], answer["complaints"], answer["drawn"], sorted(notes), path)


def evenhand(*arguments):
    run = subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True,
                         timeout=60, check=False)
    assert (run.returncode, run.stderr) == (0, ""), (arguments, run.stderr)
    return run.stdout


def rounding_of(at):
    """Verovio's MIDI files have 120 ticks a quarter, and what is no finite binary fraction of a
    quarter (a triplet's second note) may come out one tick early: 739.999... becomes 739."""
    exact = at.denominator & (at.denominator - 1) == 0
    return 0 if exact else fractions.Fraction(1, 120)


class Engraver(unittest.TestCase):
    """Everything is engraved at once: it takes a second to start the library."""

    maxDiff = 4000

    @classmethod
    def setUpClass(cls):
        temporary = tempfile.TemporaryDirectory()
        cls.addClassCleanup(temporary.cleanup)
        cls.folder = pathlib.Path(temporary.name)
        os.environ["XDG_DATA_HOME"] = str(cls.folder / "data")
        sources = []
        for name, typed in TYPED.items():
            exported = cls.file("exported", name)
            evenhand("export", name, exported)
            played_musicxml.make(exported, cls.file("played", name), typed.velocity)
            typed_musicxml.write(sheet_of(name), cls.file("typed", name))
            played_musicxml.make_joined(cls.file("typed", name), cls.file("joined", name))
            sources += [cls.file(kind, name) for kind in ("exported", "played", "joined")]
        typed_musicxml.write(sheet_of(BUZZES, bounced=True), cls.file("bounced", BUZZES))
        sources.append(cls.file("bounced", BUZZES))
        cls.takes = engrave(cls.folder, sources + cls.make_wrong_ones())

    @classmethod
    def make_wrong_ones(cls):
        """Files with a fault that a test has to see."""
        moved, wrong, cut = (cls.folder / f"{name}.musicxml" for name in ("moved", "wrong", "cut"))
        # An eighth in place of the first 16th pushes everything after it.
        text = cls.file("played", "single-paradiddle").read_text(encoding="utf-8")
        moved.write_text(text.replace("<type>16th</type>", "<type>eighth</type>", 1))
        text = cls.file("exported", "flam-tap").read_text(encoding="utf-8")
        wrong.write_text(text.replace("<type>16th</type>", "<type>sixteenth</type>", 1))
        cut.write_text("no XML")
        return [moved, wrong, cut]

    @classmethod
    def file(cls, kind, name):
        return cls.folder / f"{kind} {name}.musicxml"

    def take(self, kind, name):
        return self.takes[f"{kind} {name}"]

    def check_onsets(self, name, take):
        """After a bar of count-off each main stroke where the table has it, its grace notes closely
        before it, and nothing else."""
        typed = TYPED[name]
        left = [at for at, _ in take.notes]
        count_off = fractions.Fraction(4 * typed.metre[0], typed.metre[1])
        for row in typed.played:
            at = count_off + row[0]
            graces, main = len(row[3]), left[len(row[3])]
            self.assertTrue(at - rounding_of(at) <= main <= at, f"{at}: {main}")
            for grace in left[:graces]:
                self.assertTrue(at - NEAR < grace < at, f"{at}: {grace}")
            del left[:graces + 1]
        self.assertEqual(left, [])

    def check_judged(self, name, exercise, take):
        """Every stroke at 0 ms, with its hand and accent. The faults that were found."""
        typed = TYPED[name]
        document = json.loads(evenhand("judge", exercise, take.path, "--json",
                                       "--style", typed.style))
        quarter_ms = 60000 / document["tempo"]["bpm"]
        strokes = iter(document["strokes"])
        for at, hand, accent, graces, _ in typed.played:
            for grace in graces:
                stroke = next(strokes)
                self.assertEqual((stroke["kind"], stroke["hand"][0]), ("grace", grace))
                self.assertIsNotNone(stroke["hit"])
            stroke = next(strokes)
            self.assertEqual((stroke["hand"], stroke["accent"]), (hand, accent), stroke)
            early = float(rounding_of(at)) * quarter_ms
            self.assertTrue(-early - 0.001 <= stroke["offset_ms"] <= 0.001, stroke)
        self.assertIsNone(next(strokes, None))
        self.assertEqual((document["unmatched"], document["course"]), ([], []))
        return [(finding["aspect"], finding["verdict"]) for finding in document["findings"]
                if finding["fault"]]

    def test_what_evenhand_exports_is_loaded_and_drawn_without_a_complaint(self):
        for name in TYPED:
            with self.subTest(name=name):
                take = self.take("exported", name)
                self.assertTrue(take.loaded)
                self.assertEqual(take.complaints, "")
                self.assertGreater(take.drawn, 10000)

    def test_what_evenhand_exports_is_played_where_it_is_written(self):
        for name in TYPED:
            with self.subTest(name=name):
                self.check_onsets(name, self.take("played", name))

    def test_what_evenhand_exports_is_judged_without_a_fault_when_verovio_plays_it(self):
        for name in TYPED:
            with self.subTest(name=name):
                faults = self.check_judged(name, self.file("exported", name),
                                           self.take("played", name))
                # Verovio plays the sign of a buzz as one note: the roll is thin, rightly.
                self.assertEqual(set(faults), {("buzz", "thin")} if name in PRESSED else set())

    def test_what_another_wrote_is_read_and_judged_without_a_fault(self):
        for name in TYPED:
            with self.subTest(name=name, way=way_of(name)):
                take = self.take("joined", name)
                self.assertEqual(take.complaints, "")
                self.check_onsets(name, take)
                faults = self.check_judged(name, self.file("typed", name), take)
                self.assertEqual(set(faults), {("buzz", "thin")} if name in PRESSED else set())

    def test_a_buzz_roll_whose_bounces_are_written_out_is_sustained(self):
        faults = self.check_judged(BUZZES, self.file("typed", BUZZES),
                                   self.take("bounced", BUZZES))
        self.assertEqual(faults, [])

    def test_verovio_complains_about_what_is_wrong(self):
        """Else its silence would say nothing."""
        self.assertIn("sixteenth", self.takes["wrong"].complaints)
        self.assertFalse(self.takes["cut"].loaded)

    def test_a_stroke_at_another_place_would_be_seen(self):
        with self.assertRaises(AssertionError):
            self.check_onsets("single-paradiddle", self.takes["moved"])


if __name__ == "__main__":
    if not (HERE / "node_modules/verovio/package.json").exists():
        print("verovio is missing: run \"npm ci\" in tests/engraver, or tools/test")
        sys.exit(77)
    unittest.main()
