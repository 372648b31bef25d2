"""Hits as pads really send them, written by python3-mido: two notes stamped alike, the 0.96 ms that
a note takes on a MIDI cable (31,250 baud, three bytes of ten bits: MIDI 1.0), clocks of 1 and 5 ms,
note-ons of velocity 0 for note-offs, High Resolution Velocity (controller 88, MIDI CA-031)."""
import json
import os

import mido

from play_lib import FOLDER, check, faults, finish, run

TEMPO, DIVISION = 500000, 10000  # 120 to the quarter, ticks of 0.05 ms
path = lambda name: os.path.join(FOLDER.name, name)


def notes_of(exercise, *more):
    """(seconds, velocity) as the demo player plays it without a person's scatter."""
    name = path(exercise + '.mid')
    result = run('demo', exercise, '--exact', '--tempo', '120', '--save', name, *more)
    check(result.returncode == 0, result.stderr)
    now, notes = 0.0, []
    for message in mido.MidiFile(name):
        now += message.time
        if message.type == 'note_on' and message.velocity > 0:
            notes.append((now, message.velocity))
    os.unlink(name)
    return notes


def judge(exercise, notes, pad=None, fine=None, offs=False):
    """The document on NOTES; FINE: low bits for each by controller 88; OFFS: note-ons of 0."""
    events = []
    for index, (at, velocity) in enumerate(notes):
        tick = round(at * DIVISION * 1e6 / TEMPO)
        if fine:
            events.append((tick, 3 * index, mido.Message('control_change', control=88, channel=9,
                                                         value=fine[index])))
        events.append((tick, 3 * index + 1, mido.Message('note_on', note=38, channel=9,
                                                         velocity=velocity)))
        if offs:
            events.append((tick + 20, 3 * index + 2, mido.Message('note_on', note=38, channel=9,
                                                                  velocity=0)))
    song, track, last = mido.MidiFile(type=0, ticks_per_beat=DIVISION), mido.MidiTrack(), 0
    track.append(mido.MetaMessage('set_tempo', tempo=TEMPO))
    for tick, _, message in sorted(events, key=lambda e: e[:2]):
        track.append(message.copy(time=tick - last))
        last = tick
    song.tracks.append(track)
    song.save(path('take.mid'))
    result = run('judge', exercise, path('take.mid'), '--json', *(('--pad', pad) if pad else ()))
    check(result.returncode == 0, result.stderr)
    return json.loads(result.stdout)


def whole(document):
    counts = document['counts']
    return counts['missed'] == 0 and counts['extra'] == 0 and counts['double_triggers'] == 0


def verdict(document, aspect):
    return {f['verdict'] for f in document['findings'] if f['aspect'] == aspect}


flams = notes_of('flam')
plain = judge('flam', flams)
check(whole(plain) and faults(plain) == [], plain['counts'], faults(plain))
pairs = [i for i in range(len(flams) - 1) if flams[i + 1][0] - flams[i][0] < 0.06]
check(len(pairs) >= 40, 'flams', len(pairs))

# Both notes of a flam come stamped alike, or as near as a cable lets them. With the soft one behind
# it could as well be an echo of the pad's: then nothing is said about the gap.
for gap, swapped, says in ((0.0, False, 'flat'), (0.0, True, 'unclear'), (0.00096, False, 'flat')):
    notes = list(flams)
    for i in pairs:
        grace, main = (flams[i + 1][0], flams[i][1]), (flams[i + 1][0] + gap, flams[i + 1][1])
        notes[i], notes[i + 1] = (main, grace) if swapped else (grace, main)
    flat = judge('flam', notes)
    mains = [s for s in flat['strokes'] if s['kind'] != 'grace']
    check(all(s['hit'] is not None for s in mains), gap, swapped, 'a main note is missed')
    loud = {s['velocity'] for s in mains}
    check(min(loud) > max(v for i, (_, v) in enumerate(flams) if i in pairs), loud)
    check(flat['counts']['extra'] == 0, gap, swapped, flat['counts'])
    check(verdict(flat, 'flam-gap') == {says}, gap, swapped, verdict(flat, 'flam-gap'))
    check(verdict(flat, 'missed') <= {'none', 'unclear'}, gap, swapped, flat['counts'])

# A clock of 1 or 5 ms rounds up; the pad's own clock is told to the judge by a pad file.
with open(path('five.ini'), 'w') as file:
    file.write('[clock]\nstep_ms = 5\n')
for exercise in ('flam', 'five-stroke-rolls', 'double-strokes'):
    notes = flams if exercise == 'flam' else notes_of(exercise)
    for step in (0.001, 0.005):
        coarse = [(-(-at // step) * step, velocity) for at, velocity in notes]
        document = judge(exercise, coarse, path('five.ini') if step == 0.005 else None)
        check(whole(document) and faults(document) == [], exercise, step, document['counts'],
              faults(document))

# Note-offs by another name are no hits.
check(judge('flam', flams, offs=True)['strokes'] == plain['strokes'], 'velocity 0')

# The low bits make a fraction of a velocity: CA-031 counts 14 bits, 1/128 of a step each.
fine = [(7 * i) % 128 for i in range(len(flams))]
precise = judge('flam', flams, fine=fine)
check(whole(precise), precise['counts'])
for stroke, known in zip(precise['strokes'], plain['strokes']):
    wanted = known['velocity'] + fine[stroke['hit']] / 128
    check(abs(stroke['velocity'] - wanted) < 1e-9, stroke['velocity'], wanted)
check([s['offset_ms'] for s in precise['strokes']] == [s['offset_ms'] for s in plain['strokes']],
      'times')
finish()
