#!/usr/bin/env python3
"""Makes the damaged and foreign files in bad/, so that what is wrong with each can be read here.

Run in this folder. What the reader has to say of each stands in bad/expected.tsv:
file, status, byte offset, words."""

import os

HEAD = "4D546864 00000006 "
ONE = HEAD + "0000 0001 01E0 "
END = "00 FF2F00"
NOTE = "00 992640 "


def track(events):
    data = bytes.fromhex(events)
    return "4D54726B " + len(data).to_bytes(4, "big").hex() + events


def one(events):
    return ONE + track(events)


GOOD = track(NOTE + END)

FILES = {
    # not MIDI at all
    "empty.mid": "",
    "text.mid": b"R L R L  R R L L\n".hex(),
    "latin-text.mid": "Übung für die linke Hand".encode("latin-1").hex(),
    "score.mid": b'<?xml version="1.0"?><score-partwise/>'.hex(),
    "zip.mid": b"PK\x03\x04\x14\x00\x00\x00\x00\x00".hex(),
    "noise.mid": "00 01 02 03 FF FE FD",
    "wave.mid": "52494646 00000024 57415645 666D7420 10000000",
    "rmid-without-data.mid": "52494646 00000004 524D4944",
    "rmid-cut.mid": "52494646 00000028 524D4944 64617461 1E000000 4D546864",
    "rmid-of-text.mid": "52494646 0000000C 524D4944 64617461 04000000" + b"flam".hex(),
    # headers
    "magic-only.mid": "4D546864",
    "header-cut.mid": "4D546864 00000006 0000 0001",
    "header-short.mid": "4D546864 00000005 0000 0001 01 4D54726B",
    "header-too-long.mid": "4D546864 00001000 0000 0001 01E0",
    "format-2.mid": HEAD + "0002 0001 01E0 " + GOOD,
    "format-9.mid": HEAD + "0009 0001 01E0 " + GOOD,
    "no-tracks.mid": HEAD + "0001 0000 01E0",
    "format-0-two-tracks.mid": HEAD + "0000 0002 01E0 " + GOOD + GOOD,
    "division-zero.mid": HEAD + "0000 0001 0000 " + GOOD,
    "division-26-frames.mid": HEAD + "0000 0001 E628 " + GOOD,
    "division-no-ticks.mid": HEAD + "0000 0001 E700 " + GOOD,
    # chunks
    "header-alone.mid": ONE,
    "track-missing.mid": HEAD + "0001 0003 01E0 " + GOOD + GOOD,
    "track-cut.mid": ONE + "4D54726B 00000100 " + NOTE + END,
    "track-head-cut.mid": ONE + "4D54726B 0000",
    "track-too-many.mid": ONE + GOOD + GOOD,
    "unknown-chunk-cut.mid": ONE + "58465F20 00000100 01",
    # what stands in a track
    "delta-five-bytes.mid": one("8180808000 992640 " + END),
    "delta-cut.mid": one(NOTE + "81"),
    "event-missing.mid": one(NOTE + "00"),
    "no-running-status.mid": one("00 2640 " + END),
    "running-status-after-meta.mid": one(NOTE + "00 FF0100 00 2640 " + END),
    "running-status-after-sysex.mid": one(NOTE + "00 F001F7 00 2640 " + END),
    "status-inside-note.mid": one("00 9926 99 2640 " + END),
    "meta-inside-note.mid": one("00 9926 FF2F00"),
    "note-cut.mid": one("00 9926"),
    "status-f4.mid": one(NOTE + "00 F4 " + END),
    "system-common-cut.mid": one(NOTE + "00 F201"),
    "sysex-too-long.mid": one(NOTE + "00 F07F 010203 " + END),
    "sysex-length-cut.mid": one(NOTE + "00 F0"),
    "meta-too-long.mid": one(NOTE + "00 FF0140 6162 " + END),
    "meta-cut.mid": one(NOTE + "00 FF"),
    "meta-length-cut.mid": one(NOTE + "00 FF01"),
    "meta-type.mid": one(NOTE + "00 FF8000 " + END),
    "tempo-short.mid": one("00 FF5102 07A1 " + NOTE + END),
    "tempo-zero.mid": one("00 FF5103 000000 " + NOTE + END),
    "tempo-too-fast.mid": one("00 FF5103 0003E7 " + NOTE + END),
    "metre-short.mid": one("00 FF5802 0402 " + NOTE + END),
    "metre-no-beats.mid": one("00 FF5804 00021808 " + NOTE + END),
    "metre-unit.mid": one("00 FF5804 04081808 " + NOTE + END),
    "after-end.mid": one(NOTE + END + "00 992640"),
    "second-track-broken.mid": HEAD + "0001 0002 01E0 " + GOOD + track("00 99A640 " + END),
    # limits
    "beyond-24-hours.mid": HEAD + "0000 0001 E728 " + track("A999B801 992640 " + END),
}

for name, content in FILES.items():
    with open(os.path.join("bad", name), "wb") as file:
        file.write(bytes.fromhex(content))
print(len(FILES), "files")
