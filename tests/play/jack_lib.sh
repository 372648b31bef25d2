# shellcheck shell=bash
# For the tests that play beside a JACK server; to be sourced. EVENHAND is the program.
set -u
EVENHAND=${EVENHAND:?which program}
HERE=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
PYTHON=/usr/bin/python3 # Debian's, which has Debian's JACK-Client and mido
work=$(mktemp -d)
export XDG_DATA_HOME=$work/data
trap 'rm -rf "$work"' EXIT
$PYTHON -c 'import jack, mido' 2>/dev/null ||
    { echo "python3-jack-client or python3-mido is not installed"; exit 77; }

fail() {
    echo "FAILED: $*"
    tail -n 8 "$work"/*.txt 2>/dev/null
    exit 1
}

# What sounds at the playback port does so by the port's latency later than it is rendered.
later() {
    jack_lsp -l system:playback_1 | sed -n 's/.*playback latency = \[ *\([0-9]*\).*/\1/p'
}

wait_for_line() { # PATTERN FILE
    for _ in $(seq 500); do
        grep -q "$1" "$2" 2>/dev/null && return 0
        sleep 0.02
    done
    fail "'$1' did not appear in $(basename "$2")"
}

monotonic_ms() {
    $PYTHON -c 'import time; print(time.clock_gettime_ns(time.CLOCK_MONOTONIC) // 1000000)'
}
