"""A player who hits exactly on each click it hears: audio in, note out, through JACK-Client.

jack_player.py LATER_FRAMES: a click at frame f is answered by a note at frame f + LATER_FRAMES.
Every click is answered by note 38 at velocity 100, on channel 10. Ends with its process.
"""
import array
import sys
import threading

import jack

later = int(sys.argv[1])
client = jack.Client('player', no_start_server=True)
ear = client.inports.register('ear')
stick = client.midi_outports.register('stick')
due, state = [], {'now': 0, 'deaf': 0}


@client.set_process_callback
def process(frames):
    sound = array.array('f', bytes(ear.get_buffer()))
    stick.clear_buffer()
    if state['deaf'] < frames:
        for i in range(state['deaf'], frames):
            if abs(sound[i]) > 0.02:
                due.append(state['now'] + i + later)
                state['deaf'] = i + 3000  # until the sound is over
                break
    state['deaf'] = max(0, state['deaf'] - frames)
    while due and due[0] < state['now'] + frames:
        stick.write_midi_event(due.pop(0) - state['now'], (0x99, 38, 100))
    state['now'] += frames


with client:
    threading.Event().wait()
