#!/bin/bash
# Runs a command beside a JACK server of its own, without any sound card:
#
#     with_jack.sh [-p PERIOD] [-r RATE] [-t TRIES] COMMAND [ARGUMENT...]
#
# The server (dummy driver, synchronous, 48000 frames a second, period 480 unless asked otherwise)
# has a name nobody else uses now; JACK_DEFAULT_SERVER leads the command and its children to it.
# EVENHAND_JACK_LOG names the server's log, EVENHAND_JACK_PID its process. The server and what is
# left of the command are gone when this script ends, whichever way it ends. Exit code: the
# command's; 77 when no server can be had here (CTest: skipped).
#
# Synchronous (-S): when the machine is late, time stretches, but nothing is lost or repeated.
# -t, for tests that measure time: a command that fails while the server reports that the machine
# was late (an xrun) is tried again, on a new server, after a rest that grows; a failure without that
# counts at once. When every try was late nothing was measured, and the exit code is 77.
#
# --port-max 128: jackd's shared memory fits into 64 MB. The name must not be a client's: a client
# named like the server removes the server's socket when it closes. A machine has eight places for
# servers, and the place of a killed one is only given back to a server of the same name: hence a
# fixed set of names, each locked while it is used.
set -u

period=480 rate=48000 tries=1
usage="usage: ${0##*/} [-p PERIOD] [-r RATE] [-t TRIES] COMMAND..."
while getopts p:r:t: option; do
    case $option in
    p) period=$OPTARG ;;
    r) rate=$OPTARG ;;
    t) tries=$OPTARG ;;
    *) echo "$usage" >&2; exit 2 ;;
    esac
done
shift $((OPTIND - 1))
[ $# -gt 0 ] || { echo "$usage" >&2; exit 2; }
for tool in jackd jack_lsp setsid flock; do
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
    # A server that was killed leaves 41 MB of shared memory; one of the same name sweeps it up.
    [ -n "$jackd_pid" ] && ! kill -0 "$jackd_pid" 2>/dev/null && start_server
    [ -n "$jackd_pid" ] && stop "$jackd_pid"
    [ -n "$command_pid" ] && kill -KILL -- "-$command_pid" 2>/dev/null
    rm -rf "$folder" /dev/shm/jack_sem.*_"${JACK_DEFAULT_SERVER:-none}"_*
}
trap clean_up EXIT
trap 'exit 130' INT
trap 'exit 143' TERM HUP

take_name() { # true when a name could be locked
    local locks number
    locks=${TMPDIR:-/tmp}/evenhand-jack-$(id -u)
    mkdir -p "$locks"
    for number in 1 2 3 4 5 6; do
        exec 9>"$locks/$number"
        flock -n 9 && { export JACK_DEFAULT_SERVER=srv_evenhand_test_$number; return 0; }
    done
    return 1
}

start_server() { # true when the server accepts clients
    jackd -R -S --port-max 128 -n "$JACK_DEFAULT_SERVER" -d dummy -r "$rate" -p "$period" \
        >"$EVENHAND_JACK_LOG" 2>&1 9>&- &
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

get_server() {
    for _ in $(seq 60); do
        take_name && start_server && return
        sleep 1
    done
    echo "${0##*/}: no JACK server could be started:" >&2
    tail -5 "$EVENHAND_JACK_LOG" >&2
    exit 77
}

run_command() { # its exit code
    export EVENHAND_JACK_PID=$jackd_pid
    setsid "$@" <&0 9>&- &
    command_pid=$!
    wait "$command_pid"
}

late() { # whether the server says that the machine was late
    grep -q XRun "$EVENHAND_JACK_LOG"
}

get_server
run_command "$@"
code=$? rest=0 asked=$tries
while [ $code -ne 0 ] && [ $code -ne 77 ] && [ $((--tries)) -gt 0 ] && late; do
    rest=$((rest + 2))
    echo "${0##*/}: the machine was late $(grep -c XRun "$EVENHAND_JACK_LOG") times;" \
        "once more in $rest s"
    kill -TERM -- "-$command_pid" 2>/dev/null
    stop "$jackd_pid"
    jackd_pid=''
    sleep $rest
    get_server
    run_command "$@"
    code=$?
done
if [ $code -ne 0 ] && [ "$asked" -gt 1 ] && [ "$tries" -eq 0 ] && late; then
    echo "${0##*/}: not measured: the machine was late in each of $asked tries (code $code)"
    exit 77
fi
exit "$code"
