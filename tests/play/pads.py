"""Pads from files: which pad a take is judged by, that the answer stays, and clear complaints."""
import json
import os
import sqlite3

import mido

from play_lib import FOLDER, check, finish, run

EXERCISE = 'doubles-and-accents.txt'
HERE = os.path.dirname(os.path.abspath(__file__))
exercise = os.path.join(HERE, EXERCISE)
path = lambda name: os.path.join(FOLDER.name, name)


def write(name, text):
    with open(path(name), 'w') as file:
        file.write(text)
    return path(name)


def judge(*arguments, code=0):
    result = run('judge', exercise, *arguments, '--json')
    check(result.returncode == code, arguments, 'exit', result.returncode, result.stderr)
    return result


# What a run was played on is what it is judged by, whatever becomes of the file.
HOT = '''[pad]
name = hot
calibrated = 2026-11-01T00:00:00Z
[range]
top_velocity = 90.5
[levels]
name = measured
scale_sd = 0.1
point = 20.123456 -30
point = 100 0.000001
'''
hot = write('hot.ini', HOT)
played = run('play', exercise, '--demo', '--fast', '--json', '--seed', '4', '--pad', hot,
             '--player', 'ada')
check(played.returncode == 0, played.stderr)
check('Judged by pad "hot", calibrated 2026-11-01 (' in played.stderr, played.stderr)
document = json.loads(played.stdout)
check(document['pad'] == {'name': 'hot', 'level_map': 'measured',
                          'calibrated': '2026-11-01T00:00:00Z', 'level_scale_sd': 0.1,
                          'floor_velocity': None, 'top_velocity': 90.5, 'delay_ms': None, 'clock_ms': None},
      document['pad'])
os.unlink(hot)
check(judge('run:1').stdout == played.stdout, 'judged again it is not the same')
with sqlite3.connect(path('evenhand/history.db')) as store:
    check(store.execute('SELECT player FROM run').fetchall() == [('ada',)], 'player')
# Levels by the straight line between the two points: plain arithmetic.
for stroke in document['strokes']:
    if stroke['hit'] is not None:
        line = -30 + 30.000001 * (stroke['velocity'] - 20.123456) / (100 - 20.123456)
        check(abs(stroke['level_db'] - line) < 0.001, stroke, line)
# Another pad, when it is asked for.
other = json.loads(judge('run:1', '--pad', write('plain.ini', '; the default\n')).stdout)
check(other['pad']['name'] == 'default' and other['pad']['calibrated'] is None, other['pad'])
check(other['strokes'][0]['level_db'] != document['strokes'][0]['level_db'], 'levels')

# Runs of a program that knew no pads hold an empty text: the default.
with sqlite3.connect(path('evenhand/history.db')) as store:
    store.execute("INSERT INTO sheet (text) VALUES ('')")
    store.execute("UPDATE run SET pad_sheet = (SELECT id FROM sheet WHERE text = '')")
check(json.loads(judge('run:1').stdout) == other, 'an empty text')

# Any notes, several of them to a zone; pads for each hand tell the hands apart.
saved = path('demo.mid')
check(run('demo', exercise, '--exact', '--save', saved).returncode == 0, 'demo')
default = json.loads(judge(saved).stdout)
hands = [s['hand'] for s in sorted((s for s in default['strokes'] if s['hit'] is not None),
                                   key=lambda s: s['hit'])]
check(len(hands) == default['take']['hits'], len(hands), default['take'])


