#!/bin/bash
# A note map made by hitting the pad, without a keyboard, is kept for the port, is what `play` takes
# there, and is what the run is judged by for ever.
. "$(dirname "$0")/jack_lib.sh"
exercise=$HERE/doubles-and-accents.txt

hands() { # ANSWERS ARGUMENT...
    $PYTHON "$HERE/jack_hands.py" "$EVENHAND" "$@" >"$work/hands.txt" 2>&1 </dev/null
}
even() { # NOTE: four strokes
    printf '[[%s,80,200],[%s,82,200],[%s,79,200],[%s,81,200]]' "$1" "$1" "$1" "$1"
}
# A cross-stick brings a soft head note with it, 4 ms before.
cross='[[50,15,4],[51,90,196],[50,14,4],[51,91,196],[50,16,4],[51,92,196],[50,15,4],[51,90,196]]'
# The rim is asked for: three strokes on the head again, then nothing.
answers="{\"the head\":$(even 50),\"the rim\":[[50,80,200],[50,80,200],[50,80,200]],
    \"cross\":$cross,\"left hand\":$(even 60),\"right hand\":$(even 61)}"

# Broken off, nothing is kept.
hands "{\"the head\":$(even 50),\"the rim\":\"TERM\"}" --port virtual && fail "TERM: success"
grep -q 'broken off; nothing was changed' "$work/hands.txt" || fail "TERM is not told"
[ ! -e "$work/data" ] || fail "TERM: something was kept"

hands "$answers" --port virtual --player ada || fail "pad make ended with $?"
grep -q 'note 50 belongs to "the head" already' "$work/hands.txt" || fail "no conflict told"
grep -q 'nothing came: left out' "$work/hands.txt" || fail "nothing was passed over"
grep -q 'Kept for the port evenhand:pad, played by ada' "$work/hands.txt" || fail "not kept"
"$EVENHAND" pad show --player ada >"$work/shown.txt" || fail "pad show"
for line in 'name = evenhand:pad' 'head = 50' 'rim =' 'cross = 51' 'left = 60' 'right = 61'; do
    grep -qx "$line" "$work/shown.txt" || fail "no line '$line'"
done
[ "$("$EVENHAND" pad list | head -1)" = evenhand:pad ] || fail "pad list"

# Another player is told whose pad it is, and does not get it.
hands '{"the head":"TERM"}' --port virtual --player bo && fail "TERM: success"
grep -q 'kept as played by "ada" only' "$work/hands.txt" || fail "the other player is not named"

# Into a file: an old one is replaced, and what it says besides stays.
printf '[notes]\nhead = 1\n[range]\ntop_velocity = 120\n[controls]\nnext = 3\n' >"$work/own.ini"
hands "{\"the head\":$(even 50),\"left hand\":$(even 60),\"again\":$(even 70),
    \"next\":$(even 71),\"stop\":$(even 72)}" --controls --port virtual "$work/own.ini" ||
    fail "pad make FILE ended with $?"
for line in 'name = own' 'head = 50' 'left = 60' 'right =' 'top_velocity = 120' 'again = 70' 'next = 71' \
    'stop = 72'; do
    grep -qx "$line" "$work/own.ini" || fail "no line '$line' in the file"
done
[ "$("$EVENHAND" pad list | wc -l)" = 3 ] || fail "the file was kept as well"
"$EVENHAND" pad keep "$work/own.ini" --port virtual >/dev/null || fail "pad keep"
"$EVENHAND" pad show | cmp - "$work/own.ini" || fail "what was kept is not the file"

# A performance on those notes.
"$EVENHAND" demo "$exercise" --exact --tempo 160 --bars 1-2 --save "$work/demo.mid" >/dev/null ||
    fail "no file"
$PYTHON - "$work" <<'P' || fail "no file on other notes"
import sys, mido
song = mido.MidiFile(f'{sys.argv[1]}/demo.mid')
for message in (m for track in song.tracks for m in track):
    if message.type in ('note_on', 'note_off'):
        message.note = 50
song.save(f'{sys.argv[1]}/played.mid')
P
$PYTHON "$HERE/jack_drummer.py" "$work/played.mid" "$(later)" >"$work/drummer.txt" 2>&1 &
wait_for_line ready "$work/drummer.txt"
"$EVENHAND" play "$exercise" --port virtual --tempo 160 --bars 1-2 --player ada --json \
    >"$work/live.json" 2>"$work/live.txt" </dev/null || fail "play ended with $?"
grep -q 'Judged by pad "evenhand:pad", not calibrated' "$work/live.txt" || fail "pad is not told"
"$EVENHAND" pad delete --player ada >/dev/null || fail "pad delete"
"$EVENHAND" judge "$exercise" run:1 --json >"$work/again.json" || fail "judge run:1"
cmp "$work/live.json" "$work/again.json" || fail "judged again it is not the same"
$PYTHON - "$work/live.json" <<'P' || fail "see above"
import json, sys
document = json.load(open(sys.argv[1]))
print(document['pad'], document['counts'])
assert document['counts']['matched'] == document['counts']['strokes'] > 20
P
