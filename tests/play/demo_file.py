"""`demo --save` writes a file that someone else's reader (python3-mido) understands: a bar is
counted in, the tempo is right, the strokes stand where they should, and `judge` agrees."""
import os
import json

import mido

from play_lib import FOLDER, check, faults, finish, play_fast, run

ROWS = [('five-stroke-rolls', '', 97.0), ('paradiddles-with-accents', 'weak-left-seconds', 80.0),
        ('double-strokes', 'late-right-seconds', 120.0), ('single-strokes', 'rushing', 300.0)]
for index, (exercise, fault, bpm) in enumerate(ROWS):
    path = os.path.join(FOLDER.name, f'{index}.mid')
    result = run('demo', exercise, '--fault', fault or 'none', '--tempo', str(bpm), '--seed', '5',
                 '--save', path)
    check(result.returncode == 0, exercise, result.stderr)
    check(run('demo', exercise, '--save', path).returncode == 1, 'a file was written over')
    notes, now, tempo = [], 0.0, None
    for message in mido.MidiFile(path):
        now += message.time
        if message.type == 'note_on' and message.velocity > 0:
            notes.append((now, message.note, message.velocity))
        if message.type == 'set_tempo':
            tempo = message.tempo
    live = play_fast(exercise, fault, 5, '--tempo', str(bpm))
    check(tempo is not None and abs(60e6 / tempo / bpm - 1) < 1e-5, exercise, 'tempo', tempo)
    check(len(notes) == live['take']['hits'], exercise, len(notes), live['take']['hits'])
    check(all(note == 38 for _, note, _ in notes), exercise, 'notes')
    check([v for _, _, v in notes] == [s['velocity'] for s in live['strokes']
                                       if s['hit'] is not None], exercise, 'velocities')
    bar = 4 * 60 / bpm  # one bar of 4/4 counted in
    first = live['strokes'][0]
    check(abs(notes[0][0] - bar - first['offset_ms'] / 1000) < 1e-4, exercise, notes[0], first)
    judged = run('judge', exercise, path, '--json')
    check(judged.returncode == 0, judged.stderr)
    document = json.loads(judged.stdout)
    check(faults(document) == faults(live), exercise, faults(document), faults(live))
    check([s['hit'] for s in document['strokes']] == [s['hit'] for s in live['strokes']], exercise,
          'matched otherwise')
finish()