def with_notes(name, left, right):
    """The take with the hands' notes in turn."""
    song, count = mido.MidiFile(saved), 0
    for track in song.tracks:
        for message in track:
            if message.type == 'note_on' and message.velocity > 0:
                message.note = (left if hands[count] == 'left' else right)[count // 2 % 2]
                count += 1
    song.save(path(name))
    return path(name)


two = write('two.ini', '[notes]\nleft = 60 62\nright = 61, 63\n')
strange = judge(with_notes('two.mid', (60, 62), (61, 63)), code=1)
check('none of its' in strange.stderr and '--pad FILE' in strange.stderr, strange.stderr)
right = json.loads(judge(path('two.mid'), '--pad', two).stdout)
sticking = [f for f in right['findings'] if f['aspect'] == 'sticking']
check([f['verdict'] for f in sticking] == ['as-written'], 'two pads:', sticking)
right['findings'] = [f for f in right['findings'] if f['aspect'] != 'sticking']
for key in ('findings', 'counts', 'strokes', 'unmatched'):
    check(right[key] == default[key], 'two pads:', key)
# (The start is said: without it a start one beat later explains the hands nearly as well.)
wrong = json.loads(judge(path('two.mid'), '--start', '2', '--pad',
                         write('turned.ini', '[notes]\nright = 60 62\nleft = 61, 63\n')).stdout)
check([f['verdict'] for f in wrong['findings'] if f['aspect'] == 'sticking'] == ['off'],
      'two pads in turned hands')
head = write('head.ini', '[notes]\nhead = 60 61 62 63\n')
check(json.loads(judge(path('two.mid'), '--pad', head).stdout)['counts'] == default['counts'],
      'four notes of a head')

# Clear complaints, nothing kept.
for text, where, says in (('[mask]\ndead_m = 3\n', ':2', 'nearest: "dead_ms"'),
                          ('[notes]\nhead = 38\nrim = 38\n', ':3', 'line 2'),
                          ('[levels]\npoint = 5\n', ':2', 'velocity')):
    bad = write('bad.ini', text)
    for command in (('play', exercise, '--demo', '--fast', '--pad', bad),
                    ('judge', exercise, saved, '--pad', bad), ('pad', 'show', bad)):
        result = run(*command)
        check(result.returncode == 1 and bad + where in result.stderr and says in result.stderr,
              command, result)
shown = run('pad', 'show', two).stdout
check(shown == run('pad', 'show', write('again.ini', shown)).stdout, 'shown again')
ENDS = [(('pad', 'list'), 0, 'no pad is kept yet'), (('pad', 'show'), 1, 'no pad is kept yet'),
        (('pad', 'delete'), 1, 'no pad is kept yet'), (('pad',), 2, 'make'),
        (('pad', 'mak'), 2, 'make, list'), (('pad', 'keep'), 2, 'pad keep FILE'),
        (('pad', 'list', 'x'), 2, 'pad list'), (('pad', 'show', path('none.ini')), 1, 'none.ini'),
        (('judge', exercise, saved, '--port', 'x'), 1, 'no pad is kept yet'),
        (('judge', exercise, saved, '--player', 'x'), 2, '--port'),
        (('judge', exercise, saved, '--port', 'x', '--pad', two), 2, 'one pad'),
        (('play', exercise, '--demo', '--player', ''), 2, '--player'),
        (('play', exercise, '--demo', '--player', 'x' * 64), 2, '63'),
        (('play', exercise, '--demo', '--player', 'a\nb'), 2, 'one line')]
for command, code, says in ENDS:
    result = run(*command)
    check(result.returncode == code and says in result.stderr, command, result)
for command in (('pad', '--help'), ('play', '--help'), ('judge', '--help')):
    check(max(map(len, run(*command).stdout.splitlines())) <= 80, command, 'wider than 80 columns')

# Kept pads are found by a part of the port's name, and each player has one.
with sqlite3.connect(path('evenhand/history.db')) as store:
    for port, player, top in (('Kit:A', '', 100), ('Kit:A', 'ada', 101), ('Kit:AB', 'bo', 102)):
        store.execute('INSERT INTO pad VALUES (?, ?, 1, ?)',
                      (port, player, f'[range]\ntop_velocity = {top}\n'))
for options, wanted in ((('--port', 'Kit:A'), 100), (('--port', 'Kit:A 20:0'), 100),
                        (('--port', 'kit:a', '--player', 'ada'), 101), (('--port', 'ab'), 102),
                        (('--player', 'bo'), 102), (('--port', 'Kit:A', '--player', 'bo'), None),
                        (('--port', 'Kit:C'), None)):
    result = run('judge', exercise, saved, '--json', *options)
    got = json.loads(result.stdout)['pad']['top_velocity'] if result.returncode == 0 else None
    if options[0] == '--port':
        check(got == wanted, options, got, wanted, result.stderr)
    shown = run('pad', 'show', *options)
    check((f'top_velocity = {wanted}' in shown.stdout) == (wanted is not None), options, shown)
check('Kit:AB ("bo")' in run('pad', 'show', '--port', 'C').stderr, 'what there is')
check(run('pad', 'delete', '--port', 'Kit:A').returncode == 0, 'delete')
check('Kit:A' in run('pad', 'list').stdout and run('pad', 'list').stdout.count('\n') == 6, 'list')
finish()
