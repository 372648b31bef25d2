"""MusicXML files as a player has them: what we write, held against the W3C's schema and read by
Python's own ZIP and XML libraries; what those write, read by us; several parts; bad archives."""

import io
import os
import pathlib
import subprocess
import sys
import unittest
import xml.etree.ElementTree as ElementTree
import zipfile

HERE = pathlib.Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "cli"))

from evenhand_cli import FAILED, GOOD, ROOT, USAGE, CliTest, some  # noqa: E402
from fewer import EVERY  # noqa: E402

CONTAINER = """<?xml version="1.0" encoding="UTF-8"?>
<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>
"""

NOTE = ("<note><unpitched/><duration>{duration}</duration><voice>1</voice><type>{kind}</type>"
        "<lyric><text>{hand}</text></lyric></note>")


def bar_of(hands):
    return "".join(NOTE.format(duration=1, kind="quarter", hand=hand) for hand in hands)


BAR = bar_of("RLRR")
OPENING = ("<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type>"
           "</time><clef><sign>percussion</sign></clef></attributes>")
PITCHED = ("<attributes><divisions>1</divisions></attributes><note><pitch><step>C</step>"
           "<octave>4</octave></pitch><duration>4</duration><type>whole</type></note>")


def part_list(*names):
    rows = "".join(f'<score-part id="P{i}"><part-name>{name}</part-name></score-part>'
                   for i, name in enumerate(names, 1))
    return f"<part-list>{rows}</part-list>"


def partwise(*parts, names=("Snare",), head="", declaration='<?xml version="1.0"?>'):
    bodies = "".join(
        f'<part id="P{i}">' + "".join(f'<measure number="{n}">{bar}</measure>'
                                      for n, bar in enumerate(bars, 1)) + "</part>"
        for i, bars in enumerate(parts, 1))
    return f"{declaration}<score-partwise>{head}{part_list(*names)}{bodies}</score-partwise>"


SIMPLE = partwise([OPENING + BAR, BAR])


def archive(files, container=CONTAINER.format(path="music/score.xml"), method=zipfile.ZIP_DEFLATED):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as packed:
        if container is not None:
            packed.writestr("META-INF/container.xml", container)
        for name, content in files.items():
            packed.writestr(name, content)
    return out.getvalue()


class TextTest(CliTest):
    def text_of(self, name, *options):
        """The exercise as our own text, to the letter."""
        self.expect(GOOD, "export", name, "as-text.txt", *options)
        written = self.folder / "as-text.txt"
        text = written.read_text(encoding="utf-8")
        written.unlink()
        return text


