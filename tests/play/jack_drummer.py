"""Plays a Standard MIDI File into our input when it hears our first click: file by python3-mido,
audio in and MIDI out by python3-jack-client. None of our code has a part in it.

jack_drummer.py FILE LATER_FRAMES [SECONDS]: the file's beginning is played LATER_FRAMES after the
first click; only the file's first SECONDS. LATER_FRAMES "now": a second after our input is there,
whatever sounds. Prints what it does, and how many clicks it heard; ends after the last note.
"""
import array
import sys
import threading
import time

import jack
import mido

path = sys.argv[1]
later = None if sys.argv[2] == 'now' else int(sys.argv[2])
until = float(sys.argv[3]) if len(sys.argv) > 3 else 1e9
client = jack.Client('drummer', no_start_server=True)
ear = client.inports.register('ear')
stick = client.midi_outports.register('stick')
notes, now = [], 0.0
for message in mido.MidiFile(path):
    now += message.time
    if message.type == 'note_on' and message.velocity > 0 and now <= until:
        notes.append((round(now * client.samplerate), bytes(message.bytes())))
state = {'frame': 0, 'start': None, 'next': 0, 'clicks': 0, 'heard': -10**9, 'go': False}
done = threading.Event()


@client.set_process_callback
def process(frames):
    sound = array.array('f', bytes(ear.get_buffer()))
    stick.clear_buffer()
    if max(sound) > 0.02:
        if state['frame'] - state['heard'] > client.samplerate // 10:
            state['clicks'] += 1
        state['heard'] = state['frame']
    if state['start'] is None and state['go']:
        state['start'] = state['frame'] + client.samplerate
    if later is not None and state['start'] is None and max(sound) > 0.02:
        first = next(i for i in range(frames) if abs(sound[i]) > 0.005)
        state['start'] = state['frame'] + first + later
    while state['start'] is not None and state['next'] < len(notes):
        at = state['start'] + notes[state['next']][0] - state['frame']
        if at >= frames:
            break
        stick.write_midi_event(max(at, 0), notes[state['next']][1])
        state['next'] += 1
    if state['next'] == len(notes):
        done.set()
    state['frame'] += frames


def connect(source, target):
    """True once they are connected."""
    try:
        if target not in [port.name for port in client.get_all_connections(source)]:
            client.connect(source, target)
        return True
    except jack.JackError:
        return False


with client:
    print('ready', flush=True)
    wanted = {'sound', 'pad'} if later is not None else {'pad'}
    while wanted:
        for port in client.get_ports('^evenhand.*', is_audio=True, is_output=True):
            if connect(port.name, 'drummer:ear'):
                wanted.discard('sound')
        pads = client.get_ports('^evenhand.*:pad$', is_midi=True, is_input=True)
        if pads and connect('drummer:stick', pads[0].name):
            wanted.discard('pad')
        time.sleep(0.01)
    print('connected', flush=True)
    state['go'] = later is None
    done.wait(120)
    time.sleep(0.2)
    print('played', state['next'], 'notes, from frame', state['start'], flush=True)
    print('heard', state['clicks'], 'clicks', flush=True)
