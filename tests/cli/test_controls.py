"""Notes that mean again, next and stop: pad files as they should and should not be, and verdicts
that do not know that such a note was hit."""

import sqlite3

import mido

from evenhand_cli import FAILED, GOOD, CliTest, main

PAD = "[notes]\nhead = 38\n[controls]\nagain = 50\nstop = 43\n"
NAME = "single-strokes"


class Controls(CliTest):
    def test_a_pad_file_says_them_and_keeps_them(self):
        self.write("pad.ini", PAD)
        page = self.expect(GOOD, "pad", "show", "pad.ini")
        self.assertIn("[controls]\nagain = 50\nstop = 43\n", page)
        self.write("again.ini", page)
        self.assertEqual(self.expect(GOOD, "pad", "show", "again.ini"), page)
        self.write("none.ini", "[notes]\nhead = 38\n")
        self.assertNotIn("controls", self.expect(GOOD, "pad", "show", "none.ini"))

    def test_what_cannot_be_is_refused_with_its_line_and_what_to_do(self):
        for text, line, words in [
                ("[controls]\nagain = 40\n", 2, ["\"again\" cannot be note 40",
                                                "choose a pad or rim"]),
                ("[controls]\nstop = 50\n[notes]\nhead = 50\n", 2, ["\"stop\" cannot be note 50"]),
                ("[controls]\nnext = 50\nstop = 50\n", 3, ["note 50 means \"next\" already"]),
                ("[controls]\nnext = 128\n", 2, ["127"]),
                ("[controls]\nnext = rim\n", 2, ["rim"]),
                ("[controls]\nagian = 50\n", 2, ["again"])]:
            with self.subTest(text):
                self.write("pad.ini", text)
                self.expect(FAILED, "play", NAME, "--demo", "--fast", "--pad", "pad.ini",
                            says=[f"pad.ini:{line}", *words])
        self.assertFalse((self.data / "evenhand" / "history.db").exists())

    def test_in_a_file_they_are_no_strokes(self):
        self.write("pad.ini", PAD)
        self.expect(GOOD, "demo", NAME, "--exact", "--save", "take.mid")
        plain = self.judge(NAME, "take.mid", "--pad", "pad.ini")
        song = mido.MidiFile(self.folder / "take.mid")
        track = max(song.tracks, key=len)
        places = [i for i, m in enumerate(track) if m.type == "note_on" and m.velocity > 0]
        for i in reversed(places[3:40:9]):  # just after a stroke, and between two
            track.insert(i + 1, mido.Message("note_on", channel=9, note=50, velocity=110, time=0))
        song.save(self.folder / "touched.mid")
        touched = self.judge(NAME, "touched.mid", "--pad", "pad.ini")
        self.assertEqual(plain["counts"]["extra"], 0)
        for part in ("counts", "findings", "strokes"):
            self.assertEqual(touched[part], plain[part], part)

    def test_in_the_history_they_are_kept_and_no_strokes(self):
        self.write("pad.ini", PAD)
        document = self.demo_run(NAME, "--demo=late-left-seconds", "--pad", "pad.ini")
        with sqlite3.connect(self.data / "evenhand" / "history.db") as db:
            columns = [row[1] for row in db.execute("pragma table_info(hit)")]
            last = dict(zip(columns, db.execute(
                "select * from hit order by number desc limit 1").fetchone()))
            for more, (note, after_ns) in enumerate([(50, 700_000_000), (50, 900_000_000)], 1):
                row = {**last, "number": last["number"] + more, "note": note,
                       "at_ns": last["at_ns"] + after_ns}
                db.execute(f"insert into hit ({', '.join(row)}) values "
                           f"({', '.join('?' * len(row))})", list(row.values()))
        self.assertEqual(self.judge(NAME, "run:1"), document)
        self.expect(GOOD, "history", "export", "1", "out.mid")
        notes = [m.note for m in mido.MidiFile(self.folder / "out.mid")
                 if m.type == "note_on" and m.velocity > 0]
        self.assertEqual(notes[-2:], [50, 50])


if __name__ == "__main__":
    main()
