/* Style files: INI in, INI out. */
#include <limits.h>
#include <stdio.h>
#include <string.h>

#include "decimal.h"
#include "evenhand/settings.h"
#include "ini_text.h"
#include "keys.h"
#include "shipped.h"

_Static_assert((int)EH_STYLE_LINE_MAX == (int)INI_LINE_MAX, "the header promises it");

enum { KEYS_MAX = 64, NAMED_MAX = 4 };

/* Keys that are not numbers. */
enum named { NAMED_NAME, NAMED_TITLE, NAMED_BASE, NAMED_RIM };

struct reading {
    struct ini_text ini;
    struct eh_style *style;
    char base[EH_STYLE_NAME];
    int seen[KEYS_MAX]; /* line of each key, 0 = not given */
    int seen_named[NAMED_MAX];
};

/* ---- Keys ---- */

static const struct ini_key named_keys[NAMED_MAX] = {
    [NAMED_NAME] = {"style", "name"},
    [NAMED_TITLE] = {"style", "title"},
    [NAMED_BASE] = {"style", "based_on"},
    [NAMED_RIM] = {"rim", "forbidden"},
};

static void take_named(struct reading *r, enum named key, const char *value) {
    const char *name = named_keys[key].name;
    if (!ini_first_time(&r->ini, &r->seen_named[key], named_keys[key].section, name)) {
        return;
    }
    switch (key) {
    case NAMED_NAME:
        (void)ini_plain_name(&r->ini, name, value, r->style->name, EH_STYLE_NAME);
        break;
    case NAMED_TITLE:
        (void)ini_words(&r->ini, name, value, r->style->title, EH_STYLE_TITLE);
        break;
    case NAMED_BASE:
        (void)ini_plain_name(&r->ini, name, value, r->base, EH_STYLE_NAME);
        break;
    case NAMED_RIM:
        (void)ini_yes_no(&r->ini, name, value, &r->style->rim_forbidden);
        break;
    }
}

static void take_number(struct reading *r, const struct style_key *key, const char *value) {
    double number = 0.0;
    if (ini_number(&r->ini, key->section, key->name, value, key->least, key->most, &number)) {
        memcpy((char *)r->style + key->offset, &number, sizeof number);
    }
}

static void unknown(struct reading *r, const char *section, const char *name) {
    struct ini_key all[KEYS_MAX + NAMED_MAX];
    size_t count = 0;
    const struct style_key *keys = style_keys(&count);
    for (size_t i = 0; i < count; i++) {
        all[i] = (struct ini_key){keys[i].section, keys[i].name};
    }
    memcpy(all + count, named_keys, sizeof named_keys);
    ini_unknown(&r->ini, all, count + NAMED_MAX, "style", section, name);
}

static void take_key(void *user, const char *section, const char *name, const char *value) {
    struct reading *r = user;
    size_t count = 0;
    const struct style_key *keys = style_keys(&count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(section, keys[i].section) == 0 && strcmp(name, keys[i].name) == 0) {
            if (ini_first_time(&r->ini, &r->seen[i], section, name)) {
                take_number(r, &keys[i], value);
            }
            return;
        }
    }
    for (int i = 0; i < NAMED_MAX; i++) {
        if (strcmp(section, named_keys[i].section) == 0 && strcmp(name, named_keys[i].name) == 0) {
            take_named(r, (enum named)i, value);
            return;
        }
    }
    unknown(r, section, name);
}

/* ---- A file ---- */

/* Reads TEXT over what STYLE already holds. */
static void read_over(struct reading *r, const char *text, size_t length, struct eh_style *style) {
    r->style = style;
    memset(r->seen, 0, sizeof r->seen);
    memset(r->seen_named, 0, sizeof r->seen_named);
    (void)ini_read(&r->ini, text, length, take_key, r);
}

static void ordered(struct reading *r, const char *low_name, double low, const char *high_name,
                    double high) {
    if (low >= high) {
        ini_complain(&r->ini, EH_OUT_OF_RANGE, "\"%s\" must be smaller than \"%s\"", low_name,
                     high_name);
    }
}

static void check_order(struct reading *r) {
    const struct eh_style *s = r->style;
    ordered(r, "low_db", s->accent_low_db, "high_db", s->accent_high_db);
    ordered(r, "gap_low_ms", s->flam_gap_low_ms, "gap_high_ms", s->flam_gap_high_ms);
}

enum eh_status eh_style_parse(struct eh_style *out, const char *text, size_t length,
                              struct eh_error *error) {
    struct eh_style probe = {0};
    struct reading r = {.ini.error = error};
    eh_error_clear(error);
    read_over(&r, text, length, &probe);
    if (r.ini.status != EH_OK) {
        return r.ini.status;
    }
    const char *base = r.base[0] != '\0' ? r.base : "rudimental";
    const char *base_text = eh_style_shipped_text(base);
    if (base_text == NULL) {
        r.ini.line = r.seen_named[NAMED_BASE];
        return ini_complain(&r.ini, EH_NOT_FOUND, "based_on names \"%s\", but can only be %s or %s",
                            base, shipped_styles[0].name, shipped_styles[1].name);
    }
    struct eh_style style = {0};
    read_over(&r, base_text, strlen(base_text), &style);
    read_over(&r, text, length, &style);
    check_order(&r);
    if (r.ini.status == EH_OK) {
        *out = style;
    }
    return r.ini.status;
}

void eh_style_print(const struct eh_style *style, struct eh_text *out) {
    eh_text_printf(out, "[style]\nname = %s\ntitle = %s\n", style->name, style->title);
    size_t count = 0;
    const struct style_key *keys = style_keys(&count);
    for (size_t i = 0; i < count; i++) {
        if (i == 0 || strcmp(keys[i].section, keys[i - 1].section) != 0) {
            eh_text_printf(out, "\n[%s]\n", keys[i].section);
        }
        double value = 0.0;
        memcpy(&value, (const char *)style + keys[i].offset, sizeof value);
        eh_text_printf(out, "%s = ", keys[i].name);
        decimal_write(out, value);
        eh_text_add_char(out, '\n');
    }
    eh_text_printf(out, "\n[rim]\nforbidden = %s\n", style->rim_forbidden ? "yes" : "no");
}

/* ---- Shipped ---- */

const char *eh_style_shipped_name(size_t index) {
    for (size_t i = 0; shipped_styles[i].name != NULL; i++) {
        if (i == index) {
            return shipped_styles[i].name;
        }
    }
    return NULL;
}

const char *eh_style_shipped_text(const char *name) {
    for (size_t i = 0; shipped_styles[i].name != NULL; i++) {
        if (strcmp(shipped_styles[i].name, name) == 0) {
            return shipped_styles[i].text;
        }
    }
    return NULL;
}

enum eh_status eh_style_shipped(struct eh_style *out, const char *name, struct eh_error *error) {
    const char *text = eh_style_shipped_text(name);
    if (text != NULL) {
        return eh_style_parse(out, text, strlen(text), error);
    }
    struct ini_nearest n = {name, "", INT_MAX};
    for (size_t i = 0; shipped_styles[i].name != NULL; i++) {
        ini_consider(&n, shipped_styles[i].name);
    }
    return eh_fail(error, EH_NOT_FOUND, "no style is called \"%s\"; nearest: %s", name, n.best);
}
