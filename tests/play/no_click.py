"""play --no-click: counted in, then silent; with taps of the player's own; or with no count at all.
The run is judged by the player's own tempo, and from the history it is judged alike, to the byte."""
import itertools
import json
import re
import signal
import subprocess
import time

import mido

from play_lib import ENVIRONMENT, FOLDER, PROGRAM, check, finish, run

ENVIRONMENT['JACK_DEFAULT_SERVER'] = 'evenhand_nobody'
ENVIRONMENT['JACK_NO_START_SERVER'] = '1'
COUNTS = ([], ['--count-off', '0'], ['--count-off', '4'])
kept = itertools.count(1)


def play(exercise, *options, code=0):
    """The document of the demo player's run, what was said, and the run's name; judged again it is
    the same, with and without being told that there was no click."""
    live = run('play', exercise, '--fast', '--no-click', '--json', *options)
    check(live.returncode == code, exercise, options, 'exit', live.returncode, live.stderr)
    if code != 0:
        return None, live.stderr, None
    name = f'run:{next(kept)}'
    check(f'"source": "{name}"' in live.stdout, exercise, options, 'source')
    for more in ([], ['--no-click']):
        again = run('judge', exercise, name, '--json', *more)
        check(again.stdout == live.stdout, exercise, options, more, 'judged again differs')
    return json.loads(live.stdout), live.stderr, name


def bars(said):
    """(number, strokes, quarters a minute) of every bar that was told."""
    return [tuple(map(int, found)) for found in re.findall(
        r'^(?:Pass \d+, b|B)ar (\d+) +(\d+) strokes? heard, (\d+) to the quarter$', said, re.M)]


# At any tempo every stroke is found, nobody is told that he missed some, and the bars are told as
# they were played: their numbers in order, their strokes as written, the player's tempo.
for own, factor in (('slower:25', 0.75), ('slower:9', 0.91), ('faster:12', 1.12)):
    for count in COUNTS:
        document, said, name = play('five-stroke-rolls', '--tempo', '80', f'--demo={own}', *count)
        if document is None:
            continue
        counts, tempo = document['counts'], document['tempo']
        check(counts['missed'] == 0 and counts['extra'] == 0, own, count, counts)
        check(abs(tempo['bpm'] / (80 * factor) - 1) < 0.006, own, count, tempo)
        check(tempo['click'] is False and tempo['offset_ms'] is None, own, count, tempo)
        told = bars(said)
        check([bar for bar, _, _ in told] == list(range(1, 18)), own, count, told)
        check(sum(strokes for _, strokes, _ in told) == counts['strokes'], own, count, told)
        # First stroke to first stroke: 13 ms or so of scatter in a bar of 2.7 s and more.
        check(all(abs(bpm / (80 * factor) - 1) < 0.03 for _, _, bpm in told), own, count, told)
        check('missed' not in said.replace('what was missed is said', ''), own, count, said)

# Drift is drift, rubato is none, and with a click the same player would be hopelessly behind.
for own, verdict in (('rushing:8,slower:15', ('drifting', True)), ('dragging:8', ('drifting', True)),
                     ('rubato:6,faster:10', ('unclear', None)), ('none', ('steady', False))):
    document, said, name = play('warm-up-singles-to-roll', f'--demo={own}', '--count-off', '0')
    found = [f for f in document['findings'] if f['aspect'] == 'tempo'][0]
    check((found['verdict'], found['fault']) == verdict, own, found)

# Several passes follow without a break; faults of course and strokes left out.
for options in (['--bars', '2-5', '--passes', '3', '--demo=slower:12'],
                ['--demo=wait:4,slower:10'], ['--demo=missed:5,extra:5,faster:7'],
                ['--demo=double-triggers:6', '--count-off', '3'],
                ['--demo=repeat', '--count-off', '0'], ['--demo=skip', '--count-in', '2']):
    document, said, name = play('five-stroke-rolls', '--seed', '5', *options)
    share = document['counts']['matched'] / document['counts']['strokes']
    check(share > (0.89 if 'skip' in str(options) else 0.93), options, document['counts'])
    check('ended by silence' not in said, options, said)
    if 'wait' in str(options):
        check([c['kind'] for c in document['course']] == ['stop'], options, document['course'])

# Broken off: the bars that were played whole, by the player's own clock; the same from the history.
for own in ('slower:30', 'faster:20', 'none'):
    for count in COUNTS:
        document, said, name = play('single-strokes', f'--demo=stop:60,{own}', *count)
        counts = document['counts']
        check('ended by silence' in said, own, count, said)
        check(80 <= counts['strokes'] <= 110 and counts['missed'] == 0 and counts['extra'] == 0, own,
              count, counts)

# A repeat cannot be cut in two: then all of the exercise is asked for, however little was played.
document, said, name = play('warm-up-singles-to-roll', '--demo=stop:64,faster:20', '--passes', '2')
check(document['counts']['matched'] < document['counts']['strokes'] / 3, document['counts'])
check(document['counts']['extra'] == 0, document['counts'])

# An exported run, judged as a file: nothing but its ticks' rounding is different.
document, said, name = play('five-stroke-rolls', '--demo=slower:13,late-left-seconds', '--seed', '8',
                            '--count-off', '0')
