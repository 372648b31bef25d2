"""The library: every exercise that is shipped, as text, MusicXML and MIDI and back, and judged
without a fault when it is played exactly; pieces of it against tables typed by hand."""

import re

import library_tables
import midi_takes
import mido
from evenhand_cli import GOOD, ROOT, RUDIMENTS, SHIPPED, CliTest, main, some
from rudiment_tables import F
from test_exact import beat_text, kinds_of
from test_rudiments import BOUNCES, DRAG_MS, FLAM_MS, quarters_of

TICK = midi_takes.DIVISION
GRACE_DB = -6.0


def header(path):
    """The values of a file's header lines, in their order."""
    lines = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        match = re.match(r"([a-z]+): (.*)", line)
        if match:
            lines.setdefault(match[1], []).append(match[2])
    return lines


LIBRARY = {re.sub(r"^\d+-", "", path.stem): path
           for path in sorted((ROOT / "exercises").rglob("*.txt"))}


def softer(velocity, decibels):
    return max(1, min(127, round(velocity * 10 ** (decibels / 20))))


def notes_of(piece, tempo):
    """(quarter, velocity) as an exact player would be heard, and the place of each stroke's own
    note among them. A press is three notes within a 16th."""
    notes = []
    for stroke in piece.strokes():
        velocity = midi_takes.velocity(piece, stroke.bar, stroke.in_bar, stroke.accent)
        leads = FLAM_MS if len(stroke.graces) == 1 else DRAG_MS
        for lead in reversed(leads[:len(stroke.graces)]):
            plain = midi_takes.velocity(piece, stroke.bar, stroke.in_bar, False)
            notes.append((float(stroke.at) - quarters_of(lead, tempo), softer(plain, GRACE_DB)))
        notes.append((float(stroke.at), velocity))
        if stroke.buzz:
            notes += [(float(stroke.at + F(bounce, 12)),
                       softer(velocity * loudness / BOUNCES[0], 0))
                      for bounce, loudness in enumerate(BOUNCES) if bounce > 0]
    return notes


def take_of(piece, tempo):
    """Two empty bars, then the notes."""
    track = mido.MidiTrack([
        mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(tempo), time=0),
        mido.MetaMessage("time_signature", numerator=4, denominator=4, time=0)])
    now = 0
    for at, velocity in notes_of(piece, tempo):
        tick = round((8 + at) * TICK)
        track.append(mido.Message("note_on", channel=9, note=38, velocity=velocity,
                                  time=tick - now))
        now = tick
    file = mido.MidiFile(type=0, ticks_per_beat=TICK)
    file.tracks.append(track)
    return file


def expected_of(piece):
    """(bar, beat, hand, kind, accent, hit) of each stroke, grace notes too."""
    strokes = list(piece.strokes())
    expected, hit = [], 0
    for stroke, kind in zip(strokes, kinds_of(strokes)):
        place = (stroke.bar, beat_text(stroke.in_bar))
        for grace in stroke.graces:
            expected.append((*place, "right" if grace == "r" else "left", "grace", False, hit))
            hit += 1
        expected.append((*place, stroke.hand, "buzz" if stroke.buzz else kind, stroke.accent, hit))
        hit += len(BOUNCES) if stroke.buzz else 1
    return expected


class EveryExercise(CliTest):
    def test_each_says_what_it_trains_its_style_and_its_tempos(self):
        self.assertEqual(sorted(LIBRARY), sorted(SHIPPED))
        self.assertGreaterEqual(len(LIBRARY), 76)
        for name, path in LIBRARY.items():
            with self.subTest(name=name):
                lines = header(path)
                self.assertEqual(list(lines), ["title", "about", "style", "tempo", "metre"])
                self.assertIn(lines["style"], (["concert"], ["rudimental"]))
                start, goal = map(int, lines["tempo"][0].split(" to "))
                self.assertLess(start, goal)
                self.assertGreater(len(" ".join(lines["about"])), 60)

    def test_the_page_about_the_library_says_of_each_what_its_file_says(self):
        page = (ROOT / "docs/library.md").read_text(encoding="utf-8")
        rows = {}
        for line in page.splitlines():
            match = re.fullmatch(r"\|(?: \d+ \|)? `([a-z0-9-]+)` \| [^|]+ \| ([^|]+) \| ([^|]+) "
                                 r"\| (\d+) \|", line)
            if match:
                rows[match[1]] = list(match.group(2, 3, 4))
        self.assertEqual(sorted(rows), sorted(LIBRARY))
        listed = {line.split()[0]: line.split()[1] for line in self.expect(GOOD, "list").splitlines()}
        for name, path in LIBRARY.items():
            lines = header(path)
            self.assertEqual(rows[name], [lines["style"][0], lines["tempo"][0], listed[name]], name)

    def test_each_comes_back_by_way_of_its_own_text_and_of_musicxml(self):
        for name in some(LIBRARY):
            with self.subTest(name=name):
                self.expect(GOOD, "export", name, f"{name}.txt")
                self.expect(GOOD, "export", f"./{name}.txt", f"{name}.musicxml")
                self.expect(GOOD, "export", f"./{name}.musicxml", "back.txt")
                self.assertEqual((self.folder / "back.txt").read_bytes(),
                                 (self.folder / f"{name}.txt").read_bytes())
                (self.folder / "back.txt").unlink()

    def check_exact(self, name, take):
        """All there, no fault; the notes in the file, as another library counts them."""
        notes = [message for message in mido.MidiFile(self.folder / take)
                 if message.type == "note_on" and message.velocity > 0]
        document = self.judge(name, take)
        self.assertEqual([finding["text"] for finding in document["findings"]
                          if finding["fault"]], [])
        self.assertEqual(document["counts"]["missed"], 0)
        self.assertEqual(document["counts"]["extra"], 0)
        presses = [stroke for stroke in document["strokes"] if stroke["kind"] == "buzz"]
        if presses:
            self.assertGreaterEqual(len(notes), len(document["strokes"]) + 2 * len(presses))
        else:
            self.assertEqual(len(notes), len(document["strokes"]))

    def test_each_written_as_midi_is_judged_without_a_fault(self):
        for name in some(LIBRARY):
            with self.subTest(name=name):
                self.expect(GOOD, "export", name, f"{name}.mid")
                self.check_exact(name, f"{name}.mid")

    def test_each_played_exactly_at_its_aim_is_judged_without_a_fault(self):
        """The rudiments are at both their tempos, in test_rudiments.py."""
        for name in some(name for name in LIBRARY if name not in RUDIMENTS):
            goal = header(LIBRARY[name])["tempo"][0].split(" to ")[1]
            with self.subTest(name=name, tempo=goal):
                self.expect(GOOD, "demo", name, "--tempo", goal, "--exact", "--save", "exact.mid")
                self.check_exact(name, "exact.mid")
                (self.folder / "exact.mid").unlink()


