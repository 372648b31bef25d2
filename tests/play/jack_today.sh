#!/bin/bash
# A whole plan of the day beside somebody else's player: nothing is typed after the start; every run
# is the plan's, every stroke of the files is found in it, and at the end stands what had failed
# before and is now. The history before it is the demo player's, moved into the past and given to a
# pad's player in the database itself.
. "$(dirname "$0")/jack_lib.sh"
minutes=1.1 # too few for a run-through: this test waits for the clock
mine=$XDG_DATA_HOME/evenhand/exercises
mkdir -p "$mine"
exercise() { # NAME BAR
    printf 'title: %s\ntempo: 100 to 200\nmetre: 4/4\n\n| mf %s | %s |\n' "$1" "$2" "$2" \
        >"$mine/$1.txt"
}
exercise doubles '16:RRLL RRLL RRLL RRLL'
exercise accents '16:R>LRL R>LRL L>RLR L>RLR'
seed=0
before() { # EXERCISE TEMPO DAYS FAULT
    seed=$((seed + 1))
    "$EVENHAND" play "$1" "--demo=$4" --tempo "$2" --passes 3 --fast --seed $seed \
        >/dev/null 2>"$work/before.txt" || fail "the history"
    $PYTHON - "$XDG_DATA_HOME/evenhand/history.db" "$3" <<'P' || fail "the history's date"
import sqlite3, sys
store = sqlite3.connect(sys.argv[1])
store.execute("UPDATE run SET source = 'live', demo_fault = '', demo_seed = '', port = 'pad', "
              "started_utc_s = started_utc_s - 86400 * ? "
              "WHERE number = (SELECT max(number) FROM run)", (int(sys.argv[2]),))
store.commit()
P
}
for days in 4 3 2; do before doubles 190 $days late-left-seconds; done
for days in 4 2; do before accents 190 $days under-accents; done
before_runs=5

# What is planned, pass by pass: its exercise, bars and tempo, as it is printed.
"$EVENHAND" today --minutes $minutes </dev/null >"$work/plan.txt" || fail "no plan"
cat "$work/plan.txt"
$PYTHON - "$work/plan.txt" >"$work/passes" <<'P' || fail "the plan cannot be read"
import re, sys
page = open(sys.argv[1]).read()
rows = {mark: (name, bars, tempo, passes) for mark, name, bars, tempo, passes in re.findall(
    r'(?m)^ ([A-Z])  (\S+) +(all bars|bar \d+|[\d-]+) +([\d.]+) +((?:\d+ x )?\d+)$', page)}
turns = re.search(r'In turn:([^.]*)\.', page)[1].replace(',', '').split()
assert turns == ['W', 'A', 'B', 'A', 'B'], turns
for mark in turns:
    name, bars, tempo, passes = rows[mark]
    count = int(passes.split(' x ')[1]) if ' x ' in passes else int(passes) // turns.count(mark)
    for _ in range(count):
        print(mark, name, '-' if bars == 'all bars' else bars.replace('bar ', ''), tempo)
P

player() { # NAME BARS SEED: how the other player plays it; one thing still fails
    fault=none option=(--seed "$3")
    [ "$1" = doubles ] && fault=late-left-seconds
    [ "$2" = - ] || option+=(--bars "$2")
}
files=()
while read -r mark name bars tempo; do
    player "$name" "$bars" ${#files[@]}
    file=$work/$(printf '%02d' ${#files[@]}).mid
    "$EVENHAND" demo "$name" --tempo "$tempo" --fault $fault "${option[@]}" --save "$file" \
        >/dev/null || fail "no file for $mark"
    files+=("$file")
done <"$work/passes"

$PYTHON "$HERE/jack_band.py" "$(later)" "${files[@]}" >"$work/band.txt" 2>&1 &
band=$!
wait_for_line ready "$work/band.txt"
"$EVENHAND" today --minutes $minutes --start --port virtual >"$work/today.txt" \
    2>"$work/complaints.txt" </dev/null || fail "today ended with $?"
wait $band
cat "$work/today.txt" "$work/complaints.txt"
grep -qx "played ${#files[@]} of ${#files[@]} files" "$work/band.txt" || fail "not every file was played"
[ -s "$work/complaints.txt" ] && fail "there were complaints"
grep -q '^     now     0\.6.* of the span.*: still fails (' "$work/today.txt" || fail "doubles are not told"
grep -q '^     now .* dB, .*: fine (' "$work/today.txt" || fail "accents are not told"
xruns=$(grep -c 'Process XRun' "$EVENHAND_JACK_LOG")
run=$before_runs
while read -r mark name bars tempo; do
    player "$name" "$bars" $((run - before_runs))
    run=$((run + 1))
    "$EVENHAND" judge "$name" run:$run --json >"$work/live.json" || fail "judge run:$run"
    "$EVENHAND" play "$name" --demo="$fault" --fast --tempo "$tempo" "${option[@]}" --json \
        --db "$work/straight.db" >"$work/straight.json" 2>"$work/straight.txt" || fail "straight"
    $PYTHON - "$work" "$xruns" <<'P' || fail "$mark $name at $tempo, run $run"
import json, sys
live, straight = (json.load(open(f'{sys.argv[1]}/{name}.json')) for name in ('live', 'straight'))
def words(document):
    return [(f['aspect'], f['hand'], f['verdict'], f['direction']) for f in document['findings']]
assert live['counts']['matched'] >= live['counts']['strokes'] - 2, live['counts']
if sys.argv[2] == '0':  # a late server stretches time, and these runs are short
    assert live['counts'] == straight['counts'], (live['counts'], straight['counts'])
    assert live['counts']['missed'] == 0
    assert [s['hit'] for s in live['strokes']] == [s['hit'] for s in straight['strokes']]
    assert words(live) == words(straight), (words(live), words(straight))
P
done <"$work/passes"
[ $run -eq $((before_runs + ${#files[@]})) ] || fail "$run runs"
"$EVENHAND" history show $((run + 1)) >/dev/null 2>&1 && fail "more runs than the plan has"
echo "$run runs, $xruns xruns"
