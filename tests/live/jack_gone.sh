#!/bin/bash
# What goes away is noticed within two seconds, by input, output and click, and the program ends.
. "$(dirname "$0")/live_lib.sh"
need jack_midiseq jack_disconnect

sender() {
    jack_midiseq seq 24000 0 60 1200 >/dev/null 2>&1 &
    sender=$!
    wait_for_port seq:out
}

noticed() { # WHAT FILE CODE EXPECTED SINCE_NS: within 2 s, all closed, the right exit code
    local end at ms
    end=$(grep '^end' "$2") || fail "$1: nothing was noticed"
    at=$(field at "$end")
    ms=$(((at - $5) / 1000000))
    [ "$3" = "$4" ] || fail "$1: exit code $3, not $4"
    grep -q '^closed' "$2" || fail "$1: was not closed"
    echo "$1: noticed after $ms ms, $(grep '^closed' "$2")"
    [ $ms -le 2000 ] || fail "$1: noticed too late"
}

pad_case() { # WHAT COMMAND...: the port goes by that command
    local what=$1 since code
    shift
    "$TOOLS/eh_midi_probe" -q -s 20 seq:out >"$work/pad.txt" &
    local probe=$!
    wait_for_line '^open' "$work/pad.txt"
    sleep 0.7
    since=$(monotonic_ns)
    "$@"
    wait $probe
    code=$?
    grep -Eq '^end .* hits [1-9]' "$work/pad.txt" || fail "$what: nothing was heard before"
    noticed "$what" "$work/pad.txt" $code 3 "$since"
}

sender
pad_case "connection taken away" jack_disconnect seq:out evenhand:pad
pad_case "sending program ended" kill $sender
sender
pad_case "sending program killed" kill -KILL $sender
sender

server_case() { # SIGNAL
    local since code name pids=() i=0
    "$TOOLS/eh_midi_probe" -q -s 20 seq:out >"$work/port.txt" &
    pids+=($!)
    wait_for_line '^open' "$work/port.txt"
    "$TOOLS/eh_midi_probe" -q -s 20 virtual >"$work/virtual.txt" &
    pids+=($!)
    "$TOOLS/eh_midi_out_probe" -s 20 >"$work/out.txt" &
    pids+=($!)
    "$TOOLS/eh_click_probe" -q -s 20 >"$work/click.txt" &
    pids+=($!)
    for name in port virtual out click; do wait_for_line '^open' "$work/$name.txt"; done
    sleep 1
    since=$(monotonic_ns)
    kill -"$1" "$EVENHAND_JACK_PID"
    for name in port virtual out click; do
        wait "${pids[i++]}"
        code=$?
        noticed "server ended by $1, $name" "$work/$name.txt" $code 4 "$since"
    done
}
server_case "$1"