class Written(TextTest):
    def exported(self):
        """Every shipped exercise, written into this test's folder."""
        files = []
        for path in some(sorted((ROOT / "exercises").rglob("*.txt"))):
            name = f"{path.stem}.musicxml"
            self.expect(GOOD, "export", path, name, prints=f"{name}: {path.stem}")
            files.append(self.folder / name)
        self.assertGreaterEqual(len(files), 48 // EVERY)
        return files

    def test_what_is_written_is_valid_by_the_w3c_schema(self):
        """The schema: w3c/README.md says which. Rudiments, exercises, and 120 random ones with
        everything that the rules allow."""
        subprocess.run([os.environ["RANDOM_MUSICXML"], self.folder, "120", "5001"], check=True)
        files = self.exported() + sorted(self.folder.glob("random-*.musicxml"))
        self.assertGreaterEqual(len(files), 120 + 48 // EVERY)
        run = subprocess.run(
            ["xmllint", "--nonet", "--noout", "--schema", HERE / "w3c" / "musicxml.xsd", *files],
            env={**os.environ, "XML_CATALOG_FILES": str(HERE / "w3c" / "catalog.xml")},
            capture_output=True, text=True, check=False)
        self.assertEqual(run.returncode, 0, run.stderr[-3000:])
        self.assertEqual(run.stderr.count(" validates\n"), len(files))

    def test_the_schema_check_would_see_a_mistake(self):
        path = self.folder / "rolls.musicxml"
        self.expect(GOOD, "export", "five-stroke-rolls", path.name)
        path.write_text(path.read_text().replace("<duration>", "<length>").replace(
            "</duration>", "</length>"))
        run = subprocess.run(
            ["xmllint", "--nonet", "--noout", "--schema", HERE / "w3c" / "musicxml.xsd", path],
            env={**os.environ, "XML_CATALOG_FILES": str(HERE / "w3c" / "catalog.xml")},
            capture_output=True, check=False)
        self.assertEqual(run.returncode, 3)

    def test_an_archive_is_what_the_standard_asks_for(self):
        """MusicXML 4.0, "Compressed .mxl files": mimetype first and uncompressed, then the
        container, whose first rootfile is the score."""
        self.expect(GOOD, "export", "five-stroke-rolls", "rolls.mxl")
        self.expect(GOOD, "export", "five-stroke-rolls", "rolls.musicxml")
        with zipfile.ZipFile(self.folder / "rolls.mxl") as packed:
            self.assertIsNone(packed.testzip())
            first = packed.infolist()[0]
            self.assertEqual((first.filename, first.compress_type), ("mimetype", zipfile.ZIP_STORED))
            self.assertEqual(packed.read("mimetype"), b"application/vnd.recordare.musicxml")
            container = ElementTree.fromstring(packed.read("META-INF/container.xml"))
            score = container.find("rootfiles/rootfile").get("full-path")
            document = packed.read(score)
        self.assertEqual(document, (self.folder / "rolls.musicxml").read_bytes())
        root = ElementTree.fromstring(document)
        self.assertEqual((root.tag, root.get("version")), ("score-partwise", "4.0"))
        self.assertEqual(root.findtext("work/work-title"), "Five-stroke rolls")
        # 253 strokes are 165 notes, 88 of them doubles: counted by hand in stroke_tables.py.
        notes = [note for note in root.iter("note") if note.find("rest") is None]
        self.assertEqual(len(notes), 253 - 88)

    def test_a_file_that_is_there_is_not_overwritten_and_other_endings_are_refused(self):
        self.write("mine.mxl", b"mine")
        self.expect(FAILED, "export", "single-strokes", "mine.mxl", says="exists already")
        self.assertEqual((self.folder / "mine.mxl").read_bytes(), b"mine")
        self.expect(USAGE, "export", "single-strokes", "mine.pdf",
                    says="expected a name that ends in .musicxml, .xml, .mxl, .txt or .mid")
        self.expect(USAGE, "export", "single-strokes", says="evenhand export EXERCISE FILE")

    def test_text_is_written_too(self):
        self.expect(GOOD, "export", "five-stroke-rolls", "rolls.musicxml")
        self.expect(GOOD, "export", "rolls.musicxml", "rolls.txt")
        self.assertEqual(self.text_of("rolls.txt"), self.text_of("five-stroke-rolls"))


    def test_a_midi_file_is_played_as_written(self):
        for options in ([], ["--part", "Snare drum"]):
            self.expect(GOOD, "export", "five-stroke-rolls", "rolls.musicxml")
            exercise = "rolls.musicxml" if options else "five-stroke-rolls"
            self.expect(GOOD, "export", exercise, "rolls.mid", *options)
            counts = self.judge("five-stroke-rolls", "rolls.mid")["counts"]
            self.assertEqual((counts["matched"], counts["missed"], counts["extra"]), (253, 0, 0))
            (self.folder / "rolls.mid").unlink()
            (self.folder / "rolls.musicxml").unlink()


class Read(TextTest):
    def test_a_musicxml_file_is_an_exercise_wherever_one_is_asked_for(self):
        for name in ("rolls.musicxml", "rolls.mxl", "rolls.xml"):
            with self.subTest(name=name):
                self.expect(GOOD, "export", "five-stroke-rolls", name)
                self.assertEqual(self.text_of(name), self.text_of("five-stroke-rolls"))
                take = f"{name}.mid"
                self.expect(GOOD, "demo", name, "--save", take, "--exact")
                judged = self.judge(name, take)
                self.assertEqual(judged, {**self.judge("five-stroke-rolls", take)})
                self.demo_run(name, "--demo", "--bars", "1-2", "--db", "runs.db")
        page = self.expect(GOOD, "history", "--db", "runs.db")
        self.assertEqual(page.count("rolls"), 3)

    def test_a_stored_run_is_judged_again_without_the_file(self):
        self.write("flams.musicxml", SIMPLE)
        self.demo_run("flams.musicxml", "--demo", "--passes", "4", "--db", "runs.db")
        before = self.expect(GOOD, "judge", "flams", "run:1", "--json", "--db", "runs.db")
        (self.folder / "flams.musicxml").unlink()
        self.assertEqual(before,
                         self.expect(GOOD, "judge", "flams", "run:1", "--json", "--db", "runs.db"))

    def test_archives_of_others_are_read(self):
        expected = "| 4:R L R R | R L R R |"
        rows = {
            "deflated": archive({"music/score.xml": SIMPLE}),
            "stored": archive({"music/score.xml": SIMPLE}, method=zipfile.ZIP_STORED),
            "with more in it": archive({"mimetype": "x", "thumbnail.png": b"\x89PNG" * 99,
                                        "other.xml": "<no/>", "music/score.xml": SIMPLE}),
            "a name that is not ASCII": archive(
                {"Größe.xml": SIMPLE}, container=CONTAINER.format(path="Größe.xml")),
            "typed": archive({"music/score.xml": SIMPLE}, container=CONTAINER.format(
                path="music/score.xml").replace(
                    "<rootfile ", '<rootfile media-type="application/pdf" full-path="x.pdf"/>'
                    '<rootfile media-type="application/vnd.recordare.musicxml+xml" ')),
        }
        for name, content in rows.items():
            with self.subTest(name=name):
                self.write("x.mxl", content)
                self.assertIn(expected, self.text_of("x.mxl"))

    def test_bad_archives_are_refused(self):
        good = archive({"music/score.xml": SIMPLE})
        crowd = archive({**{f"{i}": "" for i in range(1000)}, "music/score.xml": SIMPLE})
        bomb = archive({"music/score.xml": b"<a>" + b" " * (60 << 20)})
        encrypted = bytearray(good)
        # APPNOTE 4.4.4: bit 0 of the general purpose flag, in both headers of each file.
        for signature, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
            at = good.find(signature)
            while at >= 0:
                encrypted[at + offset] |= 1
                at = good.find(signature, at + 1)
        damaged = bytearray(good)
        damaged[good.find(b"music/score.xml") + 40] ^= 0xFF
        rows = [
            ("cut short", good[:-30], "damaged or shortened"),
            ("half", good[:len(good) // 2], "damaged or shortened"),
            ("changed", bytes(damaged), "damaged or shortened"),
            ("nothing in it", archive({}, container=None), "expected a table of contents"),
            ("no container", archive({"score.xml": SIMPLE}, container=None),
             "expected a table of contents"),
            ("no XML", archive({"music/score.xml": SIMPLE}, container="hello"),
             "expected META-INF/container.xml to be XML"),
            ("other XML", archive({"music/score.xml": SIMPLE}, container="<a/>"),
             "to name a score"),
            ("no path", archive({"music/score.xml": SIMPLE}, container=CONTAINER.format(path="")),
             "to name a score"),
            ("not there", archive({}), "expected the score that META-INF/container.xml names"),
            ("a way out", archive({}, container=CONTAINER.format(path="../../etc/passwd")),
             "expected the score that META-INF/container.xml names"),
            ("entities in the container", archive(
                {"music/score.xml": SIMPLE},
                container='<!DOCTYPE a [<!ENTITY b "c">]>' + CONTAINER.split("\n", 1)[1].format(
                    path="music/score.xml")), "expected no entity declarations"),
            ("too many files", crowd, "expected at most 1000 files in the archive"),
            ("a bomb", bomb, "grows at most 400-fold"),
            ("encrypted", bytes(encrypted), "found an encrypted one"),
        ]
        for name, content, words in rows:
            with self.subTest(name=name):
                self.write("x.mxl", content)
                self.expect(FAILED, "show", "x.mxl", says=["x.mxl: ", words])

    def test_other_encodings_are_read(self):
        head = "<work><work-title>Übung für zwei Hände</work-title></work>"
        for encoding in ("UTF-8", "UTF-16", "ISO-8859-1"):
            declaration = f'<?xml version="1.0" encoding="{encoding}"?>'
            text = partwise([OPENING + BAR], head=head, declaration=declaration)
            with self.subTest(encoding=encoding):
                self.write("x.musicxml", text.encode(encoding))
                self.assertIn("title: Übung für zwei Hände\n", self.text_of("x.musicxml"))

    def test_measures_may_be_written_outside_of_the_parts(self):
        """score-timewise: the same, measures first."""
        timewise = (f"<score-timewise>{part_list('Piano', 'Snare')}"
                    f'<measure number="1"><part id="P1">{PITCHED}</part>'
                    f'<part id="P2">{OPENING}{BAR}</part></measure>'
                    f'<measure number="2"><part id="P1">{PITCHED}</part>'
                    f'<part id="P2">{BAR}</part></measure></score-timewise>')
        self.write("x.musicxml", timewise)
        self.assertIn("| 4:R L R R | R L R R |", self.text_of("x.musicxml"))

    def test_one_of_several_parts_is_chosen_by_name_or_id(self):
        self.write("x.musicxml", partwise([PITCHED], [OPENING + BAR], [OPENING + bar_of("LRLL")],
                                          names=("Piano", "Snare one", "Snare two")))
        first = "| 4:R L R R |"
        second = "| 4:L R L L |"
        run = self.run_program("show", "x.musicxml")
        self.assertIn(first, self.text_of("x.musicxml"))
        self.assertIn('note: the score has several parts: "Snare one" is read', run.stderr.decode())
        for name, words in (("Snare one", first), ("snare TWO", second), ("P3", second)):
            with self.subTest(name=name):
                self.assertIn(words, self.text_of("x.musicxml", "--part", name))
                self.expect(GOOD, "demo", "x.musicxml", "--part", name, "--save", f"{name}.mid")
                self.judge("x.musicxml", f"{name}.mid", "--part", name)
        self.expect(FAILED, "show", "x.musicxml", "--part", "Flute",
                    says=['found no "Flute"', '"Piano" (P1)', '"Snare two" (P3)'])
        self.write("x.txt", "| 4:R L R L |\n")
        self.expect(FAILED, "show", "x.txt", "--part", "Snare", says="this is a text")

    def test_what_is_not_understood_is_listed_with_its_measures(self):
        odd = BAR.replace("<lyric>", "<notations><fermata/></notations><lyric>", 1)
        self.write("x.musicxml", partwise([OPENING + odd, BAR, odd, odd]))
        run = self.run_program("show", "x.musicxml")
        self.assertEqual(run.returncode, GOOD)
        self.assertEqual(run.stderr.decode(),
                         "evenhand: x.musicxml:1: note: measures 1, 3, 4: fermata is not read\n")

    def test_a_mistake_is_told_with_its_line_and_measure(self):
        text = partwise([OPENING + BAR, "\n" + BAR + NOTE.format(duration=1, kind="quarter",
                                                                   hand="R")])
        self.write("x.musicxml", text.replace("<measure", "\n<measure"))
        self.expect(FAILED, "show", "x.musicxml",
                    says="x.musicxml:3: measure 2: expected 4/4 in the measure, found")

    def test_what_others_wrote_cannot_drive_the_terminal(self):
        text = partwise([OPENING + "<direction><direction-type><words>a&#x9b;31mb</words>"
                         "</direction-type></direction>" + BAR],
                        head="<work><work-title>a&#x9b;31mb</work-title></work>")
        self.write("x.musicxml", text)
        run = self.run_program("show", "x.musicxml")
        self.assertEqual(run.returncode, GOOD)
        self.assertNotIn("\x9b", run.stdout.decode() + run.stderr.decode())


if __name__ == "__main__":
    unittest.main()
