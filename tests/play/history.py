"""What is judged live is what is stored: judging the run again gives the same bytes."""
import os
import pathlib
import sqlite3

from play_lib import ENVIRONMENT, FOLDER, check, finish, run

RUNS = [  # exercise, options, what the end of the run must say
    ('five-stroke-rolls', ['--seed', '1'], ''),
    ('five-stroke-rolls', ['--seed', '2', '--passes', '3', '--bars', '2-5'], ''),
    ('single-strokes', ['--seed', '3', '--tempo', '133.3', '--style', 'concert'], ''),
    ('accents-over-taps', ['--seed', '4', '--demo=missed'], ''),
    ('double-strokes', ['--seed', '5', '--demo=double-triggers:8', '--count-in', '2'], ''),
    # Falls silent for good after a while: ended, and only what was played is judged.
    ('single-strokes', ['--seed', '6', '--demo=stop:60', '--tempo', '120'], 'silence'),
    ('warm-up-singles-to-roll', ['--seed', '7', '--demo=stop:60', '--tempo', '120', '--passes',
                                 '2'], 'silence'),
]
for number, (exercise, options, says) in enumerate(RUNS, start=1):
    if not any(o.startswith('--demo') for o in options):
        options = ['--demo', *options]
    live = run('play', exercise, *options, '--fast', '--json')
    again = run('judge', exercise, f'run:{number}', '--json')
    check(live.returncode == 0 and again.returncode == 0, exercise, live.stderr, again.stderr)
    check(live.stdout == again.stdout and live.stdout != '', exercise, options, 'differs')
    check(f'"source": "run:{number}"' in live.stdout, exercise, 'source')
    check(says in live.stderr, exercise, 'does not say', says)
    check('evenhand judge ' + exercise in live.stderr, exercise, 'does not say where it is kept')

database = pathlib.Path(FOLDER.name) / 'evenhand' / 'history.db'
connection = sqlite3.connect(f'file:{database}?mode=ro', uri=True)
tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type='table'")]
check('run' in ''.join(tables), tables)
connection.close()
kept = run('history')
check(all(name in kept.stdout for name in ('five-stroke-rolls', 'single-strokes')), kept.stdout)

# Piped output is plain, and the report ends it.
plain = run('play', 'single-strokes', '--demo', '--fast', '--bars', '1-4')
check('\x1b' not in plain.stdout and '\r' not in plain.stdout, 'escapes when piped')
check('Bar 1' in plain.stdout and 'Take care' in plain.stdout, plain.stdout)
check(max(len(line) for line in plain.stdout.splitlines()) <= 80, 'wider than 80 columns')

# A history of its own, and one that cannot be had: said, and the run goes on.
own = os.path.join(FOLDER.name, 'own.db')
check(run('play', 'single-strokes', '--demo', '--fast', '--db', own).returncode == 0, 'own')
check(run('judge', 'single-strokes', 'run:1', '--db', own).returncode == 0, 'own run')
lost = run('play', 'single-strokes', '--demo', '--fast', '--json', '--db',
           os.path.join(FOLDER.name, 'no', 'such', 'folder.db'))
check(lost.returncode == 0 and lost.stdout.startswith('{'), 'no history', lost.stderr)
check('will not be kept' in lost.stderr, lost.stderr)
broken = os.path.join(FOLDER.name, 'broken.db')
pathlib.Path(broken).write_bytes(b'this is no database' * 100)
damaged = run('play', 'single-strokes', '--demo', '--fast', '--json', '--db', broken)
check(damaged.returncode == 0 and 'will not be kept' in damaged.stderr, damaged.stderr)
check(pathlib.Path(broken).read_bytes() == b'this is no database' * 100, 'a damaged file was changed')

# A full standard output is an error.
with open('/dev/full', 'w') as full:
    import subprocess
    from play_lib import PROGRAM
    for more in ([], ['--json']):
        result = subprocess.run([PROGRAM, 'play', 'single-strokes', '--demo', '--fast', *more],
                                stdout=full, stderr=subprocess.PIPE, env=ENVIRONMENT, check=False)
        check(result.returncode == 1, 'full output, exit', result.returncode)

finish()
