"""The plain numbers of a judgement, made again by other means.

Random runs as files; "evenhand judge" says what it found in them. The hits are read again by mido,
times, levels, counts and centres are computed again with numpy and scipy from the strokes as the
document lists them and from the style's INI file, by the definitions of docs/measures.md:

- decibels: 20 log10 of a ratio of amplitudes (IEC 60027-3)
- Hodges-Lehmann estimate: Hodges & Lehmann 1963, Ann. Math. Stat. 34, 598-611
- centre of Student's distribution: Lange, Little & Taylor 1989, JASA 84, 881-896
- beats and tempo of a file: RP-001, Standard MIDI Files 1.0; High Resolution Velocity: CA-031
"""

import configparser
import json
import math
import os
import re
import subprocess
import tempfile
import unittest

import mido
import numpy
from scipy import stats

EVENHAND = os.environ["EVENHAND"]
PROPERTIES = os.environ["PROPERTIES"]
STYLES = os.path.join(os.environ["EVENHAND_SOURCE_DIR"], "exercises", "styles")
RUNS = int(os.environ.get("EVENHAND_RECOMPUTED_RUNS", "200"))
PAD = {37, 38, 40}
MARKS = re.compile(r"\b(p|pp|ppp|mp|mf|f|ff|fff|cresc|dim)\b")


def read_hits(path):
    """Times in ms and velocities of the pad's notes, by the file's ticks."""
    file = mido.MidiFile(path)
    tempo, hits, low = 500000, [], {}
    for track in file.tracks:
        at = 0
        for message in track:
            at += message.time
            if message.type == "set_tempo":
                assert at == 0, "one tempo a file"
                tempo = message.tempo
            elif message.type == "control_change" and message.control == 88:
                low[message.channel] = message.value
            elif message.type == "note_on" and message.velocity > 0:
                fine = low.pop(message.channel, 0)
                if message.note in PAD:
                    ms = at * tempo / file.ticks_per_beat / 1000
                    hits.append((ms, message.velocity + fine / 128))
            elif message.type == "note_off":
                low.pop(message.channel, None)
    return tempo, hits


def students_centre(values):
    """The likeliest centre of a Student's distribution with three degrees of freedom."""
    spread = stats.median_abs_deviation(values)
    if not spread > 1e-6:
        return numpy.median(values)
    return stats.t.fit(values, fdf=3, loc=numpy.median(values), scale=spread)[1]


def hodges_lehmann(values):
    v = numpy.asarray(values)
    i, j = numpy.triu_indices(len(v))
    return float(numpy.median((v[i] + v[j]) / 2))


def least(style, section, key):
    return float(style[section][key])


class Run:
    """One run: what was played, what was said, what is right."""

    def __init__(self, command):
        words = command.split()
        assert words[:2] == ["evenhand", "judge"]
        done = subprocess.run([EVENHAND, *words[1:]], capture_output=True, text=True, check=False)
        self.command, self.status, self.errors = command, done.returncode, done.stderr
        if self.status != 0:
            return
        self.document = json.loads(done.stdout)
        self.tempo, self.hits = read_hits(words[3])
        with open(words[2], encoding="utf-8") as file:
            self.text = file.read()
        self.style = configparser.ConfigParser(inline_comment_prefixes=(";", "#"))
        self.style.read(os.path.join(STYLES, words[words.index("--style") + 1] + ".ini"))
        self.strokes = self.document["strokes"]
        self.mains = [s for s in self.strokes if s["kind"] != "grace"]
        self.few = least(self.style, "evidence", "least_strokes")

    def findings(self, aspect):
        return [f for f in self.document["findings"] if f["aspect"] == aspect]

    def came_at(self, stroke):
        return stroke["due_ms"] + stroke["offset_ms"]

    def figures(self):
        """Main strokes with their grace notes: [(graces, main)]."""
        graces = []
        for stroke in self.strokes:
            if stroke["kind"] == "grace":
                graces.append(stroke)
            else:
                if graces:
                    yield graces, stroke
                graces = []

    def doubles(self, hand):
        """First, second and next main stroke (or None) of each double."""
        for i, first in enumerate(self.mains[:-1]):
            if first["kind"] == "first" and first["hand"] == hand:
                after = self.mains[i + 2] if i + 2 < len(self.mains) else None
                yield first, self.mains[i + 1], after


def heard(*strokes):
    return all(s is not None and s["hit"] is not None for s in strokes)


