#!/bin/bash
# Notes of jack_midiseq (jackd2), 2401 frames apart and so at every place in the period, are timed
# to the frame whatever the period is.
. "$(dirname "$0")/live_lib.sh"
need jack_midiseq jack_connect
jack_midiseq seq 2401 0 60 1200 >/dev/null 2>&1 &
wait_for_port seq:out
"$TOOLS/eh_midi_probe" -s 6 seq:out >"$work/hits.txt" || fail "the probe ended with $?"
$PYTHON - "$work/hits.txt" <<'P' || fail "see above"
import sys
lines = open(sys.argv[1]).read().splitlines()
at = [int(l.split()[1]) for l in lines if l.startswith('hit ')]
step = 2401 / 48000 * 1e3
wrong = sorted(abs((b - a) / 1e6 - step) for a, b in zip(at[3:], at[4:]))
print([l for l in lines if l.startswith('end')][0])
print(f'{len(at)} hits, distance wrong by {wrong[len(wrong) // 2]:.3f} ms (median), '
      f'{wrong[len(wrong) * 95 // 100]:.3f} (95 of 100), {wrong[-1]:.3f} (most)')
assert len(at) > 100 and wrong[len(wrong) // 2] <= 0.1 and wrong[len(wrong) * 95 // 100] <= 0.5
assert any('resolution_ns 500000 ' in l for l in lines)
P
