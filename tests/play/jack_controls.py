"""Plays beside `evenhand` as a player would who hears the click: from the first click of each run,
the notes of a list, through python3-jack-client. None of our code has a part in the sending.

jack_controls.py EVENHAND LATER_FRAMES NOTES ARGUMENT...: NOTES is JSON, a list for each time that
the program says where hits come from, [[NOTE, VELOCITY, MS], ...]: each so long after the run's
first click. Copies what the program prints; ends with its exit code.
"""
import array
import collections
import json
import subprocess
import sys
import threading
import time

import jack

program, later, notes, *arguments = sys.argv[1:]
later = int(later)
runs = collections.deque(json.loads(notes))
client = jack.Client('hands', no_start_server=True)
ear = client.inports.register('ear')
stick = client.midi_outports.register('stick')
state = {'frame': 0, 'start': None, 'waiting': []}


@client.set_process_callback
def process(frames):
    sound = array.array('f', bytes(ear.get_buffer()))
    stick.clear_buffer()
    if state['start'] is None and state['waiting'] and max(sound) > 0.02:
        first = next(i for i in range(frames) if abs(sound[i]) > 0.005)
        state['start'] = state['frame'] + first + later
    while state['start'] is not None and state['waiting']:
        note, velocity, milliseconds = state['waiting'][0]
        at = state['start'] + round(milliseconds * client.samplerate / 1000) - state['frame']
        if at >= frames:
            break
        stick.write_midi_event(max(at, 0), bytes([0x99, note, velocity]))
        state['waiting'].pop(0)
    state['frame'] += frames


def connect_to_program():
    for _ in range(200):
        sounds = client.get_ports('^evenhand.*', is_audio=True, is_output=True)
        pads = client.get_ports('^evenhand.*:pad$', is_midi=True, is_input=True)
        if sounds and pads:
            break
        time.sleep(0.005)
    for source, target in [(port.name, 'hands:ear') for port in sounds] + [('hands:stick', pads[0].name)]:
        if target not in [port.name for port in client.get_all_connections(source)]:
            client.connect(source, target)


with client:
    child = subprocess.Popen([program, *arguments], stdin=subprocess.DEVNULL,
                             stdout=subprocess.PIPE, text=True)
    guard = threading.Timer(60, child.kill)
    guard.start()
    for line in child.stdout:
        print(line, end='', flush=True)
        if line.startswith('Hits from'):
            state['start'] = None
            connect_to_program()
            state['waiting'] = runs.popleft() if runs else []
    code = child.wait()
    guard.cancel()
sys.exit(code)
