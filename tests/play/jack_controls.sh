#!/bin/bash
# A rim that means "again" and one that means "stop": a run is broken off and played again, and the
# practice ends, without a keyboard. One touch of the rim in the middle of a line changes nothing, and
# these hits are no strokes, live and from the history alike.
. "$(dirname "$0")/jack_lib.sh"
exercise=$HERE/doubles-and-accents.txt
printf '[notes]\nhead = 38\n[controls]\nagain = 50\nstop = 51\n' >"$work/pad.ini"

# At 240 a bar takes a second: the count-in, then two bars of 16ths; the rim in the third.
notes=$($PYTHON - <<'P'
import json
strokes = [[38, 80, 1000 + 62.5 * i] for i in range(32)]
touched = sorted(strokes + [[51, 60, 1810]], key=lambda note: note[2])
print(json.dumps([touched + [[50, 90, 3200], [50, 90, 3500]],
                  strokes + [[51, 90, 3200], [51, 90, 3500]]]))
P
)
$PYTHON "$HERE/jack_controls.py" "$EVENHAND" "$(later)" "$notes" play "$exercise" --tempo 240 \
    --port virtual --pad "$work/pad.ini" >"$work/out.txt" 2>&1 </dev/null ||
    fail "ended with $?"
[ "$(grep -c '^Hits from' "$work/out.txt")" = 2 ] || fail "it was not played twice"
grep -q 'Kept as run 1' "$work/out.txt" || fail "the first run was not kept"
grep -q 'Kept as run 2' "$work/out.txt" || fail "the second run was not kept"
[ "$(grep -c 'strokes due' "$work/out.txt")" -le 1 ] || fail "what is played again was reported"
for run in 1 2; do
    "$EVENHAND" history show $run --json >"$work/kept-$run.txt" || fail "history show $run"
    "$EVENHAND" judge "$exercise" run:$run --json | cmp -s - "$work/kept-$run.txt" ||
        fail "run $run is judged otherwise"
    $PYTHON - "$work/kept-$run.txt" <<'P' || fail "run $run: what was heard"
import json
import sys
counts = json.load(open(sys.argv[1]))['counts']
assert (counts['matched'], counts['missed'], counts['extra']) == (32, 0, 0), counts
P
done
$PYTHON - "$work/data/evenhand/history.db" <<'P' || fail "what is kept"
import sqlite3
import sys
store = sqlite3.connect(sys.argv[1])
assert store.execute('SELECT ended FROM run').fetchall() == [('stopped',)] * 2
controls = [[note for note, in store.execute(
    'SELECT note FROM hit WHERE run = ? AND note != 38 ORDER BY number', (run,))] for run in (1, 2)]
assert controls == [[51, 50, 50], [51, 51]], controls
P
echo passed
