"""Answers `evenhand pad make` as a player would: reads what it prints and hits what it asks for,
through python3-jack-client. None of our code has a part in the sending.

jack_hands.py EVENHAND ANSWERS [ARGUMENT...]: ANSWERS is JSON, {"head": [[NOTE, VELOCITY, MS], ...]}:
notes with the time to the next one. A part of a prompt chooses the answer; none: silence. The
answer "TERM" sends that signal. Copies what the program prints; ends with its exit code.
"""
import collections
import json
import signal
import subprocess
import sys
import threading

import jack

program, answers, *arguments = sys.argv[1:]
answers = json.loads(answers)
client = jack.Client('hands', no_start_server=True)
stick = client.midi_outports.register('stick')
notes, state = collections.deque(), {'due': 0, 'frame': 0}


@client.set_process_callback
def process(frames):
    stick.clear_buffer()
    while notes:
        state['due'] = max(state['due'], state['frame'])
        at = state['due'] - state['frame']
        if at >= frames:
            break
        note, velocity, milliseconds = notes.popleft()
        stick.write_midi_event(at, bytes([0x99, note, velocity]))
        state['due'] += round(milliseconds * client.samplerate / 1000)
    state['frame'] += frames


with client:
    child = subprocess.Popen([program, 'pad', 'make', *arguments], stdin=subprocess.DEVNULL,
                             stdout=subprocess.PIPE, text=True)
    guard = threading.Timer(90, child.kill)
    guard.start()
    for line in child.stdout:
        print(line, end='', flush=True)
        if line.startswith('Hits from'):
            pads = client.get_ports('^evenhand.*:pad$', is_midi=True, is_input=True)
            client.connect('hands:stick', pads[0].name)
        elif line.startswith('Hit '):
            for part, answer in answers.items():
                if part in line and answer == 'TERM':
                    child.send_signal(signal.SIGTERM)
                elif part in line:
                    notes.extend(answer)
    code = child.wait()
    guard.cancel()
sys.exit(code)
