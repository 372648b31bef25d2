"""The rooms of the house: which may include which, and who may see a foreign library.

DEVELOPERS.md says the same in words. A header or a library that is not named here is refused, so
that a new one gets its place by a decision and not by accident.
"""

# A room, and the rooms whose public headers it may include (its own always).
MAY_INCLUDE = {
    "base": set(),
    "score": {"base"},
    "reading": {"base", "score"},
    "hits": {"base"},
    "musicxml": {"base", "score"},
    "calibrate": {"base", "hits"},
    "judge": {"base", "score", "hits"},
    "settings": {"base", "hits", "judge"},
    "practice": {"base", "score", "hits", "calibrate", "judge"},
    "ladder": {"base", "score", "hits", "judge"},
    "pulse": {"base", "score", "hits", "judge", "practice"},
    "agenda": {"base", "score", "hits", "judge", "ladder"},
    "live": {"base", "hits"},
    "history": {"base", "score", "hits", "judge"},
    "report": {"base", "score", "reading", "hits", "judge", "practice", "ladder", "pulse", "agenda", "history"},
    "cli": {"base", "score", "reading", "musicxml", "hits", "calibrate", "judge", "settings", "practice", "ladder", "pulse", "agenda", "live", "history", "report"},
}

# A public header (include/evenhand/NAME.h), and the room that offers it.
HEADER_ROOM = {
    "status": "base", "stats": "base", "text": "base", "time": "base", "utc": "base",
    "build": "score", "hand_motion": "score", "exercise": "score", "exercise_text": "score", "written": "score",
    "reading": "reading",
    "musicxml": "musicxml",
    "hit": "hits", "pad": "hits", "smf": "hits",
    "calibrate": "calibrate",
    "follow": "judge", "free_follow": "judge", "free_tempo": "judge", "judgement": "judge", "places": "judge", "plan": "judge", "rule": "judge", "tempo_course": "judge", "style": "judge",
    "settings": "settings", "pad_file": "settings",
    "care": "practice", "control": "practice", "demo": "practice", "demo_pad": "practice", "practice": "practice", "pad_guide": "practice", "silent": "practice",
    "contrast": "ladder", "held": "ladder", "ladder": "ladder", "offer": "ladder", "pool": "ladder",
    "pulse": "pulse",
    "agenda": "agenda",
    "click": "live", "clock": "live", "midi_in": "live", "midi_out": "live", "ring": "live",
    "store": "history",
    "report": "report", "report_care": "report", "report_climb": "report", "report_offer": "report", "report_pulse": "report", "report_sheet": "report", "report_today": "report",
}

# The rooms that are pure: no I/O, no clock, no threads, no globals; libc and libm only.
PURE = {"base", "score", "reading", "hits", "calibrate", "judge", "practice", "ladder", "pulse", "agenda"}

# What a pure room may take from the C library, by header. symbols.py looks at what it calls.
PURE_SYSTEM = {
    "assert.h", "ctype.h", "errno.h", "float.h", "inttypes.h", "limits.h", "math.h", "stdalign.h",
    "stdarg.h", "stdbool.h", "stddef.h", "stdint.h", "stdio.h", "stdlib.h", "string.h",
}

# A foreign header (or the folder it lies in), and the files that may include it.
FOREIGN = {
    "rtmidi_c.h": {"src/live/rtmidi_port.c"},
    "portaudio.h": {"src/live/pa_audio.c", "src/live/pa_process.h"},
    "pa_jack.h": {"src/live/pa_audio.c"},
    "jack/": {"src/live/jack_private.h", "src/live/jack_times_process.c"},
    "alsa/": {"src/live/quiet_alsa.c"},
    "sqlite3.h": {"src/history/db.c"},
    "ini.h": {"src/settings/ini_text.c"},
    "libxml/": {"src/musicxml/xml_out.c", "src/musicxml/xml_tree.c"},
    "zip.h": {"src/musicxml/unpack.c", "src/musicxml/pack.c"},
    "cjson/": {"src/report/json_value.c"},
}

# What an impure room may take from the system besides.
SYSTEM = PURE_SYSTEM | {
    "dirent.h", "fcntl.h", "malloc.h", "poll.h", "pthread.h", "semaphore.h", "signal.h", "stdatomic.h",
    "sys/ioctl.h", "sys/mman.h", "sys/resource.h", "sys/stat.h", "sys/types.h", "sched.h",
    "termios.h", "time.h", "unistd.h",
}