path = FOLDER.name + '/taken.mid'
check(run('history', 'export', name.removeprefix('run:'), path).returncode == 0, 'export')
exported = json.loads(run('judge', 'five-stroke-rolls', path, '--no-click', '--json').stdout)
check([s['hit'] for s in exported['strokes']] == [s['hit'] for s in document['strokes']], 'export')
for a, b in zip(exported['findings'], document['findings']):
    check((a['aspect'], a['hand'], a['verdict'], a['direction']) ==
          (b['aspect'], b['hand'], b['verdict'], b['direction']), 'export', a, b)
check(any(f['fault'] and f['direction'] == 'late' for f in document['findings']), 'late seconds')

# Another exercise is not judged by it, as `judge --no-click` would not; the run's own knowledge of
# its taps can be overruled.
other = run('judge', 'double-strokes', name)
check(other.returncode in (0, 1) and 'click' not in other.stderr, other.stderr)
document, said, name = play('five-stroke-rolls', '--demo', '--count-off', '4')
overruled = run('judge', 'five-stroke-rolls', name, '--count-off', '0', '--json')
check(json.loads(overruled.stdout)['counts']['missed'] <= 4, overruled.stderr)
wrong = run('judge', 'five-stroke-rolls', name, '--count-off', '9')
check(wrong.returncode == 1 and 'no count-off' in wrong.stderr, wrong.stderr)
wrong = run('judge', 'five-stroke-rolls', name, '--start', '2')
check(wrong.returncode == 2 and 'without a click' in wrong.stderr, wrong.stderr)
listed = run('history').stdout
check(re.search(r'five-stroke-rolls +own ', listed) and 'without a click' in listed, listed)
shown = run('history', 'show', name.removeprefix('run:')).stdout
check("the player's own, without a click, after 4 taps" in shown, shown)

# A file with taps from the demo player: they are even, at its tempo, and come before the music.
tapped = FOLDER.name + '/tapped.mid'
check(run('demo', 'single-strokes', '--exact', '--count-off', '4', '--tempo', '100', '--fault',
          'slower:20', '--save', tapped).returncode == 0, 'demo --count-off')
now, times = 0.0, []
for message in mido.MidiFile(tapped):
    now += message.time
    if message.type == 'note_on' and message.velocity > 0:
        times.append(now)
gaps = [b - a for a, b in zip(times, times[1:5])]
check(all(abs(gap - 60 / 80) < 0.001 for gap in gaps), 'taps', gaps)
document = json.loads(run('judge', 'single-strokes', tapped, '--no-click', '--count-off', '4',
                          '--json').stdout)
check(document['strokes'][0]['hit'] == 4 and document['counts']['missed'] == 0, document['counts'])
check(abs(document['tempo']['bpm'] - 80) < 0.05, document['tempo'])

# Too little to say anything: said, kept, exit 1.
document, said, name = play('five-stroke-rolls', '--demo=late-start:64', '--count-off', '0', code=1)
check('too few to find a tempo in' in said and 'Kept as run' in said, said)
next(kept)
# Nobody plays at all: nothing is kept, and it does not wait for ever.
nothing = run('play', 'single-strokes', '--bars', '1-2', '--demo=late-start:64', '--fast',
              '--no-click', '--count-off', '0')
next(kept)
check(nothing.returncode == 1 and 'nothing was played' in nothing.stderr, nothing.stderr)

# Usage.
for arguments, says in (
        (['--count-off', '4'], 'goes with --no-click'),
        (['--no-click', '--count-off', '1'], '--count-off: 1 is outside 2 to 32'),
        (['--no-click', '--count-off', '33'], '--count-off'),
        (['--no-click', '--count-off', '0', '--count-in', '2'], 'either the click counts, or you'),
        (['--demo=slower:2,slower:61'], '0.1 to 60'),
        (['--demo=late,early,missed,extra,rim'], 'at most 4 faults')):
    result = run('play', 'single-strokes', '--demo', *arguments)
    check(result.returncode == 2 and says in result.stderr, arguments, result.stderr)

# In time: Ctrl-C keeps and judges what was played, at the player's own tempo.
process = subprocess.Popen([PROGRAM, 'play', 'double-strokes', '--demo=slower:15', '--tempo', '240',
                            '--no-click', '--no-sound', '--count-off', '0', '--json'],
                           stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                           env=ENVIRONMENT)
time.sleep(5.0)
process.send_signal(signal.SIGINT)
began = time.monotonic()
output, errors = process.communicate(timeout=20)
check(time.monotonic() - began < 2, 'Ctrl-C took', time.monotonic() - began)
check(process.returncode == 0 and 'stopped' in errors, 'Ctrl-C', process.returncode, errors)
counts = json.loads(output)['counts'] if output else {}
check(counts.get('strokes', 0) >= 12 and counts.get('missed') == 0 and counts.get('extra') == 0,
      'Ctrl-C', counts)
again = run('judge', 'double-strokes', f'run:{next(kept)}', '--json')
check(again.stdout == output, 'Ctrl-C: judged again differs', again.stderr)

# With the beat in the terminal's place nothing is drawn when it is piped.
plain = run('play', 'single-strokes', '--demo', '--fast', '--no-click').stdout
check('\r' not in plain and '\x1b' not in plain, plain)
check(max(map(len, plain.splitlines())) <= 80, 'wider than 80 columns')
finish()
