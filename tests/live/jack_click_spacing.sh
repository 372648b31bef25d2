#!/bin/bash
# Our click, recorded by jack_rec (jackd2) from our output: the distances are right to 1 ms at 40,
# 120 and 300 quarters a minute. jack_click_spacing.sh [SECONDS] (default 10; 60 is the long proof).
. "$(dirname "$0")/live_lib.sh"
need jack_rec
seconds=${1:-10}
record() { # BPM
    "$TOOLS/eh_click_probe" -b "$1" -s $((seconds + 3)) >"$work/$1.txt" &
    wait_for_line '^open' "$work/$1.txt"
}
files=() probes=()
for bpm in 40 120 300; do
    ports >"$work/before"
    record $bpm
    probes+=($!)
    port=$(ports | grep -vxFf "$work/before" | grep '^evenhand.*:out_0$' | tail -1)
    [ -n "$port" ] || fail "no output of ours for $bpm"
    jack_rec -f "$work/$bpm.wav" -d $((seconds + 2)) -b 16 -B 4000000 "$port" >"$work/rec$bpm.txt" 2>&1 &
    files+=("$bpm=$work/$bpm.wav")
done
for probe in "${probes[@]}"; do wait "$probe" || fail "a probe ended with $?"; done
wait
grep -h '^end' "$work"/*.txt
grep -hE 'late [1-9]' "$work"/*.txt && fail "beats came too late"
grep -h overruns "$work"/rec*.txt && fail "the recorder could not keep up"
$PYTHON "$HERE/click_spacing.py" "$seconds" "${files[@]}" || fail "the spacing is wrong"
