"""Wrong usage: one clear line, the right exit code, nothing created."""
import os

from play_lib import ENVIRONMENT, FOLDER, check, finish, run

# A machine without MIDI: no JACK server of that name is running.
ENVIRONMENT['JACK_DEFAULT_SERVER'] = 'evenhand_nobody'
ENVIRONMENT['JACK_NO_START_SERVER'] = '1'

ROWS = [  # arguments, exit code, what must be said
    (['play'], 2, 'EXERCISE'),
    (['play', 'five-strok-rolls', '--demo'], 1, 'five-stroke-rolls'),
    (['play', 'five-stroke-rolls', '--demo=late-left-second'], 2, 'late-left-seconds'),
    (['play', 'five-stroke-rolls', '--demo=missed:0'], 2, 'from 0.1 to 50'),
    (['play', 'five-stroke-rolls', '--demo=missed:six'], 2, 'number'),
    (['play', 'five-stroke-rolls', '--demo', '--tempo', '19.9'], 1, '20 to 400'),
    (['play', 'five-stroke-rolls', '--demo', '--tempo', '401'], 1, '20 to 400'),
    (['play', 'five-stroke-rolls', '--demo', '--tempo', 'fast'], 2, 'not a number'),
    (['play', 'five-stroke-rolls', '--demo', '--tempo'], 2, 'needs a value'),
    (['play', 'five-stroke-rolls', '--demo', '--bars', '0-2'], 2, 'A-B'),
    (['play', 'five-stroke-rolls', '--demo', '--bars', '-'], 2, 'A-B'),
    (['play', 'five-stroke-rolls', '--demo', '--bars', '1-2-3'], 2, 'A-B'),
    (['play', 'five-stroke-rolls', '--demo', '--bars', '9999999999'], 2, 'A-B'),
    (['play', 'five-stroke-rolls', '--demo', '--fast', '--bars', '5-3'], 1, 'bar 5 comes after bar 3'),
    (['play', 'five-stroke-rolls', '--demo', '--fast', '--bars', '400'], 1, '1 to 17'),
    (['play', 'five-stroke-rolls', '--demo', '--passes', '0'], 2, 'passes'),
    (['play', 'five-stroke-rolls', '--demo', '--passes', '1000'], 2, 'passes'),
    (['play', 'five-stroke-rolls', '--demo', '--seed', '-1'], 2, 'seed'),
    (['play', 'five-stroke-rolls', '--demo', '--count-in', '9'], 2, 'count-in'),
    (['play', 'five-stroke-rolls', '--demo', '--subdivision', '0'], 2, 'subdivision'),
    (['play', 'five-stroke-rolls', '--demo', '--click-volume', '101'], 2, 'click-volume'),
    (['play', 'five-stroke-rolls', '--demo', '--port', 'x'], 2, 'one player'),
    (['play', 'five-stroke-rolls', '--fast'], 2, 'demo player'),
    (['play', 'five-stroke-rolls', '--style', 'concerto', '--demo', '--fast'], 1, 'concert'),
    (['play', 'five-stroke-rolls'], 1, '--demo'),
    (['play', 'five-stroke-rolls', '--port', 'virtual'], 1, '--demo'),
    (['demo'], 2, 'EXERCISE'),
    (['demo', 'five-stroke-rolls', '--fault', 'rush'], 2, 'rushing'),
    (['demo', 'five-stroke-rolls', '--save', '/no/such/folder/x.mid'], 1, '/no/such/folder'),
    (['demo', 'five-stroke-rolls', '--save', 'x.mid', '--port', 'y'], 2, 'either'),
    (['demo', 'five-stroke-rolls'], 1, 'MIDI output'),
]
for arguments, code, says in ROWS:
    result = run(*arguments)
    check(result.returncode == code, arguments, 'exit', result.returncode, result.stderr)
    check(says in result.stderr, arguments, result.stderr)
    check(result.stdout == '', arguments, 'standard output', result.stdout)
    check(all(line.startswith('evenhand: ') for line in result.stderr.splitlines()), arguments,
          result.stderr)
check(os.listdir(FOLDER.name) == [], 'something was created', os.listdir(FOLDER.name))

for arguments in (['play', '--help'], ['play', '--demo=help'], ['demo', '--help'],
                  ['demo', '--fault=help'], ['play', '--version']):
    result = run(*arguments)
    check(result.returncode == 0 and result.stdout and not result.stderr, arguments)
    check(max(map(len, result.stdout.splitlines())) <= 80, arguments, 'wider than 80 columns')
listed = run('play', '--demo=help').stdout
check(all(name in listed for name in ('late-left-seconds', 'weak-right-seconds', 'under-accents',
                                      'overblown-accents', 'strong-lead', 'rushing', 'missed',
                                      'extra', 'double-triggers')), listed)
finish()