class TypedPieces(CliTest):
    def check(self, name, tempo):
        piece = library_tables.PIECES[name]
        path = self.folder / f"{name}-{tempo}.mid"
        take_of(piece, tempo).save(path)
        document = self.judge(name, path)
        keys = ("bar", "beat", "hand", "kind", "accent", "hit")
        found = [tuple(stroke[key] for key in keys) for stroke in document["strokes"]]
        expected = expected_of(piece)
        for mine, theirs in zip(found, expected):
            self.assertEqual(mine, theirs)
        self.assertEqual(len(found), len(expected))
        self.assertEqual(document["exercise"]["bars"], len(piece.bars))
        self.assertEqual(document["style"], piece.style)
        self.assertEqual((document["unmatched"], document["course"]), ([], []))
        for stroke in document["strokes"]:
            if stroke["kind"] != "grace":
                self.assertLessEqual(abs(stroke["offset_ms"]), 60000 / tempo / TICK)
        self.assertEqual([finding["text"] for finding in document["findings"]
                          if finding["fault"]], [])

    def test_pieces_are_played_as_their_tables_have_them(self):
        for name, piece in library_tables.PIECES.items():
            tempos = (70, 90, 120) if name.endswith("etude") else piece.tempos
            for tempo in tempos:
                with self.subTest(name=name, tempo=tempo):
                    self.check(name, tempo)

    def test_a_bar_that_differs_would_be_seen(self):
        for name, bar, wrong in (("rudimental-etude", 31, "R.llrrL. rrllR.ll rrL.rrll r.l.rrll"),
                                 ("concert-etude", 3, "R.rl rr rzlzrzlz l.rl"),
                                 ("rolls-on-triplets", 9, "rlr l.R lrl rL.")):
            piece = library_tables.PIECES[name]
            right = piece.bars[bar - 1]
            try:
                piece.bars[bar - 1] = wrong
                with self.subTest(name=name), self.assertRaises(AssertionError):
                    self.check(name, piece.tempos[0])
            finally:
                piece.bars[bar - 1] = right


class TheTables(CliTest):
    """Common practice, no source, so that a slip of typing is seen."""

    def test_rolls_have_odd_numbers_from_five_to_seventeen(self):
        """Runs of doubles and the accent that closes each: n strokes are (n - 1) / 2 doubles and
        one stroke; after an even number of doubles the hand that began closes."""
        for name in ("rolls-on-16ths", "rolls-on-triplets"):
            letters = "".join(("r" if stroke.hand == "right" else "l") if not stroke.accent else
                              ("R" if stroke.hand == "right" else "L")
                              for stroke in library_tables.PIECES[name].strokes())
            rolls = re.findall(r"((?:rr|ll){2,})([RL])", letters)
            self.assertEqual({len(doubles) + 1 for doubles, _ in rolls},
                             {5, 7, 9, 11, 13, 15, 17}, name)
            for doubles, close in rolls:
                even = len(doubles) // 2 % 2 == 0
                self.assertEqual(close.lower() == doubles[0], even, (name, doubles, close))

    def test_the_concert_etude_is_stuck_naturally(self):
        """The right hand has beats and eighths, the left the 16ths between; triplets alternate."""
        for stroke in library_tables.PIECES["concert-etude"].strokes():
            if stroke.in_bar.denominator != 3 and stroke.in_bar.denominator > 1:
                self.assertEqual(stroke.hand, "left" if stroke.in_bar.denominator == 4 else "right",
                                 stroke)

    def test_no_hand_plays_three_quick_strokes_in_a_row_in_the_rudimental_etude(self):
        """Grace notes set aside. Flams and drags begin only after the hand of their grace notes
        has had a 16th at least."""
        strokes = list(library_tables.PIECES["rudimental-etude"].strokes())
        for before, stroke, after in zip(strokes, strokes[1:], strokes[2:]):
            if before.hand == stroke.hand == after.hand:
                self.assertGreater(after.at - before.at, F(1, 2), stroke)
            if after.graces and stroke.hand != after.hand:
                least = F(1, 4) if len(after.graces) == 1 else F(1, 2)
                self.assertGreaterEqual(after.at - stroke.at, least, after)


if __name__ == "__main__":
    main()
