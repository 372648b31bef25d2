"""Turns MusicXML into a copy that an engraver's MIDI output can play as it is meant.

An exercise as evenhand exports it says what is to be played, not how loud in numbers; and verovio
6.3 plays some signs differently from what they mean. The copy differs in these ways:

- Velocities stand in the notes' dynamics attributes (percent of 90): verovio plays accents and
  dynamic marks at the velocity of everything else.
- Measured tremolos inside tuplets are written out as notes: verovio makes three strokes of a
  doubled triplet eighth. Accented ones, too: their accent is on the first stroke only. Everywhere
  else the tremolo stays, and verovio has to play it.
- A first bar of rests, and no bar lines where there are grace notes: in front of the first note of
  a bar verovio takes the grace note's time from that note, which comes late.
"""

import copy
import functools
import xml.etree.ElementTree as ET

from typed_musicxml import GRACE

FINER = {"quarter": "eighth", "eighth": "16th", "16th": "32nd", "32nd": "64th"}


def is_grace(note):
    return note.find("grace") is not None


def is_accented(note):
    return note.find("notations/articulations/accent") is not None


def set_velocity(note, velocity):
    note.set("dynamics", f"{velocity / 0.9:.2f}")


def measured(note):
    """How many strokes a measured tremolo cuts the note into, else 1."""
    tremolo = note.find("notations/ornaments/tremolo")
    if tremolo is None or tremolo.get("type", "single") != "single":
        return 1
    return 2 ** int(tremolo.text)


def must_be_written_out(note):
    return measured(note) > 1 and (note.find("time-modification") is not None or
                                   is_accented(note))


def drop(note, place, name):
    for parent in note.findall(place):
        for child in parent.findall(name):
            parent.remove(child)


def written_out(note):
    """The note's strokes as notes; the first keeps the accent and the beginning of a tuplet, the
    last the end of one."""
    strokes = measured(note)
    parts = [copy.deepcopy(note) for _ in range(strokes)]
    for index, part in enumerate(parts):
        drop(part, "notations", "ornaments")
        drop(part, ".", "beam")
        drop(part, ".", "lyric")
        part.find("duration").text = str(int(part.find("duration").text) // strokes)
        kind = part.find("type")
        for _ in range(strokes.bit_length() - 1):
            kind.text = FINER[kind.text]
        for tuplet in part.findall("notations/tuplet"):
            if index != (0 if tuplet.get("type") == "start" else strokes - 1):
                part.find("notations").remove(tuplet)
        if index > 0:
            drop(part, "notations", "articulations")
    return parts


def spread(part, factor):
    """FACTOR times as many divisions, so that written-out strokes are whole numbers of them."""
    for length in part.iter():
        if length.tag in ("divisions", "duration"):
            length.text = str(int(length.text) * factor)


def set_sound(measure, divisions, velocity):
    """Gives a bar's notes their velocity, and writes tremolos out where they have to be."""
    at = 0
    for element in list(measure):
        assert element.tag not in ("backup", "forward"), "more than one voice"
        if element.tag != "note":
            continue
        notes = written_out(element) if must_be_written_out(element) else [element]
        place = list(measure).index(element)
        measure[place:place + 1] = notes
        for note in notes:
            if is_grace(note):
                set_velocity(note, GRACE)
                continue
            if note.find("rest") is None:
                set_velocity(note, velocity(at / divisions, is_accented(note)))
            at += int(note.find("duration").text)


def quarter_rests(length, divisions):
    for _ in range(length // divisions):
        note = ET.Element("note")
        ET.SubElement(note, "rest")
        ET.SubElement(note, "duration").text = str(divisions)
        ET.SubElement(note, "voice").text = "1"
        ET.SubElement(note, "type").text = "quarter"
        yield note


def count_off(part):
    """A bar of rests in front, which takes over what stands at the head of the first bar."""
    first = part.find("measure")
    bar = ET.Element("measure", number="0")
    for name in ("attributes", "direction[sound]"):
        head = first.find(name)
        first.remove(head)
        bar.append(head)
    divisions = int(bar.find("attributes/divisions").text)
    beats, unit = (int(bar.find(f"attributes/time/{name}").text) for name in ("beats", "beat-type"))
    bar.extend(quarter_rests(divisions * 4 * beats // unit, divisions))
    part.insert(0, bar)


def join_bars(part):
    """Everything into the first bar, where there are grace notes. Verovio does not mind its
    length; only a rest that fills its bar has to be several."""
    if not any(is_grace(note) for note in part.iter("note")):
        return
    divisions = int(part.find("measure/attributes/divisions").text)
    first, *others = part.findall("measure")
    for measure in others:
        assert measure.find("barline/repeat") is None, "repeats and grace notes do not go together"
        first.extend(list(measure))
        part.remove(measure)
    for note in first.findall("note"):
        if note.find("rest[@measure]") is not None:
            place = list(first).index(note)
            first[place:place + 1] = quarter_rests(int(note.find("duration").text), divisions)


def make(source, target, velocity):
    """Of an exported file. VELOCITY: of a stroke by its bar, its quarter in the bar and whether it
    is accented."""
    tree = ET.parse(source)
    part = tree.getroot().find("part")
    spread(part, 8)
    divisions = int(part.find("measure/attributes/divisions").text)
    for number, measure in enumerate(part.findall("measure"), 1):
        set_sound(measure, divisions, functools.partial(velocity, number))
    count_off(part)
    join_bars(part)
    tree.write(target, encoding="UTF-8", xml_declaration=True)


def make_joined(source, target):
    """Of a file that has its count-off and its velocities."""
    tree = ET.parse(source)
    join_bars(tree.getroot().find("part"))
    tree.write(target, encoding="UTF-8", xml_declaration=True)
