"""What a judgement document must be: its schema, and what no schema can say."""

import json
import os
import sys
from fractions import Fraction

try:
    from jsonschema import Draft202012Validator
except ImportError:
    sys.exit("python3-jsonschema (4.0 or newer) is missing: apt-get install python3-jsonschema")

SOURCE = os.environ["EVENHAND_SOURCE_DIR"]


def refuse(constant):
    raise ValueError(f"{constant} is no JSON")


def parse(text):
    """Strict: no NaN, no member twice, one document that ends in a newline."""

    def once(pairs):
        names = [name for name, _ in pairs]
        assert len(names) == len(set(names)), f"a member stands twice: {names}"
        return dict(pairs)

    assert text.endswith("}\n") and not text.endswith("\n\n"), "no newline at the end"
    return json.loads(text, parse_constant=refuse, object_pairs_hook=once)


def schema():
    with open(os.path.join(SOURCE, "docs", "judgement.schema.json"), encoding="utf-8") as file:
        loaded = json.load(file)
    Draft202012Validator.check_schema(loaded)
    return loaded


def validator():
    return Draft202012Validator(schema())


def check_counts(document):
    counts, strokes = document["counts"], document["strokes"]
    heard = [s for s in strokes if s["hit"] is not None]
    reasons = [u["reason"] for u in document["unmatched"]]
    assert counts["strokes"] == len(strokes)
    assert counts["matched"] == len(heard)
    assert counts["missed"] == len(strokes) - len(heard)
    assert counts["extra"] == reasons.count("extra")
    assert counts["double_triggers"] == reasons.count("double-trigger")


def check_hits(document):
    """No hit stands in two places, and all numbers exist."""
    hits = []
    for stroke in document["strokes"]:
        if stroke["hit"] is not None:
            listed = stroke.get("hits", [stroke["hit"]])
            assert listed[0] == stroke["hit"] and listed == sorted(listed)
            hits += listed
    hits += [u["hit"] for u in document["unmatched"]]
    assert len(hits) == len(set(hits)), "a hit stands in two places"
    assert all(h < document["take"]["hits"] for h in hits)


def check_order(document):
    """Strokes in playing order: inside a bar the beats do not fall, but to the bar's first one
    where the bar is repeated; fractions in lowest terms."""
    first = {}
    last = None
    for stroke in document["strokes"]:
        beat = Fraction(stroke["beat"])
        assert str(beat) == stroke["beat"] and beat >= 1
        bar = stroke["bar"]
        assert beat >= first.setdefault(bar, beat), f"bar {bar} begins twice"
        assert last is None or last[0] != bar or last[1] <= beat or beat == first[bar]
        last = (bar, beat)


def check_findings(document):
    seen = {}
    for finding in document["findings"]:
        hands = seen.setdefault(finding["aspect"], [])
        assert finding["hand"] not in hands, f"{finding['aspect']} stands twice"
        hands.append(finding["hand"])
        interval = finding["interval"]
        assert interval is None or interval[0] <= interval[1]
        limit = finding["limit"]
        assert limit is None or None in limit or limit[0] <= limit[1]
        assert finding["bars"] == sorted(finding["bars"])
        assert all(bar <= document["exercise"]["bars"] for bar in finding["bars"])
    for aspect, hands in seen.items():
        assert "both" not in hands or len(hands) == 1, f"{aspect}: both and one hand"


def check(text, valid=None):
    """The parsed document; raises where something is wrong with it."""
    document = parse(text)
    for error in (valid or validator()).iter_errors(document):
        where = "/".join(str(part) for part in error.absolute_path)
        raise AssertionError(f"{where}: {error.message[:300]}")
    check_counts(document)
    check_hits(document)
    check_order(document)
    check_findings(document)
    return document
