# shellcheck shell=bash
# For the tests beside a JACK server; to be sourced. TOOLS is where the probes are built.
set -u
TOOLS=${TOOLS:?where the probes are}
# shellcheck disable=SC2034 # for those who source this
HERE=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
PYTHON=/usr/bin/python3 # Debian's, which has Debian's JACK-Client
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

fail() {
    echo "FAILED: $*"
    tail -n 5 "$work"/*.txt 2>/dev/null
    exit 1
}

need() { # TOOL...: without them the test is skipped
    for tool; do
        command -v "$tool" >/dev/null || { echo "$tool is not installed"; exit 77; }
    done
}

ports() { # all ports; a busy server may refuse a client at first
    for _ in $(seq 20); do
        jack_lsp 2>/dev/null && return
        sleep 0.05
    done
}

wait_for_port() { # NAME
    for _ in $(seq 250); do
        ports | grep -qx "$1" && return 0
        sleep 0.02
    done
    fail "the port $1 did not come"
}

wait_for_line() { # PATTERN FILE
    for _ in $(seq 250); do
        grep -q "$1" "$2" 2>/dev/null && return 0
        sleep 0.02
    done
    fail "'$1' did not appear in $(basename "$2")"
}

monotonic_ns() {
    $PYTHON -c 'import time; print(time.clock_gettime_ns(time.CLOCK_MONOTONIC))'
}

field() { # NAME LINE: the word after NAME
    awk -v name="$1" '{ for (i = 1; i < NF; i++) if ($i == name) { print $(i + 1); exit } }' <<<"$2"
}
