#!/bin/bash
# Without a JACK server (and, in a container, without ALSA) each program says in one line what is
# missing and what to do, and nothing else.
. "$(dirname "$0")/live_lib.sh"
[ -e /dev/snd ] && { echo "this machine has sound"; exit 77; }
export JACK_DEFAULT_SERVER=srv_nobody_$$ JACK_NO_START_SERVER=1

says() { # PATTERN COMMAND...
    local pattern=$1 code
    shift
    "$@" >"$work/out.txt" 2>"$work/err.txt"
    code=$?
    [ $code -eq 1 ] || fail "$*: exit code $code"
    [ "$(wc -l <"$work/err.txt")" -eq 1 ] || fail "$*: not one line"
    [ -s "$work/out.txt" ] && fail "$*: wrote to standard output"
    grep -q "$pattern" "$work/err.txt" || fail "$*: says something else"
}
no_midi='no MIDI here: .*plug the pad in.*start a JACK server'
says "$no_midi" "$TOOLS/eh_midi_probe"
says "$no_midi" "$TOOLS/eh_midi_probe" virtual
says "$no_midi" "$TOOLS/eh_midi_probe" 1
says "$no_midi" "$TOOLS/eh_midi_probe" some-pad
says "$no_midi" "$TOOLS/eh_midi_out_probe"
says 'no sound here: .*practise with the beat shown' "$TOOLS/eh_click_probe"
says 'no sound here' "$TOOLS/eh_click_probe" -d 3
for list in eh_midi_probe eh_click_probe; do
    "$TOOLS/$list" -l >"$work/out.txt" 2>&1 || fail "$list -l"
    [ -s "$work/out.txt" ] && fail "$list -l says something"
done
echo "clear words everywhere"
