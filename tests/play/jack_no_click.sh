#!/bin/bash
# Without a click: somebody else's player plays at a tempo of its own into our port, after our
# count-in, after taps of its own, or just so. Every stroke is found, the click is silent after the
# count-in, and the run is judged as its file is. No key is touched.
#
# A server that is late (an xrun) stretches the player's time, and nothing shares that stretch where
# there is no click: then tempo and offsets are not compared.
. "$(dirname "$0")/jack_lib.sh"
exercise=$work/five.txt
cat >"$exercise" <<'T'
title: Five bars of doubles and accents
tempo: 100 to 180
metre: 4/4

| mf 16:RRLL RRLL RRLL RRLL | R>LRL RRLL R>LRL RRLL | RRLL RRLL RRLL RRLL |
| 16:LLRR LLRR LLRR LLRR | L>RLR LLRR L>RLR LLRR |
T
# 15 % slower than the 180 that are counted in: 153.
"$EVENHAND" demo "$exercise" --count-off 0 --fault late-left-seconds,slower:15 --seed 11 \
    --tempo 180 --save "$work/own.mid" >/dev/null || fail "no file"
"$EVENHAND" demo "$exercise" --count-off 4 --fault late-left-seconds,slower:15 --seed 11 \
    --tempo 180 --save "$work/tapped.mid" >/dev/null || fail "no file"
# Who taps along with the count-in, a quarter each 333 ms, and begins half a beat late.
$PYTHON - "$work" <<'P' || fail "no file with taps"
import sys, mido
song = mido.MidiFile(f'{sys.argv[1]}/own.mid')
times, now = [], 0.0
for message in song:
    now += message.time
    if message.type == 'note_on' and message.velocity > 0:
        times.append((now, message.velocity))
zero = times[0][0]
notes = [(i / 3, 50) for i in range(4)] + [(1.5 + at - zero, v) for at, v in times]
track = mido.MidiTrack([mido.MetaMessage('set_tempo', tempo=500000)])
last = 0
for at, velocity in notes:
    tick = round(at * 20160 / 0.5)
    track.append(mido.Message('note_on', channel=9, note=38, velocity=velocity, time=tick - last))
    last = tick
file = mido.MidiFile(type=0, ticks_per_beat=20160)
file.tracks.append(track)
file.save(f'{sys.argv[1]}/along.mid')
P

run=0
performance() { # NAME FILE WHEN CLICKS OPTION...
    name=$1 file=$2 when=$3 clicks=$4
    shift 4
    run=$((run + 1))
    $PYTHON "$HERE/jack_drummer.py" "$work/$file.mid" "$when" >"$work/$name-drummer.txt" 2>&1 &
    local drummer=$!
    wait_for_line ready "$work/$name-drummer.txt"
    "$EVENHAND" play "$exercise" --port virtual --tempo 180 --no-click --json "$@" \
        >"$work/$name.json" 2>"$work/$name.txt" </dev/null || fail "$name: play ended with $?"
    wait $drummer
    grep -qx "heard $clicks clicks" "$work/$name-drummer.txt" || fail "$name: not $clicks clicks"
    for more in "" --no-click; do
        "$EVENHAND" judge "$exercise" run:$run --json $more >"$work/again.json" || fail "$name again"
        cmp "$work/$name.json" "$work/again.json" || fail "$name: judged again it is not the same"
    done
}
performance counted along "$(later)" 4
performance alone own now 0 --count-off 0
performance tapped tapped now 0 --count-off 4
grep -q 'no click' "$work/alone.txt" || fail "not told that nothing clicks"
grep -q 'for the count-in only' "$work/counted.txt" || fail "not told how long it clicks"

"$EVENHAND" judge "$exercise" "$work/own.mid" --no-click --json >"$work/file.json" ||
    fail "judge the file"
"$EVENHAND" judge "$exercise" "$work/tapped.mid" --no-click --count-off 4 --json \
    >"$work/tapped-file.json" || fail "judge the file with taps"
xruns=$(grep -c 'Process XRun' "$EVENHAND_JACK_LOG")
$PYTHON - "$work" "$xruns" <<'P' || fail "see above"
import json, re, sys
work, xruns = sys.argv[1], int(sys.argv[2])
def load(name):
    return json.load(open(f'{work}/{name}.json'))
def words(document):
    return [(f['aspect'], f['hand'], f['verdict'], f['direction']) for f in document['findings']]
for name, file, taps in (('counted', 'file', 0), ('alone', 'file', 0), ('tapped', 'tapped-file', 4)):
    live, other = load(name), load(file)
    assert words(live) == words(other), (name, words(live), words(other))
    assert [s['hit'] for s in live['strokes']] == [s['hit'] for s in other['strokes']], name
    assert live['strokes'][0]['hit'] == taps or taps == 0, name
    resolution = live['take']['resolution_ms']
    difference = sorted(abs(a['offset_ms'] - b['offset_ms'])
                        for a, b in zip(live['strokes'], other['strokes']) if a['hit'] is not None)
    n = len(difference)
    print(f"{name}: {live['tempo']['bpm']} to the quarter, {n} strokes, "
          f"{live['counts']['missed']} missed; against the file {difference[n // 2]:.3f} ms (median), "
          f'{difference[n * 95 // 100]:.3f} (95 of 100); {xruns} xruns')
    assert n > 70 and live['counts']['missed'] == live['counts']['extra'] == 0, live['counts']
    assert xruns or abs(live['tempo']['bpm'] / 153 - 1) < 0.006
    assert xruns or difference[n * 95 // 100] <= 1.0 + resolution
    assert ('diddle-spacing', 'left', 'uneven', 'late') in words(live), words(live)
    said = open(f'{work}/{name}.txt').read()
    told = [int(bar) for bar in re.findall(r'^Bar (\d+) +\d+ strokes? heard', said, re.M)]
    assert told == sorted({s['bar'] for s in live['strokes']}), (name, told)
    assert 'nothing heard' not in said and ' missed  ' not in said, said
P
