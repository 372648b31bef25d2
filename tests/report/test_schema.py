"""The judgement document against its JSON Schema (draft 2020-12), both ways round."""

import copy
import itertools
import os
import random
import subprocess
import unittest

import judgement_document
from schema_table import ASPECTS, HANDS, allowed, words

DUMP = os.environ["REPORT_DUMP"]


def dump(*arguments, given=None):
    return subprocess.run([DUMP, *arguments], input=given, capture_output=True, check=True).stdout


def json_of(case):
    return dump("json", case).decode("utf-8")


class Documents(unittest.TestCase):
    def test_every_made_judgement_is_valid(self):
        cases = dump().decode().split()
        self.assertGreaterEqual(len(cases), 4)
        for case in cases:
            with self.subTest(case):
                judgement_document.check(json_of(case))

    def test_fields_say_what_was_made(self):
        document = judgement_document.check(json_of("faulty"))
        self.assertEqual(document["format"], "evenhand-judgement/1")
        self.assertEqual(document["counts"]["missed"], 2)
        self.assertEqual(document["tempo"], {"bpm": 96.5, "offset_ms": -8.25, "drift_percent": 0})
        first = document["findings"][0]
        self.assertEqual(first["interval"], [0.58, 0.64])
        self.assertEqual(first["limit"], [0.45, 0.55])
        self.assertEqual(first["bars"], [1, 3])

    def test_what_is_unknown_is_null(self):
        document = judgement_document.check(json_of("figured"))
        self.assertEqual(document["tempo"]["offset_ms"], None)
        self.assertEqual(document["tempo"]["drift_percent"], None)
        self.assertEqual(document["take"]["reliable"], False)
        gap = next(f for f in document["findings"] if f["aspect"] == "flam-gap")
        self.assertEqual([gap["value"], gap["interval"], gap["limit"]], [None, None, None])
        buzz = next(f for f in document["findings"] if f["aspect"] == "buzz")
        self.assertEqual(buzz["limit"], [3.0, None])

    def test_levels_follow_the_default_map(self):
        """20 log10(64 / 127) = -5.952 dB, plain arithmetic."""
        for stroke in judgement_document.check(json_of("clean"))["strokes"]:
            expected = -2.431 if stroke["accent"] else -5.952
            self.assertEqual(stroke["level_db"], expected)


class Strings(unittest.TestCase):
    """Python's own decoder is the reference: with surrogateescape every byte that is not UTF-8
    becomes one surrogate."""

    def expected(self, data):
        text = data.decode("utf-8", "surrogateescape")
        return "".join("\ufffd" if "\udc80" <= c <= "\udcff" else c for c in text)

    def test_any_bytes_become_one_valid_string(self):
        dice = random.Random(7)
        alphabet = [*range(1, 256), *([0xC3, 0xE2, 0xED, 0xF0, 0xF4, 0x80, 0x90, 0xA0, 0xBF] * 20)]
        rows = [bytes(dice.choice(alphabet) for _ in range(dice.randrange(40))) for _ in range(2000)]
        rows += [chr(c).encode("utf-8", "surrogatepass") for c in range(1, 0x11000, 37)]
        rows += [chr(c).encode() for c in (0x7F, 0x80, 0x7FF, 0x800, 0xFFFF, 0x10000, 0x10FFFF)]
        given = b"".join(row.hex().encode() + b"\n" for row in rows)
        lines = dump("strings", given=given).decode("utf-8", "strict").split("\n")[:-1]
        self.assertEqual(len(lines), len(rows))
        for row, line in zip(rows, lines):
            self.assertEqual(judgement_document.json.loads(line), self.expected(row), row)


