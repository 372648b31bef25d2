/* Pad files: INI in. */
#include "evenhand/pad_file.h"

#include <stdio.h>
#include <string.h>

#include "decimal.h"
#include "evenhand/utc.h"
#include "ini_text.h"
#include "pad_keys.h"

_Static_assert((int)EH_PAD_LINE_MAX == (int)INI_LINE_MAX, "the header promises it");

enum { KEYS_MAX = 32, ZONES = EH_ZONE_RIGHT + 1, CONTROLS = EH_CONTROL_COUNT };

/* Keys that are not numbers; each zone is one too. */
enum named { NAMED_NAME, NAMED_CALIBRATED, NAMED_MAP, NAMED_POINT, NAMED_MAX };

static const struct ini_key named_keys[NAMED_MAX] = {
    [NAMED_NAME] = {"pad", "name"},
    [NAMED_CALIBRATED] = {"pad", "calibrated"},
    [NAMED_MAP] = {"levels", "name"},
    [NAMED_POINT] = {"levels", "point"},
};

struct reading {
    struct ini_text ini;
    struct eh_pad *pad;
    int seen[KEYS_MAX]; /* line of each key, 0 = not given */
    int seen_named[NAMED_MAX];
    bool seen_notes;
    int note_line[128]; /* where a note was named */
    int seen_control[EH_CONTROL_COUNT];
};

const char *eh_zone_key(enum eh_zone zone) {
    static const char *const keys[ZONES] = {"", "head", "rim", "cross", "left", "right"};
    return (int)zone > 0 && (int)zone < ZONES ? keys[zone] : "";
}

const char *eh_control_key(enum eh_control control) {
    static const char *const keys[EH_CONTROL_COUNT] = {"", "again", "next", "stop"};
    return (int)control > 0 && control < EH_CONTROL_COUNT ? keys[control] : "";
}

/* ---- Notes ---- */

static void take_note(struct reading *r, enum eh_zone zone, long note) {
    if (r->note_line[note] != 0) {
        ini_complain(&r->ini, EH_OUT_OF_RANGE,
                     "note %ld stands in line %d already; a note belongs to one zone", note,
                     r->note_line[note]);
        return;
    }
    r->note_line[note] = r->ini.line;
    r->pad->zones[note] = (uint8_t)zone;
}

/* "38 40": whole numbers from 0 to 127 with blanks or commas between; may be empty, and go on in
 * a further line of the same key. */
static void take_zone(struct reading *r, enum eh_zone zone, const char *value) {
    const char *name = eh_zone_key(zone);
    if (!r->seen_notes) {
        memset(r->pad->zones, EH_ZONE_NONE, sizeof r->pad->zones);
        r->seen_notes = true;
    }
    for (const char *p = value; *p != '\0' && r->ini.status == EH_OK;) {
        const size_t gap = strspn(p, " \t,");
        const size_t digits = strspn(p + gap, "0123456789");
        long note = 128;
        if (digits >= 1 && digits <= 3) {
            (void)sscanf(p + gap, "%3ld", &note);
        }
        if (digits > 0 && note > 127) {
            ini_complain(&r->ini, EH_OUT_OF_RANGE,
                         "\"%s\" expects MIDI notes from 0 to 127, found \"%s\"", name, value);
        } else if (digits > 0) {
            take_note(r, zone, note);
        } else if (p[gap] != '\0') {
            ini_complain(&r->ini, EH_BAD_SYNTAX,
                         "\"%s\" expects MIDI notes such as 38 40, found \"%s\"", name, value);
        }
        p += gap + digits;
    }
}

