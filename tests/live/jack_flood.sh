#!/bin/bash
# A flood of 1,000 notes a second for 10 s from jack_midiseq (jackd2), which sends notes numbered 0
# to 99 round and round, each at its exact frame: every one arrives, in order, none is dropped, and
# each is timed to the frame.
. "$(dirname "$0")/live_lib.sh"
need jack_midiseq jack_connect
notes=()
for i in $(seq 0 99); do notes+=($((i * 48)) "$i" 24); done
jack_midiseq flood 4801 "${notes[@]}" >/dev/null 2>&1 &
"$TOOLS/eh_midi_probe" -s 14 -n 10000 virtual >"$work/hits.txt" &
probe=$!
wait_for_port evenhand:pad
wait_for_port flood:out
jack_connect flood:out evenhand:pad
wait $probe || fail "the probe ended with $?"
$PYTHON - "$work/hits.txt" <<'P' || fail "see above"
import sys
lines = open(sys.argv[1]).read().splitlines()
hits = [tuple(map(int, l.split()[1:])) for l in lines if l.startswith('hit ')]
end = [l for l in lines if l.startswith('end ')][0]
print(end)
gaps = sum((b[1] - a[1]) % 100 != 1 for a, b in zip(hits, hits[1:]))
seconds = (hits[-1][0] - hits[0][0]) / 1e9
# The loop is one frame longer than its notes: 48 frames from note to note, 49 from 99 to 0.
wrong = sorted(abs(b[0] - a[0] - (48 + (b[1] == 0)) / 48000 * 1e9) / 1e6
               for a, b in zip(hits[20:], hits[21:]))
print(f'{len(hits)} hits in {seconds:.3f} s, {gaps} gaps, distance wrong by '
      f'{wrong[len(wrong) // 2]:.4f} ms (median), {wrong[len(wrong) * 99 // 100]:.4f} (99 of 100)')
received = int(end.split('received ')[1].split()[0])
assert ' dropped 0 ' in end and gaps == 0 and 10000 <= len(hits) <= received
assert received - len(hits) < 200  # sent while the probe was ending
assert wrong[len(wrong) * 95 // 100] < 0.3
P
echo "every note arrived"
