#!/bin/bash
# A player of another make (JACK-Client) that hits exactly when it hears our click is measured at
# 0 ms: predicted clicks and stamped hits are on one clock. Clicks stand at every place in the
# period, so stamps worth only a period (here 10 ms) would show: their middle half were 5 ms wide.
# The middle half, since a machine that is late once displaces the hits of the next second.
. "$(dirname "$0")/live_lib.sh"
need jack_connect
$PYTHON -c 'import jack' 2>/dev/null || { echo "python3-jack-client is not installed"; exit 77; }
# It hears what sounds at the playback port: by the port's latency later than we render it.
later=$(jack_lsp -l system:playback_1 | sed -n 's/.*playback latency = \[ *\([0-9]*\).*/\1/p')
$PYTHON "$HERE/jack_player.py" "$later" 2>"$work/player.txt" &
wait_for_port player:stick
"$TOOLS/eh_midi_probe" -s 12 player:stick >"$work/hits.txt" &
midi=$!
wait_for_line '^open' "$work/hits.txt"
"$TOOLS/eh_click_probe" -b 137 -S 2 -s 9 >"$work/clicks.txt" &
click=$!
wait_for_line '^open' "$work/clicks.txt"
port=$(ports | grep '^evenhand.*:out_0$') || fail "no output of ours"
jack_connect "$port" player:ear || fail "the player cannot hear $port"
wait $click || fail "the click ended with $?"
kill $midi 2>/dev/null
$PYTHON - "$work" <<'P' || fail "see above"
import os
import sys
def rows(name, key):
    return [l.split() for l in open(f'{sys.argv[1]}/{name}.txt') if l.startswith(key)]
clicks = [int(r[3]) for r in rows('clicks', 'click')]
hits = [int(r[1]) for r in rows('hits', 'hit')]
offsets = []
for hit in hits:
    nearest = min(clicks, key=lambda c: abs(c - hit))
    offsets.append((hit - nearest) / 1e6)
offsets.sort()
median = offsets[len(offsets) // 2]
def wide(share):
    left_out = int(len(offsets) * (1 - share) / 2)
    return offsets[len(offsets) - 1 - left_out] - offsets[left_out]
print(f'{len(clicks)} clicks, {len(hits)} hits; hit less click: median {median:+.3f} ms, '
      f'{offsets[0]:+.3f} to {offsets[-1]:+.3f}, middle half {wide(0.5):.3f} wide, 80 % {wide(0.8):.3f}')
zero = int(open(f'{sys.argv[1]}/clicks.txt').readline().split('zero_ns ')[1].split()[0])
print(f'the first click sounded {(clicks[0] - zero) / 1e6:+.3f} ms from where it was foretold')
assert abs(clicks[0] - zero) <= 500000
assert len(hits) >= len(clicks) - 2 and len(clicks) >= 40
assert abs(median) <= 0.5 and wide(0.5) <= 1.0
# On a machine that was never late, four in five.
assert 'XRun' in open(os.environ['EVENHAND_JACK_LOG']).read() or wide(0.8) <= 1.0
P