static void take_control(struct reading *r, enum eh_control control, const char *value) {
    const char *name = eh_control_key(control);
    double note = 0.0;
    if (!ini_first_time(&r->ini, &r->seen_control[control], "controls", name) ||
        !ini_number(&r->ini, "controls", name, value, 0.0, 127.0, &note)) {
        return;
    }
    if (note != (double)(int)note) {
        ini_complain(&r->ini, EH_BAD_SYNTAX,
                     "\"%s\" expects one MIDI note such as 50, found \"%s\"", name, value);
        return;
    }
    const enum eh_control other = eh_pad_control(r->pad, (uint8_t)note);
    if (other != EH_CONTROL_NONE) {
        ini_complain(&r->ini, EH_OUT_OF_RANGE, "note %d means \"%s\" already", (int)note,
                     eh_control_key(other));
        return;
    }
    r->pad->controls[control] = (uint8_t)((int)note + 1);
}

/* ---- Other values ---- */

static void take_calibrated(struct reading *r, const char *value) {
    if (value[0] != '\0' && !eh_utc_read(value, &r->pad->calibrated_utc_s)) {
        ini_complain(&r->ini, EH_BAD_SYNTAX,
                     "\"calibrated\" expects a time such as 2026-11-26T03:10:00Z, found \"%s\"",
                     value);
    }
}

/* The first point of a file replaces the map of the default pad, which has none. */
static void take_point(struct reading *r, const char *value) {
    struct eh_level_map *map = &r->pad->levels;
    char velocity[32] = "";
    char level[32] = "";
    char more[2] = "";
    if (sscanf(value, "%31s %31s %1s", velocity, level, more) != 2) {
        ini_complain(&r->ini, EH_BAD_SYNTAX,
                     "\"point\" expects a velocity and its level in dB such as 64 -5.95, found "
                     "\"%s\"",
                     value);
        return;
    }
    if (map->count == EH_LEVEL_POINTS) {
        ini_complain(&r->ini, EH_OUT_OF_RANGE, "a level map may have at most %d points",
                     EH_LEVEL_POINTS);
        return;
    }
    double v = 0.0;
    double db = 0.0;
    if (!ini_number(&r->ini, "levels", "point", velocity, 1.0, 128.0, &v) ||
        !ini_number(&r->ini, "levels", "point", level, -200.0, 100.0, &db)) {
        return;
    }
    if (map->count > 0 &&
        (v <= map->velocity[map->count - 1] || db < map->level_db[map->count - 1])) {
        ini_complain(&r->ini, EH_OUT_OF_RANGE,
                     "points must stand in rising order of velocity, and the level must not fall");
        return;
    }
    map->velocity[map->count] = v;
    map->level_db[map->count] = db;
    map->count++;
}

static void take_named(struct reading *r, enum named key, const char *value) {
    const char *name = named_keys[key].name;
    if (key != NAMED_POINT &&
        !ini_first_time(&r->ini, &r->seen_named[key], named_keys[key].section, name)) {
        return;
    }
    switch (key) {
    case NAMED_NAME:
        (void)ini_words(&r->ini, name, value, r->pad->name, EH_PAD_NAME);
        break;
    case NAMED_CALIBRATED:
        take_calibrated(r, value);
        break;
    case NAMED_MAP:
        (void)ini_words(&r->ini, name, value, r->pad->levels.name, EH_PAD_NAME);
        break;
    case NAMED_POINT:
        take_point(r, value);
        break;
    case NAMED_MAX:
        break;
    }
}

/* ---- Keys ---- */

static void unknown(struct reading *r, const char *section, const char *name) {
    struct ini_key all[KEYS_MAX + NAMED_MAX + ZONES + CONTROLS];
    size_t n = 0;
    size_t count = 0;
    const struct pad_key *keys = pad_keys(&count);
    for (; n < count; n++) {
        all[n] = (struct ini_key){keys[n].section, keys[n].name};
    }
    for (int i = 0; i < NAMED_MAX; i++) {
        all[n++] = named_keys[i];
    }
    for (int z = 1; z < ZONES; z++) {
        all[n++] = (struct ini_key){"notes", eh_zone_key((enum eh_zone)z)};
    }
    for (int c = 1; c < CONTROLS; c++) {
        all[n++] = (struct ini_key){"controls", eh_control_key((enum eh_control)c)};
    }
    ini_unknown(&r->ini, all, n, "pad", section, name);
}