class Mistakes(unittest.TestCase):
    def setUp(self):
        self.valid = judgement_document.validator()
        self.documents = {case: judgement_document.check(json_of(case)) for case in
                          ("clean", "faulty", "figured")}
        for document in self.documents.values():
            document["strokes"] = document["strokes"][:8]  # a single, a buzz, a missed one

    def refused(self, document):
        return not self.valid.is_valid(document)

    def test_every_field_is_required(self):
        optional = {"passes", "dropped", "pad", "name", "level_map", "pass", "shift_ms", "due_ms",
                    "calibrated", "level_scale_sd", "floor_velocity", "top_velocity", "delay_ms",
                    "clock_ms"}
        in_pad = {"name", "level_map"}
        tried = 0
        for document in self.documents.values():
            for path, name in list(members(document)):
                spoilt = copy.deepcopy(document)
                del follow(spoilt, path)[name]
                with self.subTest(path=path, name=name):
                    self.assertEqual(self.refused(spoilt),
                                     name not in optional or
                                     (path == ("pad",) and name in in_pad))
                tried += 1
        self.assertGreater(tried, 100)

    def test_every_field_has_a_type(self):
        for document in self.documents.values():
            for path, name in list(members(document)):
                for wrong in ({}, "\u2205", [[]]):
                    spoilt = copy.deepcopy(document)
                    place = follow(spoilt, path)
                    if same_type(place[name], wrong):
                        continue
                    place[name] = wrong
                    with self.subTest(path=path, name=name, wrong=wrong):
                        self.assertTrue(self.refused(spoilt))

    def test_planted_mistakes_are_refused(self):
        buzz = next(i for i, s in enumerate(self.documents["figured"]["strokes"])
                    if s["kind"] == "buzz")
        missed = next(i for i, s in enumerate(self.documents["faulty"]["strokes"])
                      if s["hit"] is None)
        plants = [
            ("clean", ["format"], "evenhand-judgement/2"),
            ("clean", ["strokes"], []),
            ("clean", ["strokes", 0, "hit"], None),
            ("clean", ["strokes", 0, "hit"], -1),
            ("clean", ["strokes", 0, "hit"], 0.5),
            ("clean", ["strokes", 0, "hits"], [0]),
            ("clean", ["strokes", 0, "velocity"], 0.5),
            ("clean", ["strokes", 0, "velocity"], 128),
            ("clean", ["strokes", 0, "bar"], 0),
            ("clean", ["strokes", 0, "beat"], "0"),
            ("clean", ["strokes", 0, "beat"], "1.125"),
            ("clean", ["strokes", 0, "beat"], "9/1"),
            ("clean", ["strokes", 0, "beat"], "9/0"),
            ("clean", ["strokes", 0, "beat"], "9/8 "),
            ("clean", ["strokes", 0, "hand"], "both"),
            ("clean", ["strokes", 0, "kind"], "flam"),
            ("faulty", ["strokes", missed, "offset_ms"], 1.0),
            ("faulty", ["strokes", missed, "velocity"], 64),
            ("faulty", ["unmatched", 0, "reason"], "bounce"),
            ("faulty", ["findings", 0, "value"], None),
            ("faulty", ["findings", 0, "limit"], None),
            ("faulty", ["findings", 0, "limit"], [None, None]),
            ("faulty", ["findings", 0, "limit"], [0.45]),
            ("faulty", ["findings", 0, "interval"], [0.5, None]),
            ("faulty", ["findings", 0, "bars"], [1, 1]),
            ("faulty", ["findings", 0, "text"], ""),
            ("faulty", ["findings", 0, "n"], -1),
            ("figured", ["strokes", buzz, "hits"], []),
            ("figured", ["take", "reliable"], True),
            ("figured", ["course", 0, "kind"], "rest"),
            ("figured", ["tempo", "bpm"], None),
        ]
        for case, path, wrong in plants:
            spoilt = copy.deepcopy(self.documents[case])
            follow(spoilt, path[:-1])[path[-1]] = wrong
            with self.subTest(path=path, wrong=wrong):
                self.assertTrue(self.refused(spoilt))

    def test_silence_on_what_every_exercise_shows_is_refused(self):
        for aspect in ("missed", "extra"):
            spoilt = copy.deepcopy(self.documents["clean"])
            spoilt["findings"] = [f for f in spoilt["findings"] if f["aspect"] != aspect]
            self.assertTrue(self.refused(spoilt), aspect)

    def test_further_fields_are_allowed(self):
        document = copy.deepcopy(self.documents["clean"])
        document["more"] = document["take"]["more"] = document["strokes"][0]["more"] = 1
        document["findings"][0]["more"] = 1
        self.assertFalse(self.refused(document))

    def test_only_the_table_s_verdicts_and_directions_are_allowed(self):
        table = judgement_document.schema()
        table["$ref"] = "#/$defs/verdict"
        for name in ("type", "required", "properties"):
            del table[name]
        valid = judgement_document.Draft202012Validator(table)
        row = {}
        accepted = 0
        for words_of in tried():
            row.update(zip(("aspect", "hand", "verdict", "direction", "fault"), words_of))
            expected = allowed(*words_of)
            accepted += expected
            if valid.is_valid(row) != expected:
                self.fail(f"{words_of}: should be {'allowed' if expected else 'refused'}")
        self.assertEqual(accepted, ALLOWED)


# 2 hands * 5 words (even, unclear, three directions) for each of the two diddle aspects, and so on
# down the table.
ALLOWED = 2 * 5 + 2 * 5 + 3 * 4 + 2 * 3 + 3 + 3 * 4 + 3 * 3 + 3 * 4 + 4 + 4 + 3 + 4 + 3 + 3 + 5 + 4 + 3 + 3


def tried():
    """Every verdict with every direction; around each allowed one, every hand and every fault."""
    verdicts, directions = words()
    rows = set()
    for aspect, (hands, good, _) in ASPECTS.items():
        for verdict, direction in itertools.product(verdicts, directions):
            fault = {good: False, "unclear": None}.get(verdict, True)
            hand = hands.split()[0]
            rows.add((aspect, hand, verdict, direction, fault))
            if allowed(aspect, hand, verdict, direction, fault):
                rows |= {(aspect, h, verdict, direction, f)
                         for h in HANDS for f in (True, False, None)}
    return rows


def members(value, path=()):
    """Every member of every object, as path and name; of long lists only the first two."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield path, name
            yield from members(inner, path + (name,))
    elif isinstance(value, list):
        for i, inner in enumerate(value[:2]):
            yield from members(inner, path + (i,))


def follow(value, path):
    for part in path:
        value = value[part]
    return value


def same_type(value, wrong):
    return type(value) is type(wrong) or (isinstance(wrong, list) and isinstance(value, list))


if __name__ == "__main__":
    unittest.main()
