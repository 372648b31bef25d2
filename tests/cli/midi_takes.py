"""Makes Standard MIDI Files with python3-mido: another's writer, not ours."""

import fractions

import mido

DIVISION = 480  # ticks a quarter: 32nds and sextuplets are whole numbers of them

# Levels of an even player: a tap at mf, what an accent adds by style, a dynamic step.
MF_VELOCITY = {"rudimental": 40, "concert": 56}
ACCENT_DB = {"rudimental": 7.5, "concert": 3.0}
STEP_DB = 3.0


def velocity(exercise, bar, in_bar, accent):
    level = STEP_DB * exercise.step(bar, in_bar) + (ACCENT_DB[exercise.style] if accent else 0)
    return min(127, round(MF_VELOCITY[exercise.style] * 10 ** (level / 20)))


def file_of(notes, tempo, kind=1):
    """NOTES: (quarter, velocity). KIND: the format of the file, 0 or 1."""
    head = [mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(tempo), time=0),
            mido.MetaMessage("time_signature", numerator=4, denominator=4, time=0)]
    music, at = [], 0
    for quarter, loudness in notes:
        ticks = fractions.Fraction(quarter) * DIVISION
        assert ticks.denominator == 1
        music.append(mido.Message("note_on", channel=9, note=38, velocity=loudness,
                                  time=int(ticks) - at))
        music.append(mido.Message("note_on", channel=9, note=38, velocity=0, time=10))
        at = int(ticks) + 10
    file = mido.MidiFile(type=kind, ticks_per_beat=DIVISION)
    file.tracks = [mido.MidiTrack(head + music)] if kind == 0 else \
        [mido.MidiTrack(head), mido.MidiTrack(music)]
    return file


def exact_notes(exercise, bars_before=2):
    """The exercise exactly as written, after some empty bars."""
    return [(4 * bars_before + at, velocity(exercise, bar, in_bar, accent))
            for at, bar, in_bar, _, accent in exercise.strokes()]


def exact_take(exercise, tempo, kind=1):
    return file_of(exact_notes(exercise), tempo, kind)