static bool take_number(struct reading *r, const char *section, const char *name,
                        const char *value) {
    size_t count = 0;
    const struct pad_key *keys = pad_keys(&count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(section, keys[i].section) == 0 && strcmp(name, keys[i].name) == 0) {
            double number = 0.0;
            if (ini_first_time(&r->ini, &r->seen[i], section, name) &&
                ini_number(&r->ini, section, name, value, keys[i].least, keys[i].most, &number)) {
                pad_key_set(&keys[i], r->pad, number);
            }
            return true;
        }
    }
    return false;
}

static void take_key(void *user, const char *section, const char *name, const char *value) {
    struct reading *r = user;
    if (take_number(r, section, name, value)) {
        return;
    }
    for (int i = 0; i < NAMED_MAX; i++) {
        if (strcmp(section, named_keys[i].section) == 0 && strcmp(name, named_keys[i].name) == 0) {
            take_named(r, (enum named)i, value);
            return;
        }
    }
    for (int z = 1; z < ZONES; z++) {
        if (strcmp(section, "notes") == 0 && strcmp(name, eh_zone_key((enum eh_zone)z)) == 0) {
            take_zone(r, (enum eh_zone)z, value);
            return;
        }
    }
    for (int c = 1; c < CONTROLS; c++) {
        if (strcmp(section, "controls") == 0 &&
            strcmp(name, eh_control_key((enum eh_control)c)) == 0) {
            take_control(r, (enum eh_control)c, value);
            return;
        }
    }
    unknown(r, section, name);
}

/* ---- A file ---- */

/* The line where a key stands; 0 when it was left out. */
static int line_of(const struct reading *r, const char *section, const char *name) {
    size_t count = 0;
    const struct pad_key *keys = pad_keys(&count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(section, keys[i].section) == 0 && strcmp(name, keys[i].name) == 0) {
            return r->seen[i];
        }
    }
    return 0;
}

static void ordered(struct reading *r, const char *section, const char *low_name, bool in_order,
                    const char *high_name) {
    if (!in_order) {
        const int low = line_of(r, section, low_name);
        const int high = line_of(r, section, high_name);
        r->ini.line = low > high ? low : high;
        ini_complain(&r->ini, EH_OUT_OF_RANGE, "\"%s\" in [%s] must not lie above \"%s\"", low_name,
                     section, high_name);
    }
}

static void check_order(struct reading *r) {
    const struct eh_pad *p = r->pad;
    ordered(r, "retrigger", "within_ms", p->retrigger_ns <= p->retrigger_late_ns, "until_ms");
    ordered(r, "mask", "dead_ms", p->mask_dead_ns <= p->mask_until_ns, "until_ms");
    ordered(r, "range", "floor_velocity", p->floor_velocity <= p->top_velocity, "top_velocity");
}

/* Whichever section comes first. */
static void check_controls(struct reading *r) {
    for (int c = EH_CONTROL_AGAIN; c < EH_CONTROL_COUNT; c++) {
        const int note = r->pad->controls[c] - 1;
        if (note >= 0 && eh_pad_owns(r->pad, (uint8_t)note)) {
            r->ini.line = r->seen_control[c];
            ini_complain(
                &r->ini, EH_OUT_OF_RANGE,
                "\"%s\" cannot be note %d: the pad is played on it ([notes]); choose a pad "
                "or rim that the exercises do not need",
                eh_control_key((enum eh_control)c), note);
            return;
        }
    }
}

enum eh_status eh_pad_parse(struct eh_pad *out, const char *text, size_t length,
                            struct eh_error *error) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    struct reading r = {.ini.error = error, .pad = &pad};
    eh_error_clear(error);
    (void)ini_read(&r.ini, text, length, take_key, &r);
    check_order(&r);
    check_controls(&r);
    if (r.ini.status == EH_OK) {
        *out = pad;
    }
    return r.ini.status;
}
