#!/bin/bash
# The pad's port vanishes, or the JACK server dies, in the middle of a run: it is said within two
# seconds, and what was played is kept and judged. jack_gone.sh port|server [OPTION OF PLAY...]
. "$(dirname "$0")/jack_lib.sh"
what=$1
shift
case $what in
port) drummer=drummer:stick ;;
server) drummer=virtual ;;
esac
"$EVENHAND" demo double-strokes --tempo 160 --save "$work/played.mid" >/dev/null || fail "no file"
when=$(later)
case $* in *count-off*) when=now ;; esac
$PYTHON "$HERE/jack_drummer.py" "$work/played.mid" "$when" >"$work/drummer.txt" 2>&1 &
player=$!
wait_for_line ready "$work/drummer.txt"
"$EVENHAND" play double-strokes --port $drummer --tempo 160 --json "$@" \
    >"$work/live.json" 2>"$work/live.txt" </dev/null &
program=$!
wait_for_line '^Bar 3' "$work/live.txt"
since=$(monotonic_ms)
case $what in
port) kill -KILL $player ;;
server) kill -KILL "$EVENHAND_JACK_PID" ;;
esac
wait_for_line 'what was played is kept' "$work/live.txt"
said=$(($(monotonic_ms) - since))
wait $program
code=$?
ended=$(($(monotonic_ms) - since))
echo "said after $said ms, ended after $ended ms with exit code $code"
[ $said -le 2000 ] || fail "said too late"
[ $code = 0 ] || fail "exit code $code"
[ $ended -le 6000 ] || fail "ended too late"
"$EVENHAND" judge double-strokes run:1 --json >"$work/again.json" || fail "judge run:1"
cmp "$work/live.json" "$work/again.json" || fail "judged again it is not the same"
"$EVENHAND" history | grep -q double-strokes || fail "not in the history"
$PYTHON - "$work" <<'P' || fail "see above"
import json, sys
counts = json.load(open(f'{sys.argv[1]}/live.json'))['counts']
print(counts)
assert counts['matched'] >= 20 and counts['missed'] <= 1, counts
P
