#!/bin/bash
# With notes coming in and a click going out, none of our callbacks allocates, locks, waits or
# writes; a planted call is found.
. "$(dirname "$0")/live_lib.sh"
need jack_midiseq jack_connect
jack_midiseq seq 480 0 60 100 120 61 100 240 62 100 >/dev/null 2>&1 &
wait_for_port seq:out
run() { # ARGUMENT...
    "$TOOLS/eh_rt_probe" "$@" >"$work/out.txt" 2>"$work/err.txt" &
    local probe=$!
    wait_for_port evenhand:pad
    jack_connect seq:out evenhand:pad
    wait $probe
}
run -s 4 || fail "see above"
cat "$work/out.txt"
[ -s "$work/err.txt" ] && fail "somebody wrote to standard error"
grep -Eq '^hits [1-9][0-9]{2}' "$work/out.txt" || fail "too few hits"
for plant in malloc strdup lock write; do
    run -s 1 -x $plant && fail "a planted $plant was not found"
    grep -Eq 'forbidden calls [1-9]' "$work/out.txt" || fail "a planted $plant was not counted"
done
echo "planted calls were found"
