"""Writes a calibration as somebody plays it into a Standard MIDI File, with python3-mido; file time
0 is the first click: make_course.py FILE BPM TAPS. Prints what it played, so that what is found can
be held against it: the median velocity of each dynamic. All six come twice.

Velocity in proportion to the stick's height; mask as of mesh heads (Groove MIDI Dataset 1.0.0, CC BY
4.0, measured): a second note comes only if it is 1.8 - 0.21 a ms dB louder than the first."""
import math
import random
import statistics
import sys

import mido

path, bpm, taps = sys.argv[1], float(sys.argv[2]), int(sys.argv[3])
chance = random.Random(11)
beat, at, notes = 60 / bpm, 0.0, []
heights = [1, 3, 4.5, 6, 9, 12]


def velocity(level):
    return max(1, min(127, round(127 * 10 ** ((level - 9.5) / 20))))


played = [[] for _ in heights]
for step in range(15):
    count = taps if step < 12 else 4 * taps
    at += 8 * beat
    for tap in range(count):
        when = at + tap * beat + chance.gauss(0, 0.006)
        if step in (12, 13):
            level = 3 + chance.gauss(0, 1)
            notes.append((when, velocity(level)))
            gap = (0.028 if step == 12 else 0.06) * (1 + 0.25 * chance.gauss(0, 1))
            second = 3 - 14 * tap / (count - 1) + chance.gauss(0, 1)
            if second - level >= 1.8 - 0.21 * 1000 * gap:
                notes.append((when + gap, velocity(second)))
            continue
        height = heights[step % 6] if step < 12 else 6
        struck = velocity(20 * math.log10(height / 6) + chance.gauss(0, 1))
        notes.append((when, struck))
        if step < 12:
            played[step % 6].append(struck)
    at += count * beat
for struck in played:
    print(statistics.median(struck))

file = mido.MidiFile(ticks_per_beat=9600)
track = mido.MidiTrack()
file.tracks.append(track)
track.append(mido.MetaMessage('set_tempo', tempo=mido.bpm2tempo(bpm)))
last = 0
for when, loud in sorted(notes):
    tick = round(when / beat * 9600)
    track.append(mido.Message('note_on', channel=9, note=38, velocity=loud, time=tick - last))
    last = tick
file.save(path)
