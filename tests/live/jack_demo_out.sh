#!/bin/bash
# Hits sent out of our MIDI port are what others receive: jack_midi_dump (jackd2) writes them down.
. "$(dirname "$0")/live_lib.sh"
need jack_midi_dump jack_connect
jack_midi_dump >"$work/dump.txt" 2>&1 &
dump=$!
wait_for_port midi-monitor:input
"$TOOLS/eh_midi_out_probe" -s 3 -i 5 midi-monitor >"$work/out.txt" || fail "the sender ended with $?"
grep -q '^open midi-monitor:input$' "$work/out.txt" || fail "connected to something else"
sleep 0.3
kill $dump
wait $dump 2>/dev/null
$PYTHON - "$work" <<'P' || fail "see above"
import re, sys
sent = int(re.search(r'sent (\d+)', open(sys.argv[1] + '/out.txt').read()).group(1))
row = [[int(b, 16) for b in m.group(1).split()]
       for m in re.finditer(r':\s+((?:[0-9a-f]{2} )+)', open(sys.argv[1] + '/dump.txt').read())]
wanted = []
for n in range(sent):
    if n:
        wanted.append([0x89, (n - 1) % 100, 64])
    if n % 128:  # MIDI CA-031: the seven low bits, before the note
        wanted.append([0xB9, 88, n % 128])
    wanted.append([0x99, n % 100, 1 + n % 127])
wanted.append([0x89, (sent - 1) % 100, 64])
print(sent, 'hits sent,', len(row), 'messages received')
assert sent > 200 and row == wanted, next(((i, a, b) for i, (a, b) in enumerate(zip(row, wanted)) if a != b), (len(row), len(wanted)))
P
echo "what was sent arrived"
