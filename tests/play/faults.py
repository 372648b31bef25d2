"""Demo players with a fault are named rightly, hand and direction included, at three seeds; the
player without a fault gets none: at ten seeds in each exercise without a group and in the etudes,
at two in a rudiment or another of the library."""
from play_lib import check, exercises, faults, finish, play_all, some

ROLLS = ['five-stroke-rolls', 'nine-stroke-rolls', 'double-strokes']
ANY = ['warm-up-singles-to-roll', 'accents-over-taps', 'single-strokes']
ACCENTS = ['accents-over-taps', 'paradiddles-with-accents', 'concert-accent-line']

# fault, the exercises, and one of these findings must be there: aspect, hand, verdict, direction
NAMED = [
    ('late-left-seconds', ROLLS, [('diddle-spacing', 'left', 'uneven', 'late')]),
    ('late-right-seconds', ROLLS, [('diddle-spacing', 'right', 'uneven', 'late')]),
    ('early-left-seconds', ROLLS, [('diddle-spacing', 'left', 'uneven', 'early')]),
    ('weak-left-seconds', ROLLS, [('diddle-level', 'left', 'uneven', 'weak')]),
    ('weak-right-seconds', ROLLS, [('diddle-level', 'right', 'uneven', 'weak')]),
    ('under-accents', ACCENTS, [('accent', hand, 'under', None)
                                for hand in ('left', 'right', 'both')]),
    ('overblown-accents', ACCENTS, [('accent', hand, 'overblown', None)
                                    for hand in ('left', 'right', 'both')]),
    ('strong-lead', ANY,
     [('unmarked-accent', 'right', 'sticks-out', None),
      ('hand-level', 'both', 'unmatched', 'left-soft')]),
    ('strong-left', ['single-strokes', 'double-strokes'],
     [('unmarked-accent', 'left', 'sticks-out', None),
      ('hand-level', 'both', 'unmatched', 'right-soft')]),
    ('rushing', ANY, [('tempo', 'both', 'drifting', 'rushing')]),
    ('dragging', ROLLS, [('tempo', 'both', 'drifting', 'dragging')]),
    ('missed', ANY, [('missed', 'both', 'some', None)]),
    ('extra', ANY, [('extra', 'both', 'some', None)]),
]
# What one fault brings with it.
ALLOWED = {'strong-lead': ('unmarked-accent', 'hand-level'),
           'strong-left': ('unmarked-accent', 'hand-level')}

performances = some((name, fault, seed, expected) for fault, names, expected in NAMED
                    for name in names for seed in (1, 2, 3))
documents = play_all([performance[:3] for performance in performances])
for (name, fault, seed, expected), document in zip(performances, documents):
    found = faults(document) if document else []
    check(any(one in found for one in expected), fault, name, seed, found)
    aspects = {one[0] for one in expected} | set(ALLOWED.get(fault, ()))
    check(all(one[0] in aspects for one in found), fault, name, seed, 'also', found)

grouped = [name for group in ('rudiments', 'rolls', 'warm-ups', 'accents', 'hands', 'dynamics',
                              'flams-and-drags') for name in exercises(group)]
clean = some((name, '', seed) for name in exercises()
             for seed in range(100, 102 if name in grouped and name not in ANY + ACCENTS + ROLLS
                               else 110))
for performance, document in zip(clean, play_all(clean)):
    check(document is not None and faults(document) == [], performance,
          document and faults(document))

finish()
