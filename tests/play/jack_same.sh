#!/bin/bash
# A performance that someone else's player plays into our port ends in the verdicts that `judge`
# reaches on its file: the same strokes matched, the same words, offsets within the transport's
# resolution. jack_same.sh FAULT BPM
#
# A server that is late (an xrun) stretches time for everybody at once, click and player; the times
# around such a jump are less exact, the verdicts must be the same.
. "$(dirname "$0")/jack_lib.sh"
exercise=$HERE/doubles-and-accents.txt fault=$1 bpm=$2
"$EVENHAND" demo "$exercise" --fault "$fault" --seed 11 --tempo "$bpm" \
    --save "$work/played.mid" >/dev/null || fail "no file"
$PYTHON "$HERE/jack_drummer.py" "$work/played.mid" "$(later)" >"$work/drummer.txt" 2>&1 &
wait_for_line ready "$work/drummer.txt"
"$EVENHAND" play "$exercise" --port virtual --tempo "$bpm" --json \
    >"$work/live.json" 2>"$work/live.txt" </dev/null || fail "play ended with $?"
"$EVENHAND" judge "$exercise" run:1 --json >"$work/again.json" || fail "judge run:1"
cmp "$work/live.json" "$work/again.json" || fail "judged again it is not the same"
"$EVENHAND" play "$exercise" --demo="$fault" --fast --seed 11 --tempo "$bpm" --json \
    >"$work/straight.json" 2>"$work/straight.txt" || fail "the demo player straight"
"$EVENHAND" judge "$exercise" "$work/played.mid" --json >"$work/file.json" || fail "judge the file"
cat "$work/drummer.txt"
xruns=$(grep -c 'Process XRun' "$EVENHAND_JACK_LOG")
$PYTHON - "$work" "$xruns" <<'P' || fail "see above"
import json, sys
live, straight, file = (json.load(open(f'{sys.argv[1]}/{name}.json'))
                        for name in ('live', 'straight', 'file'))
def words(document):
    return [(f['aspect'], f['hand'], f['verdict'], f['direction']) for f in document['findings']]
def matched(document):
    return [s['hit'] for s in document['strokes']]
xruns = int(sys.argv[2])
resolution = live['take']['resolution_ms'] + (2 if xruns else 0)
for name, other in (('its file', file), ('the demo player straight', straight)):
    assert words(live) == words(other), (name, words(live), words(other))
    assert matched(live) == matched(other), name
    difference = sorted(a['offset_ms'] - b['offset_ms']
                        for a, b in zip(live['strokes'], other['strokes'])
                        if a['hit'] is not None)
    n = len(difference)
    print(f'against {name}: {n} strokes; offsets differ by {difference[n // 2]:+.3f} ms (median), '
          f'{difference[0]:+.3f} to {difference[-1]:+.3f}; resolution {resolution} ms')
    assert n > 100 and abs(difference[n // 2]) <= 0.5 + resolution
    assert xruns or difference[n * 95 // 100] - difference[n * 5 // 100] <= 1.0 + 2 * resolution
print(xruns, 'xruns; faults:', [f for f, g in zip(words(live), live['findings']) if g['fault']])
P
