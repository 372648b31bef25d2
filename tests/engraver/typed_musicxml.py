"""Writes the typed tables of exercises as MusicXML 4.0: another writer than the program's own, so
that its reader is held against files that it did not write.

Everything is written out, stroke by stroke: no tremolo but the unmeasured one of a buzz. A stroke
lasts to the next one or to the end of its quarter; the remainder is rests. A first bar of rests is
the count-off: an engraver's MIDI file begins with its first bar, and a grace note before the first
note would have no time there. The sticking is written in one of the ways in which editors write it
(MusicXML has no element for it): as a lyric, a fingering, words above the staff, or as another
technical mark.
"""

import fractions
import xml.etree.ElementTree as ET
from typing import NamedTuple

DIVISIONS = 24  # a quarter: 32nds are 3, the twelfths of a quarter 2
WAYS = ("lyric", "fingering", "words", "other-technical")

# Velocities; MusicXML counts in percent of 90. An accent stands 7.5 dB over the taps.
TAP, ACCENT, GRACE = 40, 95, 20
BOUNCES = (40, 32, 26)  # of one press, written out

TYPES = {1: "quarter", 2: "eighth", 4: "16th", 8: "32nd"}  # parts of a quarter
MARKS = {-3: "pp", -2: "p", -1: "mp", 0: "mf", 1: "f", 2: "ff"}


class Played(NamedTuple):
    hand: str       # "R" or "L", grace notes "r" or "l"
    velocity: int
    accent: bool = False
    graces: str = ""
    buzz: bool = False


def add(parent, name, text=None, **attributes):
    child = ET.SubElement(parent, name, {key: str(value) for key, value in attributes.items()})
    if text is not None:
        child.text = str(text)
    return child


def add_stick(measure, note, way, hand):
    if way == "lyric":
        add(add(note, "lyric", number=1), "text", hand)
    elif way in ("fingering", "other-technical"):
        notations = note.find("notations")
        notations = add(note, "notations") if notations is None else notations
        technical = ET.Element("technical")
        add(technical, way, hand)
        notations.insert(len(notations.findall("tuplet")), technical)
    else:
        direction = ET.Element("direction", placement="above")
        add(add(direction, "direction-type"), "words", hand)
        measure.insert(list(measure).index(note), direction)


def add_note(measure, velocity, kind):
    note = add(measure, "note", dynamics=f"{velocity / 0.9:.2f}")
    if kind is None:
        add(note, "grace", slash="yes")
    place = add(note, "unpitched")
    add(place, "display-step", "C")
    add(place, "display-octave", 5)
    if kind is None:
        add(note, "voice", 1)
        add(note, "type", "16th")
    return note


def add_length(note, length, part, dotted, tuplet):
    add(note, "duration", length)
    add(note, "voice", 1)
    add(note, "type", TYPES[part])
    if dotted:
        add(note, "dot")
    if tuplet is not None:
        ratio = add(note, "time-modification")
        add(ratio, "actual-notes", 3)
        add(ratio, "normal-notes", 2)


def pieces(cells, finest):
    """CELLS of the unit as lengths that one sign can have: (cells, parts of a quarter, dotted).
    FINEST: how many of the unit's cells, triplets aside, go into a quarter."""
    while cells > 0:
        plain = 1 << (cells.bit_length() - 1)
        if cells >= plain + plain // 2 and plain > 1:
            yield plain + plain // 2, finest // plain, True
            cells -= plain + plain // 2
        else:
            yield plain, finest // plain, False
            cells -= plain


