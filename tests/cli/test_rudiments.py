"""The 40 rudiments as shipped, against the table typed from the published lists: found by their
names, and judged stroke by stroke on performances that another library writes from the table."""

import os
import pty
import subprocess

import midi_takes
import mido
import rudiment_tables
from rudiment_tables import ALT, DRAGS, FLAMS, ROWS, RUDIMENTS, cells
from test_exact import beat_text, kinds_of
from evenhand_cli import PROGRAM, CliTest, main, some

TAP, ACCENT, GRACE = 40, 95, 20  # velocities: an accent 7.5 dB above the taps, grace notes 6 below
BOUNCES = (40, 32, 26)           # of one press
TICK = midi_takes.DIVISION

# Leads of the grace notes, the one before the main note first.
FLAM_MS, DRAG_MS = [25], [35, 70]


def quarters_of(ms, tempo):
    return ms * tempo / 60000


def notes_of(exercise, tempo):
    """(quarter, velocity) as an exact player would be heard, and the note of each stroke."""
    notes = []
    for stroke in exercise.strokes():
        leads = FLAM_MS if len(stroke.graces) == 1 else DRAG_MS
        for lead in reversed(leads[:len(stroke.graces)]):
            notes.append((float(stroke.at) - quarters_of(lead, tempo), GRACE))
        if stroke.buzz:
            notes += [(float(stroke.at) + bounce / 12, loudness)
                      for bounce, loudness in enumerate(BOUNCES)]
        else:
            notes.append((float(stroke.at), ACCENT if stroke.accent else TAP))
    return notes


def take_of(exercise, tempo):
    """Two empty bars, then the notes."""
    before = 2 * exercise.bar_length
    beats, unit = exercise.metre
    track = mido.MidiTrack([
        mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(tempo), time=0),
        mido.MetaMessage("time_signature", numerator=beats, denominator=unit, time=0)])
    now = 0
    for at, loudness in notes_of(exercise, tempo):
        tick = round((float(before) + at) * TICK)
        track.append(mido.Message("note_on", channel=9, note=38, velocity=loudness,
                                  time=tick - now))
        now = tick
    file = mido.MidiFile(type=0, ticks_per_beat=TICK)
    file.tracks.append(track)
    return file


def expected_of(exercise):
    """(bar, beat, hand, kind, accent, hit) of each stroke, grace notes too."""
    strokes = list(exercise.strokes())
    expected, hit = [], 0
    for stroke, kind in zip(strokes, kinds_of(strokes)):
        place = (stroke.bar, beat_text(stroke.in_bar))
        for grace in stroke.graces:
            hand = "right" if grace == "r" else "left"
            expected.append((*place, hand, "grace", False, hit))
            hit += 1
        expected.append((*place, stroke.hand, "buzz" if stroke.buzz else kind, stroke.accent, hit))
        hit += len(BOUNCES) if stroke.buzz else 1
    return expected


