#!/bin/bash
# The reminders of a practice at a pad: the day's comes with the first run of a day and of a player,
# and not again; the break's after 25 minutes without a pause of five, which the history's own entry
# is made to say. What is shown goes where the rest does not disturb it.
. "$(dirname "$0")/jack_lib.sh"
printf 'title: one\ntempo: 240 to 240\nmetre: 2/4\n\n| 4:RL |\n' >"$work/one.txt"

run() { # FILE OPTION ...: one bar with a stroke in it
    local file=$1
    shift
    $PYTHON "$HERE/jack_controls.py" "$EVENHAND" "$(later)" '[[[38, 90, 500]]]' play \
        "$work/one.txt" --port virtual "$@" >"$work/$file.txt" 2>&1 </dev/null || fail "run $file"
    grep -q 'Kept as run' "$work/$file.txt" || fail "run $file: not kept"
}
shown() { # FILE DAY BREAK: how often
    [ "$(grep -c '^Before you play$' "$work/$1.txt")" = "$2" ] || fail "$1: the day's"
    [ "$(grep -c '^Time for a break$' "$work/$1.txt")" = "$3" ] || fail "$1: the break's"
    awk 'length > 80 { exit 1 }' "$work/$1.txt" || fail "$1: too wide"
}
kept() { # SQL
    $PYTHON - "$XDG_DATA_HOME/evenhand/history.db" "$1" <<'P' || fail "the history"
import sqlite3, sys
store = sqlite3.connect(sys.argv[1])
store.execute(sys.argv[2])
store.commit()
P
}
ago() { # DAY SECONDS: the session began so long ago
    local now
    now=$(date +%s)
    kept "UPDATE kept SET value = 'day $1 since $((now - $2)) last $now told $((now - $2))' \
        WHERE name = 'care'"
}
export TZ=UTC
run first
shown first 1 0
today=$(($(date +%s) / 86400))
run second
shown second $(($(date +%s) / 86400 > today)) 0
ago "$(($(date +%s) / 86400))" 1620
run long
shown long 0 1
grep -q '^27 minutes' "$work/long.txt" || fail "how long"
run other --player ada
shown other 1 0
echo passed
