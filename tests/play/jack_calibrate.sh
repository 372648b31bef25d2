#!/bin/bash
# A calibration that someone else's player plays into our port, to our click, 20 ms late: the levels
# that were played and the delay are found, the pad is kept for the port, and a run on that port is
# judged by it. A server that is late (an xrun) moves click and player apart by more than a person's
# scatter: the delay is then only looked at roughly. jack_calibrate.sh TAPS BPM
. "$(dirname "$0")/jack_lib.sh"
taps=$1 bpm=$2 late_frames=960
$PYTHON "$HERE/make_course.py" "$work/course.mid" "$bpm" "$taps" >"$work/medians" || fail "no file"
$PYTHON "$HERE/jack_drummer.py" "$work/course.mid" $(($(later) + late_frames)) \
    >"$work/drummer.txt" 2>&1 &
wait_for_line ready "$work/drummer.txt"
"$EVENHAND" calibrate --port virtual --player Ann --tempo "$bpm" --taps "$taps" \
    --save-pad "$work/pad.ini" --save-taps "$work/taps.mid" \
    >"$work/calibrate.txt" 2>&1 </dev/null || fail "calibrate ended with $?"
cat "$work/calibrate.txt"
grep -q "^Kept for evenhand:pad, as played by Ann" "$work/calibrate.txt" || fail "not kept"
"$EVENHAND" calibrate --take "$work/taps.mid" --taps "$taps" >"$work/again.txt" || fail "again"
xruns=$(grep -c 'Process XRun' "$EVENHAND_JACK_LOG")
$PYTHON - "$work" "$xruns" <<'P' || fail "see above"
import re, sys
work, xruns = sys.argv[1], int(sys.argv[2])
played = [float(line) for line in open(f'{work}/medians')]
text = open(f'{work}/calibrate.txt').read()
found = {m[1]: float(m[2]) for m in
         re.finditer(r'^ (pp|p|mp|mf|f|ff) +[\d.]+ +\d+/\d+ +([\d.]+)', text, re.M)}
for mark, velocity in zip(('pp', 'p', 'mp', 'mf', 'f', 'ff'), played):
    assert abs(found[mark] - velocity) <= 0.5, (mark, found[mark], velocity)
delay = float(re.search(r'click_to_hit_ms = ([\d.-]+)', open(f'{work}/pad.ini').read())[1])
print('medians as played; delay', delay, 'ms;', xruns, 'xruns')
assert abs(delay - 20) < (15 if xruns else 4), delay
# The same from the saved taps. A file's times are whole ticks: 0.1 dB of the
# mask, as it is printed, may come of that.
def table(text):
    return text[text.index('Dynamic\n'):text.index('  Mask')]
def mask(text):
    found = re.search(r'  Mask .*? reported from (-[\d.]+) dB', text, re.S)
    return float(found[1]) if found else None
again = open(f'{work}/again.txt').read()
assert table(text) == table(again), 'the saved taps say something else'
assert (mask(text) is None) == (mask(again) is None), 'the saved taps say something else of the mask'
assert mask(text) is None or abs(mask(text) - mask(again)) <= 0.11, (mask(text), mask(again))
P
# A run on that port, by that player, goes by the pad.
"$EVENHAND" demo "$HERE/doubles-and-accents.txt" --save "$work/played.mid" --tempo 160 --bars 1-2 \
    >/dev/null || fail "no file"
$PYTHON "$HERE/jack_drummer.py" "$work/played.mid" "$(later)" >"$work/drummer2.txt" 2>&1 &
wait_for_line ready "$work/drummer2.txt"
"$EVENHAND" play "$HERE/doubles-and-accents.txt" --port virtual --player Ann --tempo 160 \
    --bars 1-2 --json >"$work/run.json" 2>"$work/run.txt" </dev/null || fail "play ended with $?"
grep -q '"level_map": "calibrated"' "$work/run.json" || fail "the run does not go by the pad"
