"""A run that is broken off keeps and judges what was played: Ctrl-C, an end by the system, and a
program that is killed outright loses at most the last second. In real time, without sound."""
import json
import signal
import sqlite3
import subprocess
import time

from play_lib import ENVIRONMENT, FOLDER, PROGRAM, check, finish, run

ENVIRONMENT['JACK_DEFAULT_SERVER'] = 'evenhand_nobody'
ENVIRONMENT['JACK_NO_START_SERVER'] = '1'
DATABASE = FOLDER.name + '/evenhand/history.db'
# At 240 a bar lasts a second: a second of count-in, then 16ths; 0.7 s pass before the count-in.
COMMAND = [PROGRAM, 'play', 'double-strokes', '--demo', '--tempo', '240', '--no-sound', '--json']


def start():
    return subprocess.Popen(COMMAND, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                            env=ENVIRONMENT)


def stored_hits(number):
    connection = sqlite3.connect(f'file:{DATABASE}?mode=ro', uri=True)
    table = [row[0] for row in connection.execute(
        "SELECT name FROM sqlite_master WHERE type='table' AND name LIKE '%hit%'")][0]
    times = [row[0] for row in connection.execute(
        f'SELECT at_ns FROM {table} WHERE run = ? ORDER BY 1', (number,))]
    connection.close()
    return times


for number, name in enumerate((signal.SIGINT, signal.SIGTERM), start=1):
    process = start()
    time.sleep(5.2)
    process.send_signal(name)
    began = time.monotonic()
    output, errors = process.communicate(timeout=20)
    check(time.monotonic() - began < 2, name, 'took', time.monotonic() - began)
    check(process.returncode == 0, name, 'exit', process.returncode, errors)
    document = json.loads(output)
    again = run('judge', 'double-strokes', f'run:{number}', '--json')
    check(again.stdout == output, name, 'judged again differs')
    counts = document['counts']
    check(counts['strokes'] >= 15 and counts['missed'] == 0 and counts['extra'] == 0, name, counts)
    check(len(stored_hits(number)) >= counts['matched'], name, 'hits')
    check('stopped' in errors, name, errors)

# A second Ctrl-C ends it at once, whatever it is doing.
process = start()
time.sleep(2.5)
process.send_signal(signal.SIGSTOP)
process.send_signal(signal.SIGINT)
process.send_signal(signal.SIGCONT)
process.communicate(timeout=20)
check(process.returncode in (0, -signal.SIGINT), 'second', process.returncode)

# Killed outright: everything but the last second is in the history, and can be judged.
process = start()
time.sleep(6.0)
process.kill()
process.communicate()
run_number = 4
times = stored_hits(run_number)
# It had played for 6 - 0.7 - 1 = 4.3 s, less the time the program needs to start.
check(times and times[-1] > 3.0e9, 'killed:', len(times), 'hits, the last at', times[-1:])
judged = run('judge', 'double-strokes', f'run:{run_number}', '--json')
check(judged.returncode == 0, judged.stderr)
counts = json.loads(judged.stdout)['counts'] if judged.returncode == 0 else {}
check(counts.get('missed') == 0 and counts.get('matched', 0) > 15, 'killed:', counts)

# In the count-in: nothing was played yet, and what is connected is not the question.
process = start()
for line in process.stderr:
    if line.startswith('Judged by'):
        break
time.sleep(0.3)  # it catches signals as soon as that is told
process.send_signal(signal.SIGINT)
output, errors = process.communicate(timeout=20)
check(process.returncode == 1 and output == '', 'count-in', process.returncode, output)
check('stopped before anything was played, so nothing is kept' in errors, 'count-in', errors)

finish()
