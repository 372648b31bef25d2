#!/usr/bin/env python3
"""Holds the MIDI file reader and writer against two independent ones: python3-mido and midicsv /
csvmidi (both Debian packages).

    outside_readers.py DUMP_TAKE [FILES] [SEED]

Random performances are written by mido and by csvmidi and read by us; what we write is read by mido
and midicsv. Times are compared with exact fractions: sum of ticks times microseconds to the quarter
over the division (Standard MIDI Files 1.0)."""

import os
import random
import subprocess
import sys
import tempfile
from fractions import Fraction

try:
    import mido
except ImportError:
    sys.exit("python3-mido is missing: apt-get install python3-mido")

QUARTER = 20160  # our ticks
DIVISIONS = [1, 24, 96, 120, 384, 480, 960, 1000, 9600, 15360, 20160, 32767]


def random_events(rng, division, tracks):
    """Rows (tick, track, kind, values), each track in order of ticks."""
    rows = []
    for track in range(tracks):
        tick = 0
        for _ in range(rng.randint(20, 400 // tracks)):
            tick += rng.choice([0, 0, 1, rng.randint(0, division), rng.randint(0, 4 * division)])
            kind = rng.choices(["note", "fine", "off", "tempo", "metre", "other"],
                               [60, 10, 20, 4, 2 if track == 0 else 0, 8])[0]
            if kind == "note":
                values = (rng.choice([9, 9, 9, rng.randint(0, 15)]), rng.choice([37, 38, 40, rng.randint(0, 127)]),
                          rng.randint(0, 127))
            elif kind == "fine":
                values = (rng.choice([9, 9, 9, rng.randint(0, 15)]), rng.randint(0, 127))
            elif kind == "off":
                values = (rng.choice([9, rng.randint(0, 15)]), rng.randint(0, 127))
            elif kind == "tempo":
                values = (rng.choice([rng.randint(150000, 3000000), rng.randint(1000, 0xFFFFFF)]),)
            elif kind == "metre":
                values = (rng.randint(1, 15), rng.choice([2, 4, 8, 16]))
            else:
                values = (rng.randint(0, 15), rng.randint(0, 87), rng.randint(0, 127))
            rows.append((tick, track, kind, values))
    return rows


def by_tick(rows):
    return sorted(rows, key=lambda row: (row[0], row[1]))  # stable: then order in the file


class Clock:
    """Exact time in nanoseconds; ticks must not fall."""

    def __init__(self, division):
        self.division, self.quarter_us, self.tick, self.ns = division, 500000, 0, Fraction(0)

    def at(self, tick):
        self.ns += Fraction((tick - self.tick) * self.quarter_us * 1000, self.division)
        self.tick = tick
        return self.ns


def fine_velocities(rows):
    """(tick, track, channel, note, 16-bit velocity) of every stroke; controller 88 by CA-031."""
    waiting, strokes = {}, []
    for tick, track, kind, values in rows:
        channel = (track, values[0])
        if kind == "fine":
            waiting[channel] = values[1]
        elif kind in ("note", "off"):
            low = waiting.pop(channel, 0)
            if kind == "note" and values[2] > 0:
                strokes.append((tick, track, values[0], values[1], values[2] * 512 + low * 4))
    return strokes


def expected_take(rows, division):
    hits, tempos, clock = [], [], Clock(division)
    merged = [(tick, track, "tempo", values) for tick, track, kind, values in rows if kind == "tempo"]
    merged += [(tick, track, "hit", values) for tick, track, *values in fine_velocities(rows)]
    merged.sort(key=lambda row: (row[0], row[2] != "tempo", row[1]))
    for tick, _, kind, values in merged:
        ns = clock.at(tick)
        if kind == "tempo":
            clock.quarter_us = values[0]
            tempos.append((Fraction(tick * QUARTER, division), ns, values[0] * 1000))
        else:
            hits.append((ns, *values))
    return hits, tempos


def write_with_mido(rows, division, tracks, path):
    file = mido.MidiFile(type=0 if tracks == 1 else 1, ticks_per_beat=division)
    for number in range(tracks):
        track, last = mido.MidiTrack(), 0
        for tick, _, kind, values in [row for row in rows if row[1] == number]:
            track.append(mido_message(kind, values, tick - last))
            last = tick
        file.tracks.append(track)
    file.save(path)


def mido_message(kind, values, time):
    if kind == "note":
        return mido.Message("note_on", channel=values[0], note=values[1], velocity=values[2], time=time)
    if kind == "fine":
        return mido.Message("control_change", channel=values[0], control=88, value=values[1], time=time)
    if kind == "off":
        return mido.Message("note_off", channel=values[0], note=values[1], time=time)
    if kind == "tempo":
        return mido.MetaMessage("set_tempo", tempo=values[0], time=time)
    if kind == "metre":
        return mido.MetaMessage("time_signature", numerator=values[0], denominator=values[1], time=time)
    if values[2] % 4 == 0:
        return mido.Message("sysex", data=values, time=time)
    return mido.Message("control_change", channel=values[0], control=values[1], value=values[2], time=time)


def csv_row(tick, track, kind, values):
    head = f"{track + 1}, {tick}, "
    if kind == "note":
        return head + "Note_on_c, %d, %d, %d" % values
    if kind == "fine":
        return head + "Control_c, %d, 88, %d" % values
    if kind == "off":
        return head + "Note_off_c, %d, %d, 64" % values
    if kind == "tempo":
        return head + "Tempo, %d" % values
    if kind == "metre":
        return head + f"Time_signature, {values[0]}, {values[1].bit_length() - 1}, 24, 8"
    return head + "Control_c, %d, %d, %d" % values


def write_with_csvmidi(rows, division, tracks, path):
    lines = [f"0, 0, Header, {0 if tracks == 1 else 1}, {tracks}, {division}"]
    for number in range(tracks):
        own = [row for row in rows if row[1] == number]
        lines += [f"{number + 1}, 0, Start_track"]
        lines += [csv_row(*row) for row in own]
        lines += [f"{number + 1}, {own[-1][0]}, End_track"]
    lines += ["0, 0, End_of_file", ""]
    subprocess.run(["csvmidi", "-", path], input="\n".join(lines).encode(), check=True)


def dump(tool, path, *more):
    run = subprocess.run([tool, path, *more], capture_output=True, text=True)
    assert run.returncode == 0, f"{path}: {run.stderr}"
    lines = [line.split() for line in run.stdout.splitlines()]
    pick = lambda word: [tuple(map(int, line[1:])) for line in lines if line[0] == word]
    return pick("hit"), pick("tempo"), pick("metre")


def near(a, b, limit, what):
    assert abs(a - b) <= limit, f"{what}: {a} against {float(b)}"


def compare_with_expected(hits, tempos, rows, division, what):
    expected, changes = expected_take(rows, division)
    assert len(hits) == len(expected), f"{what}: {len(hits)} hits, {len(expected)} expected"
    for number, (got, want) in enumerate(zip(hits, expected)):
        assert got[1:] == want[1:], f"{what}, hit {number}: {got} against {want}"
        near(got[0], want[0], Fraction(1, 2), f"{what}, hit {number}")
    if division <= QUARTER:  # finer ones may put two changes on one tick of ours
        last = {Fraction(0): (Fraction(0), 500000000)}
        for at, ns, quarter_ns in changes:
            last[at] = (ns, quarter_ns)
        assert len(tempos) == len(last), f"{what}: {len(tempos)} tempos, {len(last)} expected"
        for got, (at, (ns, quarter_ns)) in zip(tempos, sorted(last.items())):
            near(got[0], at, Fraction(1, 2), f"{what}, place of a tempo")
            near(got[1], ns, Fraction(1, 2), f"{what}, time of a tempo")
            assert got[2] == quarter_ns, f"{what}: {got} against {quarter_ns}"


def read_with_mido(path):
    """Strokes (tick, note, fine velocity), lengths in ticks, tempos, metres of a file of ours."""
    file = mido.MidiFile(path)
    assert (file.type, len(file.tracks), file.ticks_per_beat) == (1, 2, QUARTER)
    strokes, lengths, sounding, low = [], [], {}, 0
    tempos, metres, tick = [], [], 0
    for message in file.tracks[0]:
        tick += message.time
        if message.type == "set_tempo":
            tempos.append((tick, message.tempo))
        elif message.type == "time_signature":
            metres.append((tick, message.numerator, message.denominator))
    tick = 0
    for message in file.tracks[1]:
        tick += message.time
        if message.is_meta:
            continue
        assert message.channel == 9, message
        if message.type == "control_change" and message.control == 88:
            low = message.value
        elif message.type == "note_on" and message.velocity > 0:
            assert message.note not in sounding, f"note {message.note} begins twice at {tick}"
            sounding[message.note] = tick
            strokes.append((tick, message.note, message.velocity * 512 + low * 4))
            low = 0
        else:
            lengths.append(tick - sounding.pop(message.note))
    assert not sounding, f"notes without end: {sounding}"
    return strokes, lengths, tempos, metres


def read_with_midicsv(path):
    run = subprocess.run(["midicsv", path], capture_output=True, text=True, check=True)
    strokes, tempos, low = [], [], 0
    for line in run.stdout.splitlines():
        field = [part.strip() for part in line.split(",")]
        if field[2] == "Control_c" and field[4] == "88":
            low = int(field[5])
        elif field[2] == "Note_on_c" and field[5] != "0":
            strokes.append((int(field[1]), int(field[4]), int(field[5]) * 512 + low * 4))
            low = 0
        elif field[2] == "Tempo":
            tempos.append((int(field[1]), int(field[3])))
    return strokes, tempos


def compare_with_written(hits, tempos, metres, path, what):
    strokes, lengths, written_tempos, written_metres = read_with_mido(path)
    assert read_with_midicsv(path) == (strokes, written_tempos), f"{what}: midicsv and mido differ"
    assert len(strokes) == len(hits), f"{what}: {len(strokes)} of {len(hits)} hits"
    assert len(lengths) == len(hits) and min(lengths, default=0) >= 0
    clock, at = Clock(QUARTER), 0
    for hit, (tick, note, velocity) in zip(hits, strokes):
        while at < len(written_tempos) and written_tempos[at][0] <= tick:
            clock.at(written_tempos[at][0])
            clock.quarter_us = written_tempos[at][1]
            at += 1
        half = Fraction(clock.quarter_us * 1000, 2 * QUARTER)
        near(hit[0], clock.at(tick), half + len(tempos) + 1, f"{what}, a written hit")
        assert (hit[2], hit[3]) == (note, velocity), f"{what}: {hit} written as {note} {velocity}"
    assert [(at, ns // 1000) for at, _, ns in tempos] == written_tempos, f"{what}: tempos"
    assert [tuple(m) for m in metres] == written_metres, f"{what}: metres"


def one_file(tool, rng, folder, number):
    division = rng.choice(DIVISIONS)
    tracks = rng.choice([1, 1, 2, 3, 5])
    rows = random_events(rng, division, tracks)
    what = f"file {number} (division {division}, {tracks} tracks)"
    writer = write_with_csvmidi if number % 3 == 0 else write_with_mido
    path, again = os.path.join(folder, "made.mid"), os.path.join(folder, "again.mid")
    writer(rows, division, tracks, path)
    rows = by_tick(rows)
    hits, tempos, metres = dump(tool, path, "-w", again)
    compare_with_expected(hits, tempos, rows, division, what)
    if QUARTER % division == 0:  # else tempos move to the nearest of our ticks
        compare_with_written(hits, tempos, metres, again, what)
    return len(hits)


def main():
    tool = sys.argv[1]
    files = int(sys.argv[2]) if len(sys.argv) > 2 else 60
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        hits = sum(one_file(tool, rng, folder, number) for number in range(files))
    print(f"{hits} hits in {files} files: mido, midicsv and we agree")
    assert hits > 40 * files, "hardly any hits: the test has lost its teeth"


main()
