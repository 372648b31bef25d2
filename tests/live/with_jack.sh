#!/bin/bash
# Runs a command beside a JACK server of its own, without any sound card:
#
#     with_jack.sh [-p PERIOD] [-r RATE] COMMAND [ARGUMENT...]
#
# The server (dummy driver, synchronous, 48000 frames a second, period 480 unless asked otherwise)
# has a name nobody else uses; JACK_DEFAULT_SERVER leads the command and its children to it.
# EVENHAND_JACK_LOG names the server's log, EVENHAND_JACK_PID its process. The server and what is
# left of the command are gone when this script ends, whichever way it ends. Exit code: the
# command's; 77 when no server can be had here (CTest: skipped).
#
# Synchronous (-S): when the machine is late, time stretches, but nothing is lost or repeated.
# --port-max 128: jackd's shared memory fits into 64 MB. The name must not be a client's: a client
# named like the server removes the server's socket when it closes.
set -u

period=480 rate=48000
while getopts p:r: option; do
    case $option in
    p) period=$OPTARG ;;
    r) rate=$OPTARG ;;
    *) echo "usage: ${0##*/} [-p PERIOD] [-r RATE] COMMAND..." >&2; exit 2 ;;
    esac
done
shift $((OPTIND - 1))
[ $# -gt 0 ] || { echo "usage: ${0##*/} [-p PERIOD] [-r RATE] COMMAND..." >&2; exit 2; }
for tool in jackd jack_lsp setsid; do
    command -v $tool >/dev/null || { echo "${0##*/}: $tool is not installed" >&2; exit 77; }
done

folder=$(mktemp -d) jackd_pid='' command_pid=''
export JACK_NO_START_SERVER=1 JACK_NO_AUDIO_RESERVATION=1
export EVENHAND_JACK_LOG=$folder/jackd.log

stop() { # PID: end it gently, then for certain
    kill "$1" 2>/dev/null || return 0
    for _ in $(seq 100); do kill -0 "$1" 2>/dev/null || break; sleep 0.02; done
    kill -KILL "$1" 2>/dev/null
    wait "$1" 2>/dev/null
}
# shellcheck disable=SC2317  # reached through the trap
clean_up() {
    trap - EXIT INT TERM HUP
    [ -n "$command_pid" ] && kill -TERM -- "-$command_pid" 2>/dev/null
    [ -n "$jackd_pid" ] && stop "$jackd_pid"
    [ -n "$command_pid" ] && kill -KILL -- "-$command_pid" 2>/dev/null
    [ -n "${JACK_DEFAULT_SERVER:-}" ] && rm -f /dev/shm/jack*"$JACK_DEFAULT_SERVER"*
    rm -rf "$folder"
}
trap clean_up EXIT
trap 'exit 130' INT
trap 'exit 143' TERM HUP

start_server() { # true when a server accepts clients
    export JACK_DEFAULT_SERVER="srv_eh$$_$1"
    jackd -R -S --port-max 128 -n "$JACK_DEFAULT_SERVER" -d dummy -r "$rate" -p "$period" \
        >"$EVENHAND_JACK_LOG" 2>&1 &
    jackd_pid=$!
    for _ in $(seq 250); do
        jack_lsp >/dev/null 2>&1 && return 0
        kill -0 "$jackd_pid" 2>/dev/null || break
        sleep 0.02
    done
    stop "$jackd_pid"
    jackd_pid=''
    return 1
}

# At most eight servers run on one machine at a time: wait for a place.
for try in $(seq 30); do
    start_server "$try" && break
    sleep 1
done
if [ -z "$jackd_pid" ]; then
    echo "${0##*/}: no JACK server could be started:" >&2
    tail -5 "$EVENHAND_JACK_LOG" >&2
    exit 77
fi
export EVENHAND_JACK_PID=$jackd_pid

setsid "$@" <&0 &
command_pid=$!
wait "$command_pid"
code=$?
exit "$code"
