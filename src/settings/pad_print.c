/* Pad files: INI out. */
#include <string.h>

#include "decimal.h"
#include "evenhand/pad_file.h"
#include "evenhand/utc.h"
#include "pad_keys.h"

/* A name on one line that reads back as itself: a blank and ; would begin a comment, and the
 * reader trims. */
static void print_name(struct eh_text *out, const char *name) {
    char line[EH_PAD_NAME];
    const size_t length = strnlen(name, EH_PAD_NAME - 1);
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = (unsigned char)name[i];
        const bool plain = c >= ' ' && c != 127 && c != ';';
        line[i] = ' ';
        if (plain) {
            line[i] = name[i];
        }
    }
    size_t from = 0;
    size_t to = length;
    while (from < to && line[from] == ' ') {
        from++;
    }
    while (to > from && line[to - 1] == ' ') {
        to--;
    }
    eh_text_add(out, to > from ? "name = " : "name =");
    eh_text_add_bytes(out, line + from, to - from);
    eh_text_add_char(out, '\n');
}

/* So many notes go into a line that it can be read. */
enum { NOTES_A_LINE = 24 };

static void print_zone(struct eh_text *out, const struct eh_pad *pad, enum eh_zone zone) {
    eh_text_printf(out, "%s =", eh_zone_key(zone));
    int printed = 0;
    for (int note = 0; note < 128; note++) {
        if (pad->zones[note] != zone) {
            continue;
        }
        if (printed > 0 && printed % NOTES_A_LINE == 0) {
            eh_text_printf(out, "\n%s =", eh_zone_key(zone));
        }
        eh_text_printf(out, " %d", note);
        printed++;
    }
    eh_text_add_char(out, '\n');
}

/* The section stands only where there is something in it. */
static void print_controls(struct eh_text *out, const struct eh_pad *pad) {
    const char *section = "\n[controls]\n";
    for (int c = EH_CONTROL_AGAIN; c < EH_CONTROL_COUNT; c++) {
        if (pad->controls[c] > 0) {
            eh_text_printf(out, "%s%s = %d\n", section, eh_control_key((enum eh_control)c),
                           pad->controls[c] - 1);
            section = "";
        }
    }
}

static void print_points(struct eh_text *out, const struct eh_level_map *map) {
    for (size_t i = 0; i < map->count; i++) {
        eh_text_add(out, "point = ");
        decimal_write(out, map->velocity[i]);
        eh_text_add_char(out, ' ');
        decimal_write(out, map->level_db[i]);
        eh_text_add_char(out, '\n');
    }
}

void eh_pad_print(const struct eh_pad *pad, struct eh_text *out) {
    eh_text_add(out, "[pad]\n");
    print_name(out, pad->name);
    if (pad->calibrated_utc_s > 0) {
        eh_text_add(out, "calibrated = ");
        eh_utc_print(pad->calibrated_utc_s, out);
        eh_text_add_char(out, '\n');
    }
    eh_text_add(out, "\n[notes]\n");
    for (int z = EH_ZONE_HEAD; z <= EH_ZONE_RIGHT; z++) {
        print_zone(out, pad, (enum eh_zone)z);
    }
    print_controls(out, pad);
    size_t count = 0;
    const struct pad_key *keys = pad_keys(&count);
    for (size_t i = 0; i < count; i++) {
        if (i == 0 || strcmp(keys[i].section, keys[i - 1].section) != 0) {
            eh_text_printf(out, "\n[%s]\n", keys[i].section);
            if (strcmp(keys[i].section, "levels") == 0) {
                print_name(out, pad->levels.name);
            }
        }
        eh_text_printf(out, "%s = ", keys[i].name);
        decimal_write(out, pad_key_get(&keys[i], pad));
        eh_text_add_char(out, '\n');
    }
    print_points(out, &pad->levels);
}

enum eh_status eh_pad_settle(struct eh_pad *pad, struct eh_error *error) {
    struct eh_text text = {0};
    eh_pad_print(pad, &text);
    enum eh_status status = eh_text_status(&text);
    if (status == EH_OK) {
        status = eh_pad_parse(pad, eh_text_string(&text), text.length, error);
    } else {
        (void)eh_fail(error, status, "out of memory");
    }
    eh_text_deinit(&text);
    return status;
}
