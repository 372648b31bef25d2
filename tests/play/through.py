"""The demo player on pads that are described: what a pad hides or blurs is not called the player's
fault, and a fault of the player's is found all the same. The faults and the pads are invented."""
import os
import re

from play_lib import FOLDER, check, faults, finish, play_fast

CURVE = ''.join(f'point = {v} {db}\n' for v, db in  # twice 20 log10(v / 127), by hand
                ((1, -84.152), (2, -72.111), (4, -60.07), (8, -48.028), (16, -35.987),
                 (32, -23.946), (64, -11.905), (127, 0)))
PADS = {
    'plain': '', 'two': '[notes]\nleft = 60\nright = 61\n',
    'top': '[range]\ntop_velocity = 80\n', 'hot': '[levels]\nname = hot\n' + CURVE,
    'ms': '[clock]\nstep_ms = 1\n', 'slow': '[clock]\nstep_ms = 5\n',
    'late': '[delay]\nclick_to_hit_ms = 40\n',
    'dead': '[mask]\ndead_ms = 40\ndead_db = 60\n',
}


def play(name, exercise, fault='', seed=0, *more):
    path = os.path.join(FOLDER.name, name + '.ini')
    with open(path, 'w') as file:
        file.write(f'[pad]\nname = {name}\n' + PADS[name])
    return play_fast(exercise, fault, seed, '--pad', path, '--through', path, *more)


def unclear(document):
    return {f['aspect']: f['text'] for f in document['findings'] if f['fault'] is None}


# No fault of the player's, none found; and what the pad could not report is said to be the pad's.
for exercise in ('five-stroke-rolls', 'double-strokes', 'flam'):
    for name in PADS:
        document = play(name, exercise, '', 2)
        check(faults(document) == [], exercise, name, faults(document))
        said = unclear(document)
        if name in ('plain', 'hot', 'ms', 'late', 'two'):
            check(document['counts']['missed'] == 0, exercise, name, document['counts'])
        if (exercise, name) == ('flam', 'dead'):
            check(document['counts']['missed'] > 40, 'the grace notes are heard?')
            check({'missed', 'flam-gap'} <= set(said), said)
            check(re.search('mask|retrigger', said['flam-gap']), said['flam-gap'])
        if (exercise, name) == ('five-stroke-rolls', 'top'):
            check(re.search('sensitivity|curve', said.get('accent', '')), said)
        if name == 'late':
            plain = play('plain', exercise, '', 2)['tempo']['offset_ms']
            check(abs(document['tempo']['offset_ms'] - plain - 40) < 0.01, 'delay')

# A floor that softer taps fall under.
PADS['floor'] = '[range]\nfloor_velocity = 30\n'
document = play('floor', 'five-stroke-rolls', '', 2)
check(document['counts']['missed'] >= 8 and faults(document) == [], document['counts'],
      faults(document))
check('threshold' in unclear(document).get('missed', ''), unclear(document))

# Faults are found through all of them.
for name in PADS:
    document = play(name, 'double-strokes', 'late-left-seconds', 5)
    check(faults(document) == [('diddle-spacing', 'left', 'uneven', 'late')], name,
          faults(document))
document = play('two', 'five-stroke-rolls', 'late-left', 3)
check(('hand-timing', 'both', 'unmatched', 'left-late') in faults(document), faults(document))
finish()
