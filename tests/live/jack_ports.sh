#!/bin/bash
# Choosing a port among jack_midiseq's: the only one unasked, by number, by part of the name; what
# does not fit is listed.
. "$(dirname "$0")/live_lib.sh"
need jack_midiseq
probe="$TOOLS/eh_midi_probe"

opens() { # NAME ARGUMENT...
    local name=$1
    shift
    "$probe" -q -s 0.1 "$@" >"$work/out.txt" 2>"$work/err.txt" || fail "'$*' does not open"
    grep -qx "open $name" "$work/out.txt" || fail "'$*' opens something else than $name"
    [ -s "$work/err.txt" ] && fail "'$*' complains"
}
refuses() { # PATTERN ARGUMENT...
    local pattern=$1
    shift
    "$probe" -q -s 0.1 "$@" >"$work/out.txt" 2>"$work/err.txt" && fail "'$*' opens something"
    grep -q "$pattern" "$work/err.txt" || fail "'$*' says something else"
    [ "$(wc -l <"$work/err.txt")" -eq 1 ] || fail "'$*' says more than a line"
}
refuses "no MIDI port is there to play on.*--port virtual"
opens evenhand:pad virtual
jack_midiseq kitchen 24000 0 60 1200 >/dev/null 2>&1 &
wait_for_port kitchen:out
opens kitchen:out
opens kitchen:out ""
"$TOOLS/eh_midi_out_probe" -s 30 >"$work/demo.txt" &
wait_for_port evenhand:demo
opens kitchen:out # our own output is not a pad
opens evenhand:demo demo
jack_midiseq attic 24000 0 60 1200 >/dev/null 2>&1 &
wait_for_port attic:out
"$probe" -l | cut -f 1-3 >"$work/list.txt"
printf '1\tJACK\tkitchen:out\n2\tJACK\tevenhand:demo\n3\tJACK\tattic:out\n' |
    diff - "$work/list.txt" || fail "the list is wrong"
opens attic:out 3
opens attic:out ATTIC
opens kitchen:out kitch
refuses "several MIDI ports are here: 1 'kitchen:out', 3 'attic:out'; choose one with --port"
refuses "'out' fits several MIDI ports: 1 'kitchen:out', 3 'attic:out'" out
refuses "did you mean 'kitchen:out'" kitcehn
refuses "no MIDI port is called '4'" 4
echo "each port was found as asked"
