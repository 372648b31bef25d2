"""The shipped exercises that are no rudiments, written as MIDI by another route, are judged without a fault."""

import fractions

import midi_takes
import rudiment_tables
import stroke_tables
from evenhand_cli import PLAIN, RUDIMENTS, CliTest, main


def beat_text(in_bar):
    """The document counts quarter notes from 1, as an exact fraction."""
    return str(in_bar + 1)


def kinds_of(strokes):
    """A double is exactly two successive strokes of one hand, as near as a 16th or as the nearest
    strokes there are (an eighth at most), no further apart than the second is from the stroke after
    it, and with nothing but a flam's grace note between. Common practice, no source."""
    kinds = ["single"] * len(strokes)
    pace = min([b[0] - a[0] for a, b in zip(strokes, strokes[1:])] + [fractions.Fraction(1, 2)])
    widest = max(pace, fractions.Fraction(1, 4))
    at = 0
    while at < len(strokes):
        end = at
        while end < len(strokes) and strokes[end][3] == strokes[at][3]:
            end += 1
        if end - at == 2:
            gap = strokes[at + 1][0] - strokes[at][0]
            after = strokes[end][0] - strokes[at + 1][0] if end < len(strokes) else gap
            dragged = len(getattr(strokes[at + 1], "graces", "")) > 1
            if gap <= widest and gap <= after and not dragged:
                kinds[at], kinds[at + 1] = "first", "second"
        at = end
    return kinds


class ExactPerformances(CliTest):
    def take(self, name, tempo, kind):
        path = self.folder / f"{name}-{tempo}-{kind}.mid"
        midi_takes.exact_take(stroke_tables.EXERCISES[name], tempo, kind).save(path)
        return path

    def check_strokes(self, exercise, document, tick_ms):
        rows = list(exercise.strokes())
        kinds = kinds_of(rows)
        self.assertEqual(len(document["strokes"]), len(rows))
        for index, (row, stroke) in enumerate(zip(rows, document["strokes"])):
            _, bar, in_bar, hand, accent = row
            expected = (bar, beat_text(in_bar), hand, kinds[index], accent, index)
            found = tuple(stroke[key] for key in ("bar", "beat", "hand", "kind", "accent", "hit"))
            self.assertEqual(found, expected, f"stroke {index}")
            self.assertLessEqual(abs(stroke["offset_ms"]), tick_ms, f"stroke {index}")

    def check(self, name, tempo, kind):
        exercise = stroke_tables.EXERCISES[name]
        document = self.judge(name, self.take(name, tempo, kind))
        count = len(list(exercise.strokes()))
        self.assertEqual(document["exercise"]["bars"], len(exercise.bars))
        self.assertEqual(document["style"], exercise.style)
        self.assertEqual(document["counts"], {
            "strokes": count, "matched": count, "missed": 0, "extra": 0, "double_triggers": 0})
        self.assertEqual((document["unmatched"], document["course"]), ([], []))
        self.assertAlmostEqual(document["tempo"]["bpm"], tempo, delta=0.01)
        self.check_strokes(exercise, document, 60000 / tempo / midi_takes.DIVISION)
        faults = [finding["text"] for finding in document["findings"] if finding["fault"]]
        self.assertEqual(faults, [])

    def test_the_plain_exercises_and_the_rudiments_have_tables(self):
        """The rudiments are held against theirs in test_rudiments.py."""
        self.assertEqual(PLAIN, sorted(stroke_tables.EXERCISES))
        self.assertEqual(RUDIMENTS, list(rudiment_tables.RUDIMENTS))

    def test_exact_performances_match_stroke_by_stroke_without_a_fault(self):
        for name, exercise in stroke_tables.EXERCISES.items():
            for tempo, kind in zip(exercise.tempos, (0, 1)):
                with self.subTest(name=name, tempo=tempo, kind=kind):
                    self.check(name, tempo, kind)

    def test_a_stroke_moved_by_a_tenth_of_a_quarter_is_seen_where_it_is(self):
        notes = midi_takes.exact_notes(stroke_tables.EXERCISES["single-strokes"])
        notes[20] = (notes[20][0] + fractions.Fraction(1, 10), notes[20][1])
        path = self.folder / "moved.mid"
        midi_takes.file_of(notes, 70).save(path)
        offsets = [stroke["offset_ms"] for stroke in self.judge("single-strokes", path)["strokes"]]
        self.assertAlmostEqual(offsets[20], 60000 / 70 / 10, delta=0.01)
        self.assertEqual([index for index, offset in enumerate(offsets) if abs(offset) > 2], [20])


if __name__ == "__main__":
    main()