class Rudiments(CliTest):
    def check(self, name, tempo):
        exercise = RUDIMENTS[name]
        path = self.folder / f"{name}-{tempo}.mid"
        take_of(exercise, tempo).save(path)
        document = self.judge(name, path)
        keys = ("bar", "beat", "hand", "kind", "accent", "hit")
        expected = expected_of(exercise)
        found = [tuple(stroke[key] for key in keys) for stroke in document["strokes"]]
        for index, (mine, theirs) in enumerate(zip(found, expected)):
            self.assertEqual(mine, theirs, f"stroke {index}")
        self.assertEqual(len(found), len(expected))
        self.assertEqual(document["exercise"]["bars"], len(exercise.bars))
        for stroke in document["strokes"]:
            if stroke["kind"] != "grace":
                self.assertLessEqual(abs(stroke["offset_ms"]), 60000 / tempo / TICK)
        self.assertEqual((document["unmatched"], document["course"]), ([], []))
        self.assertEqual([finding["text"] for finding in document["findings"]
                          if finding["fault"]], [])

    def test_every_rudiment_is_played_as_the_lists_have_it(self):
        for name, exercise in some(RUDIMENTS.items()):
            for tempo in exercise.tempos:
                with self.subTest(name=name, tempo=tempo):
                    self.check(name, tempo)

    def test_a_hand_an_accent_or_a_grace_note_that_differs_would_be_seen(self):
        """Each row is turned into a wrong one, which must not agree with the shipped exercise."""
        wrong = [("five-stroke-roll", "rrllL..."), ("single-paradiddle", "rLrr"),
                 ("flam-tap", "rr"), ("flam-tap", "(l)Rl"), ("drag", "(l)r")]
        for name, figure in wrong:
            row = RUDIMENTS[name].row
            try:
                RUDIMENTS[name] = rudiment_tables.RudimentExercise(row._replace(figure=figure))
                with self.subTest(name=name, figure=figure), self.assertRaises(AssertionError):
                    self.check(name, row.tempos[0])
            finally:
                RUDIMENTS[name] = rudiment_tables.RudimentExercise(row)

    def test_the_list_names_them_in_their_order_and_by_family(self):
        def names(*arguments):
            return [line.split()[0] for line in self.expect(0, "list", *arguments).splitlines()]
        self.assertEqual([row.number for row in ROWS], list(range(1, 41)))
        self.assertEqual(names("rudiments"), [row.name for row in ROWS])
        for family in {row.family for row in ROWS}:
            self.assertEqual(names(f"rudiments {family}"),
                             [row.name for row in ROWS if row.family == family])
        self.expect(1, "list", "trumpet", says="no exercise's name or group")

    def test_a_terminal_gets_headings_and_a_pipe_does_not(self):
        ours, programs = pty.openpty()
        with subprocess.Popen([PROGRAM, "list"], cwd=self.folder, env=self.environment,
                              stdin=subprocess.DEVNULL, stdout=programs) as process:
            os.close(programs)
            page = b""
            try:
                while part := os.read(ours, 65536):
                    page += part
            except OSError:  # the program has closed its end (Linux says EIO)
                pass
            self.assertEqual(process.wait(timeout=30), 0)
        os.close(ours)
        lines = page.decode().splitlines()
        self.assertEqual(len(self.expect(0, "list").splitlines()),
                         len([line for line in lines if " bars " in line]))
        for family in ("rolls", "diddles", "flams", "drags"):
            self.assertIn(f"rudiments {family}:", lines)
        self.assertLessEqual(max(map(len, lines)), 80)
        self.assertNotIn("flams:", self.expect(0, "list"))

    def test_own_groups_are_listed_in_their_order_and_links_in_circles_do_no_harm(self):
        for name in ("2-own/10-last.txt", "2-own/9-x/1-deep.txt", "2-own/02-first.txt",
                     "1-mine/7-flam-tap.txt", "3-plain.txt"):
            self.write(f"data/evenhand/exercises/{name}", f"title: {name}\n| 4:RLRL |\n")
        (self.data / "evenhand/exercises/2-own/circle").symlink_to(self.data / "evenhand")
        lines = self.expect(0, "list").splitlines()
        names = [line.split()[0] for line in lines]
        self.assertIn("3-plain", names)  # without a group the number is part of the name
        self.assertEqual([name for name in names if name in ("first", "last", "deep", "flam-tap")],
                         ["flam-tap", "first", "last", "deep"])
        self.expect(0, "show", "flam-tap", prints="1-mine/7-flam-tap.txt\n")
        self.assertEqual([line.split()[0] for line in self.expect(0, "list", "own x").splitlines()],
                         ["deep"])

    def test_a_run_is_kept_under_the_name_without_the_number(self):
        self.demo_run("flam-tap", "--demo", "--bars", "1-2")
        self.expect(0, "history", prints=" flam-tap ")

    def test_each_says_its_number_its_tempos_and_its_style(self):
        for row in ROWS:
            with self.subTest(name=row.name):
                page = " ".join(self.expect(0, "show", row.name).split())
                self.assertIn(f"Rudiment {row.number}, {row.family}. ", page)
                self.assertIn(f" rudimental; start at {row.tempos[0]}, aim at {row.tempos[1]} ", page)


class TheTable(CliTest):
    """Arithmetic of the trade (common practice, no source), so that a slip of typing is seen."""

    def test_rolls_of_n_strokes(self):
        """An odd n: (n - 1) / 2 doubles and one closing stroke. With an even number of doubles it
        falls to the hand that began, and the other hand begins the next roll."""
        words = {"five": 5, "seven": 7, "nine": 9, "eleven": 11, "thirteen": 13, "fifteen": 15,
                 "seventeen": 17, "six": 6, "ten": 10}
        found = 0
        for row in ROWS:
            n = words.get(row.name.split("-")[0]) if row.name.endswith("stroke-roll") else None
            if n is None:
                continue
            found += 1
            hands = [letter for _, letter in cells(row.figure) if letter != "."]
            self.assertEqual(len(hands), n, row.name)
            if n % 2 == 1:
                doubles = (n - 1) // 2
                self.assertEqual("".join(hands[:-1]), ("rrll" * n)[:n - 1])
                self.assertEqual(hands[-1], "R" if doubles % 2 == 0 else "L")
                self.assertEqual(row.repeat == ALT, doubles % 2 == 0, row.name)
            else:
                self.assertNotEqual(row.repeat, ALT, row.name)
        self.assertEqual(found, 9)

    def test_flams_have_one_grace_note_and_drags_two_of_the_other_hand(self):
        for row in ROWS:
            graces = [(grace, letter) for grace, letter in cells(row.figure) if grace]
            if row.family in (FLAMS, DRAGS) and row.name != "single-dragadiddle":
                self.assertTrue(graces, row.name)
            for grace, letter in graces:
                self.assertEqual(grace, ("l" if letter in "rR" else "r") *
                                 (1 if row.family == FLAMS else 2), row.name)

    def test_every_page_that_is_leant_on_is_named(self):
        leaning = {row.number for row in ROWS if row.source == "B"}
        self.assertLessEqual(leaning, set(rudiment_tables.PAGES))
        self.assertLessEqual({row.source for row in ROWS}, set("ABM"))

    def test_families_have_their_numbers(self):
        counts = {}
        for row in ROWS:
            counts[row.family] = counts.get(row.family, 0) + 1
        self.assertEqual(counts, {"rolls": 15, "diddles": 4, "flams": 11, "drags": 10})


if __name__ == "__main__":
    main()
