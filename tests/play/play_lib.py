"""For the tests that run the program as a player does. Every test has a data folder of its own."""
import json
import os
import subprocess
import sys
import tempfile
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / 'lib'))
from fewer import some  # noqa: E402,F401

PROGRAM = sys.argv[1]
FOLDER = tempfile.TemporaryDirectory(prefix='evenhand-play-')
ENVIRONMENT = dict(os.environ, XDG_DATA_HOME=FOLDER.name, NO_COLOR='')
failures = []


def run(*arguments, **options):
    return subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, env=ENVIRONMENT,
                          timeout=120, check=False, **options)


def check(condition, *words):
    if not condition:
        failures.append(words)
        print('FAILED:', *words)


def play_fast(exercise, fault='', seed=0, *more):
    """The judgement document of a demo player, or None after a failed check."""
    demo = '--demo=' + fault if fault else '--demo'
    result = run('play', exercise, demo, '--fast', '--json', '--seed', str(seed), *more)
    check(result.returncode == 0, exercise, fault, seed, 'exit', result.returncode, result.stderr)
    return json.loads(result.stdout) if result.returncode == 0 else None


def faults(document):
    return [(f['aspect'], f['hand'], f['verdict'], f['direction'])
            for f in document['findings'] if f['fault']]


def play_all(performances):
    """The documents of many (exercise, fault, seed), in their order; each of a few workers has a
    history of its own."""
    def one(performance):
        worker = threading.get_ident()
        return play_fast(*performance, '--db', f'{FOLDER.name}/worker-{worker}.db')
    with ThreadPoolExecutor(max_workers=3) as pool:
        return list(pool.map(one, performances))


def exercises(*word):
    """The shipped ones, or those of a group."""
    return [line.split()[0] for line in run('list', *word).stdout.splitlines() if line.strip()]


def finish():
    print('failed' if failures else 'passed')
    sys.exit(1 if failures else 0)