class Recompute(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(cls.folder.cleanup)
        written = subprocess.run([PROPERTIES, "write", cls.folder.name, str(RUNS)],
                                 capture_output=True, text=True, check=True)
        runs = [Run(line) for line in written.stdout.splitlines()]
        cls.refused = [r for r in runs if r.status != 0]
        cls.runs = [r for r in runs if r.status == 0]

    def each(self, aspect):
        return [(run, finding) for run in self.runs for finding in run.findings(aspect)]

    def near(self, finding, reference, digits):
        """Another robust centre of the same readings lies well inside the interval."""
        low, high = finding["interval"]
        self.assertLessEqual(abs(finding["value"] - reference), 0.25 * (high - low) + digits)

    def test_sane_players_are_judged(self):
        self.assertGreater(len(self.runs), 0.97 * RUNS, [r.errors for r in self.refused])

    def test_times_and_levels_of_strokes(self):
        for run in self.runs:
            with self.subTest(run.command):
                self.assertEqual(run.document["take"]["hits"], len(run.hits))
                self.assertAlmostEqual(run.document["tempo"]["bpm"], 6e7 / run.tempo, delta=6e-4)
                for stroke in run.strokes:
                    if stroke["hit"] is None:
                        continue
                    ms, velocity = run.hits[stroke["hit"]]
                    self.assertAlmostEqual(stroke["offset_ms"], ms - stroke["due_ms"], delta=0.002)
                    self.assertEqual(stroke["velocity"], velocity)
                    self.assertAlmostEqual(stroke["level_db"], 20 * math.log10(velocity / 127),
                                           delta=0.00051)

    def test_strokes_are_due_by_the_bars_and_the_tempo(self):
        """Within a bar, main strokes are apart by their beats at the file's tempo."""
        for run in self.runs:
            with self.subTest(run.command):
                quarter = run.tempo / 1000
                for a, b in zip(run.mains, run.mains[1:]):
                    if a["bar"] == b["bar"]:
                        beats = [numpy.divide(*map(int, (s["beat"] + "/1").split("/")[:2]))
                                 for s in (a, b)]
                        if beats[1] > beats[0]:
                            self.assertAlmostEqual(b["due_ms"] - a["due_ms"],
                                                   (beats[1] - beats[0]) * quarter, delta=0.002)

    def test_the_offset_is_the_median(self):
        for run in self.runs:
            offsets = [s["offset_ms"] for s in run.mains if s["hit"] is not None]
            with self.subTest(run.command):
                self.assertAlmostEqual(run.document["tempo"]["offset_ms"], numpy.median(offsets),
                                       delta=0.0011)

    def test_missed_and_extra_are_counts_against_shares_of_what_is_written(self):
        for aspect, value in (("missed", lambda r: sum(s["hit"] is None for s in r.strokes)),
                              ("extra", lambda r: sum(u["reason"] == "extra"
                                                      for u in r.document["unmatched"]))):
            for run, finding in self.each(aspect):
                with self.subTest(run.command, finding=finding["text"]):
                    share = least(run.style, "counts", aspect + "_share")
                    if "were not heard" in finding["text"]:
                        # Strokes that the pad may have hidden: the value is an estimate of those
                        # left out; how many were not heard is said in words.
                        self.assertEqual(int(finding["text"].split()[0]), value(run))
                        self.assertLessEqual(finding["value"], value(run))
                    else:
                        self.assertEqual(finding["value"], value(run))
                    self.assertEqual(finding["limit"], [0, math.ceil(share * len(run.strokes))])
                    if finding["fault"] is not None:
                        self.assertEqual(finding["fault"], finding["value"] > finding["limit"][1])

    def test_diddles_lie_where_students_likelihood_puts_them(self):
        compared = 0
        for run, finding in self.each("diddle-spacing"):
            with self.subTest(run.command, finding=finding["text"]):
                apart = run.findings("hand-timing")
                sure = apart and apart[0]["interval"] and not (
                    apart[0]["interval"][0] <= 3.5 and apart[0]["interval"][1] >= -3.5)
                if sure or finding["direction"] == "scattered" or run.document["course"]:
                    continue
                shares, gaps = [], []
                for a, b, c in run.doubles(finding["hand"]):
                    if heard(a, b, c):
                        written = (b["due_ms"] - a["due_ms"]) / (c["due_ms"] - a["due_ms"])
                        gap, span = run.came_at(b) - run.came_at(a), run.came_at(c) - run.came_at(a)
                        shares.append(0.5 * gap / span / written)
                        gaps.append(b["due_ms"] - a["due_ms"])
                self.assertEqual(finding["n"], len(shares))
                if len(shares) < run.few:
                    self.assertIsNone(finding["fault"])
                    continue
                self.near(finding, students_centre(shares), 0.0003)
                gap = numpy.median(gaps)
                half = max(least(run.style, "diddle", "spacing_share"),
                           least(run.style, "diddle", "spacing_ms") / (2 * gap),
                           max(6, 0.025 * gap) / (2 * gap))
                self.assertAlmostEqual(finding["limit"][0], 0.5 - half, delta=0.0002)
                self.assertAlmostEqual(finding["limit"][1], 0.5 + half, delta=0.0002)
                compared += 1
        self.assertGreater(compared, RUNS // 10)

    def test_second_strokes_are_as_strong_as_hodges_and_lehmann_say(self):
        compared = 0
        for run, finding in self.each("diddle-level"):
            with self.subTest(run.command, finding=finding["text"]):
                if (finding["direction"] == "scattered" or "not heard" in finding["text"]
                        or MARKS.search(run.text) or any(True for _ in run.figures())):
                    continue
                levels = [b["level_db"] - a["level_db"] for a, b, _ in run.doubles(finding["hand"])
                          if heard(a, b) and a["accent"] == b["accent"]
                          and max(a["velocity"], b["velocity"]) < 127]
                if len(levels) >= run.few:
                    self.near(finding, hodges_lehmann(levels), 0.001)
                    compared += 1
        self.assertGreater(compared, RUNS // 20)

    def of_figures(self, run, finding):
        """The figures that a finding about grace notes rests on: the kind there is more of. Where the
        pad may have hidden notes of some, the centre is moved; such findings are left out."""
        figures = list(run.figures())
        drags = sum(len(g) > 1 for g, _ in figures) > len(figures) / 2
        return [(g, m) for g, m in figures if (len(g) > 1) == drags
                and finding["hand"] in ("both", m["hand"])]

    def test_grace_notes_are_as_soft_as_hodges_and_lehmann_say(self):
        compared = 0
        for run, finding in self.each("grace-level"):
            with self.subTest(run.command, finding=finding["text"]):
                softer = [m["level_db"] - numpy.mean([g["level_db"] for g in graces])
                          for graces, m in self.of_figures(run, finding) if heard(m, *graces)]
                saturated = any(m.get("velocity", 0) >= 127
                                for _, m in self.of_figures(run, finding))
                whole = all(heard(*g) for g, m in self.of_figures(run, finding) if heard(m))
                if len(softer) >= run.few and whole and not saturated:
                    self.near(finding, hodges_lehmann(softer), 0.001)
                    compared += 1
        self.assertGreater(compared, RUNS // 20)

    def test_flams_are_as_wide_as_their_geometric_centre(self):
        compared = 0
        for run, finding in self.each("flam-gap"):
            with self.subTest(run.command, finding=finding["text"]):
                gaps, whole = [], True
                for graces, main in self.of_figures(run, finding):
                    if heard(main, *graces):
                        times = [run.came_at(s) for s in (*graces, main)]
                        gaps += list(numpy.diff(times))
                    elif heard(main):
                        whole = False
                if whole and len(gaps) >= run.few and finding["value"] is not None:
                    logs = numpy.log(numpy.maximum(gaps, 0.5))
                    low, high = numpy.log(finding["interval"])
                    self.assertLessEqual(abs(math.log(finding["value"]) - hodges_lehmann(logs)),
                                         0.25 * (high - low) + 0.001)
                    compared += 1
        self.assertGreater(compared, RUNS // 40)

    def test_presses_have_the_mean_of_their_notes(self):
        compared = 0
        for run, finding in self.each("buzz"):
            with self.subTest(run.command, finding=finding["text"]):
                notes = [len(s["hits"]) for s in run.mains if s["kind"] == "buzz" and heard(s)
                         and finding["hand"] in ("both", s["hand"])]
                if finding["unit"] == "notes" and len(notes) >= run.few:
                    self.assertAlmostEqual(finding["value"], numpy.mean(notes), delta=0.0001)
                    half = stats.t.ppf(0.95, len(notes) - 1) * stats.sem(notes)
                    low, high = finding["interval"]
                    self.assertAlmostEqual((high - low) / 2, half, delta=0.02 * half + 0.0001)
                    compared += 1
        self.assertGreater(compared, RUNS // 40)

    def test_accents_stand_over_the_taps_of_their_hand(self):
        """Without marks and grace notes: not far from the plain difference of two medians."""
        compared = 0
        for run, finding in self.each("accent"):
            with self.subTest(run.command, finding=finding["text"]):
                if (MARKS.search(run.text) or finding["value"] is None or finding["hand"] == "both"
                        or any(True for _ in run.figures())):
                    continue
                of_hand = [s for s in run.mains if heard(s) and s["hand"] == finding["hand"]]
                accents = [s["level_db"] for s in of_hand if s["accent"]]
                taps = [s["level_db"] for s in of_hand
                        if not s["accent"] and s["kind"] in ("single", "first")]
                if len(accents) >= run.few and len(taps) >= 16 and max(accents) < 0:
                    lift = numpy.median(accents) - numpy.median(taps)
                    self.assertAlmostEqual(finding["value"], lift, delta=1.5)
                    compared += 1
        self.assertGreater(compared, RUNS // 40)


if __name__ == "__main__":
    unittest.main()
