#!/bin/bash
# The click of `evenhand pulse`, recorded by jack_rec (jackd2) from our output: silent bars are
# silent, and every other click is where it would be without them, to the sample. What is kept of
# the click is what sounded, and judged again the run says the same.
. "$(dirname "$0")/jack_lib.sh"
command -v jack_rec >/dev/null || { echo "jack_rec is not installed"; exit 77; }
"$EVENHAND" pulse single-strokes --silent 2,4-5 --bars 1-7 --tempo 240 --demo=own-tempo:2 --json \
    >"$work/live.json" 2>"$work/live.txt" </dev/null &
pulse=$!
for _ in $(seq 500); do
    port=$(jack_lsp 2>/dev/null | grep '^evenhand.*:out_0$' | tail -1)
    [ -n "$port" ] && break
    sleep 0.01
done
[ -n "$port" ] || fail "no output of ours"
# It ends before our output goes: without a port to record from it would wait for ever.
timeout 30 jack_rec -f "$work/click.wav" -d 8 -b 16 -B 4000000 "$port" >"$work/rec.txt" 2>&1 &
recorder=$!
wait $recorder || fail "the recorder ended with $?"
wait $pulse || fail "pulse ended with $?"
grep -h overruns "$work/rec.txt" && fail "the recorder could not keep up"
"$EVENHAND" judge single-strokes run:1 --json >"$work/again.json" || fail "judge run:1"
cmp "$work/live.json" "$work/again.json" || fail "judged again it is not the same"
$PYTHON -B - "$HERE/../live" "$work" "$XDG_DATA_HOME/evenhand/history.db" <<'P' || fail "see above"
import json, sqlite3, sys
from importlib import util
spec = util.spec_from_file_location('click_spacing', f'{sys.argv[1]}/click_spacing.py')
source = open(spec.origin).read().replace('\nsys.exit(main())\n', '\n')
module = util.module_from_spec(spec)
exec(compile(source, spec.origin, 'exec'), module.__dict__)
found, rate = module.onsets(f'{sys.argv[2]}/click.wav')
step = rate // 4  # a beat at 240
# Beats from the first of the count-in: that, bars 1, 3, 6 and 7. The recorder may come too late for
# some of the count-in, and ends in the last bar.
wanted = [*range(0, 8), *range(12, 16), *range(24, 32)]
for lost in range(4):
    beats = [(frame - found[0]) / step + wanted[lost] for frame in found]
    if [round(b) for b in beats] == wanted[lost:lost + len(beats)]:
        break
else:
    sys.exit(f'which beats sounded: {beats}')
print('beats', [round(b, 4) for b in beats])
assert round(beats[-1]) >= 28, 'the click came back after bars 4 and 5'
# Beat one sounds otherwise than the rest, and leaves silence at another sample.
for ones in (True, False):
    frames = [(round(b), f) for b, f in zip(beats, found) if (round(b) % 4 == 0) == ones]
    off = [f - frames[0][1] - (b - frames[0][0]) * step for b, f in frames]
    print('beat one' if ones else 'the others', 'samples off:', off)
    assert not any(off)
kept = sqlite3.connect(sys.argv[3]).execute('SELECT silent_bars FROM run').fetchall()
assert kept == [('2,4-5',)], kept
pulse = json.load(open(f'{sys.argv[2]}/live.json'))['pulse']
assert [s['bars'] for s in pulse['stretches']] == [[2, 2], [4, 5]]
# 2 % faster over two bars of a second each: 2000 / 1.02 - 2000 = -39.2 ms.
assert abs(pulse['stretches'][1]['drift_ms']['value'] + 39.2) < 30, pulse
P
