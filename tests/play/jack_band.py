"""Plays Standard MIDI Files into our input, one each time our click begins anew: files by
python3-mido, audio in and MIDI out by python3-jack-client. None of our code has a part in it.

jack_band.py LATER_FRAMES FILE...: a file's beginning is played LATER_FRAMES after the first click
that follows a second and a half without one. Prints what it does; ends after the last file.
"""
import array
import sys
import threading
import time

import jack
import mido

later = int(sys.argv[1])
client = jack.Client('band', no_start_server=True)
ear = client.inports.register('ear')
stick = client.midi_outports.register('stick')
songs = []
for path in sys.argv[2:]:
    notes, now = [], 0.0
    for message in mido.MidiFile(path):
        now += message.time
        if message.type == 'note_on' and message.velocity > 0:
            notes.append((round(now * client.samplerate), bytes(message.bytes())))
    songs.append(notes)
quiet = 3 * client.samplerate // 2
state = {'frame': 0, 'song': 0, 'start': None, 'next': 0, 'heard': -10**9}
done = threading.Event()


@client.set_process_callback
def process(frames):
    sound = array.array('f', bytes(ear.get_buffer()))
    stick.clear_buffer()
    if max(sound) > 0.02:
        first = next(i for i in range(frames) if abs(sound[i]) > 0.005)
        if state['start'] is None and state['frame'] - state['heard'] > quiet:
            state['start'], state['next'] = state['frame'] + first + later, 0
        state['heard'] = state['frame']
    notes = songs[state['song']] if state['song'] < len(songs) else []
    while state['start'] is not None and state['next'] < len(notes):
        at = state['start'] + notes[state['next']][0] - state['frame']
        if at >= frames:
            break
        stick.write_midi_event(max(at, 0), notes[state['next']][1])
        state['next'] += 1
    if state['start'] is not None and state['next'] == len(notes):
        state['start'] = None
        state['song'] += 1
        if state['song'] == len(songs):
            done.set()
    state['frame'] += frames


def connect(source, target):
    try:
        if target not in [port.name for port in client.get_all_connections(source)]:
            client.connect(source, target)
    except jack.JackError:
        pass  # it went away in between


with client:
    print('ready', flush=True)
    end = time.monotonic() + 170
    while not done.wait(0.02) and time.monotonic() < end:
        for port in client.get_ports('^evenhand.*', is_audio=True, is_output=True):
            connect(port.name, 'band:ear')
        for port in client.get_ports('^evenhand.*:pad$', is_midi=True, is_input=True):
            connect('band:stick', port.name)
    time.sleep(0.2)
    print('played', state['song'], 'of', len(songs), 'files', flush=True)