class Unit:
    """The strokes of one quarter: where (0 to 1) and what."""

    def __init__(self, strokes):
        self.strokes = dict(strokes)
        for cells, finest, tuplet in ((8, 8, False), (3, 2, True), (6, 4, True), (12, 8, True)):
            if all((place * cells).denominator == 1 for place in self.strokes):
                self.cells, self.finest, self.tuplet = cells, finest, tuplet
                return
        raise ValueError(f"no way to write {self.strokes}")

    def write(self, measure, way):
        places = sorted({fractions.Fraction(0), *self.strokes})
        signs = []
        for place, end in zip(places, places[1:] + [fractions.Fraction(1)]):
            stroke = self.strokes.get(place)
            for cells, part, dotted in pieces(int((end - place) * self.cells), self.finest):
                signs.append((stroke, cells, part, dotted))
                stroke = None
        for index, sign in enumerate(signs):
            edges = [edge for edge, here in (("start", index == 0),
                                             ("stop", index == len(signs) - 1)) if here]
            self.write_sign(measure, way, sign, edges if self.tuplet else None)

    def write_sign(self, measure, way, sign, edges):
        stroke, cells, part, dotted = sign
        for hand in stroke.graces if stroke is not None else "":
            add_stick(measure, add_note(measure, GRACE, None), way, hand)
        if stroke is None:
            note = add(measure, "note")
            add(note, "rest")
        else:
            note = add_note(measure, stroke.velocity, part)
        add_length(note, DIVISIONS * cells // self.cells, part, dotted, edges)
        self.write_notations(note, stroke, edges)
        if stroke is not None and stroke.hand:
            add_stick(measure, note, way, stroke.hand)

    def write_notations(self, note, stroke, edges):
        accent = stroke is not None and stroke.accent
        buzz = stroke is not None and stroke.buzz
        if not (edges or accent or buzz):
            return
        notations = add(note, "notations")
        for edge in edges or []:
            add(notations, "tuplet", type=edge)
        if buzz:
            add(add(notations, "ornaments"), "tremolo", 0, type="unmeasured")
        if accent:
            add(add(notations, "articulations"), "accent")


def write_head(score, title):
    add(add(score, "work"), "work-title", title)
    part = add(add(score, "part-list"), "score-part", id="P1")
    add(part, "part-name", "Side drum")


def write_attributes(measure, metre, tempo):
    attributes = add(measure, "attributes")
    add(attributes, "divisions", DIVISIONS)
    time = add(attributes, "time")
    add(time, "beats", metre[0])
    add(time, "beat-type", metre[1])
    add(add(attributes, "clef"), "sign", "percussion")
    direction = add(measure, "direction", placement="above")
    metronome = add(add(direction, "direction-type"), "metronome")
    add(metronome, "beat-unit", "quarter")
    add(metronome, "per-minute", tempo)
    add(direction, "sound", tempo=tempo)


def write_rest_bar(measure, length):
    note = add(measure, "note")
    add(note, "rest", measure="yes")
    add(note, "duration", int(DIVISIONS * length))
    add(note, "voice", 1)


def write_levels(measure, number, levels):
    """The marks and wedges that begin or end at the bar line before bar NUMBER."""
    for index, (bar, step, hairpin) in enumerate(levels):
        if bar != number:
            continue
        kinds = [add(add(measure, "direction", placement="below"), "direction-type")]
        if index > 0 and levels[index - 1][2]:
            add(kinds[0], "wedge", type="stop")
            kinds.append(add(add(measure, "direction", placement="below"), "direction-type"))
        add(add(kinds[-1], "dynamics"), MARKS[step])
        if hairpin:
            grows = levels[index + 1][1] > step
            kind = add(add(measure, "direction", placement="below"), "direction-type")
            add(kind, "wedge", type="crescendo" if grows else "diminuendo")


def write_bar(measure, length, strokes, way):
    """STROKES: (quarter in the bar, Played)."""
    if not strokes:
        write_rest_bar(measure, length)
        return
    for quarter in range(int(length)):
        Unit((place - quarter, stroke) for place, stroke in strokes
             if quarter <= place < quarter + 1).write(measure, way)


def write_repeat(measure, direction, location):
    barline = add(measure, "barline", location=location)
    add(barline, "bar-style", "heavy-light" if direction == "forward" else "light-heavy")
    add(barline, "repeat", direction=direction)


class Sheet(NamedTuple):
    title: str
    metre: tuple
    tempo: int
    way: str      # one of WAYS
    bars: list    # of lists of (quarter in the bar, Played)
    levels: list  # (bar, step from mf, whether a hairpin leads from here to the next row)
    repeated: set  # bars that are played twice, each by itself


def write(sheet, path):
    score = ET.Element("score-partwise", version="4.0")
    write_head(score, sheet.title)
    part = add(score, "part", id="P1")
    length = fractions.Fraction(4 * sheet.metre[0], sheet.metre[1])
    count_off = add(part, "measure", number=1)
    write_attributes(count_off, sheet.metre, sheet.tempo)
    write_rest_bar(count_off, length)
    for number, strokes in enumerate(sheet.bars, 1):
        measure = add(part, "measure", number=number + 1)
        if number in sheet.repeated:
            write_repeat(measure, "forward", "left")
        write_levels(measure, number, sheet.levels)
        write_bar(measure, length, strokes, sheet.way)
        if number in sheet.repeated:
            write_repeat(measure, "backward", "right")
    ET.indent(score)
    with open(path, "w", encoding="utf-8") as file:
        file.write('<?xml version="1.0" encoding="UTF-8"?>\n'
                   '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
                   '"http://www.musicxml.org/dtds/partwise.dtd">\n')
        file.write(ET.tostring(score, encoding="unicode") + "\n")
