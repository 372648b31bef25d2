/* Style files: INI in, INI out. */
#include "evenhand/settings.h"

#include <ini.h>
#include <limits.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "decimal.h"
#include "keys.h"
#include "shipped.h"

enum { KEYS_MAX = 64, NAMED_MAX = 4 };

/* Keys that are not numbers. */
enum named { NAMED_NAME, NAMED_TITLE, NAMED_BASE, NAMED_RIM };

struct reading {
    const char *text;
    size_t length, at;
    int line; /* the one given out last */
    struct eh_style *style;
    char base[EH_STYLE_NAME];
    int seen[KEYS_MAX]; /* line of each key, 0 = not given */
    int seen_named[NAMED_MAX];
    struct eh_error *error;
    enum eh_status status;
    int complaint; /* its line */
};

static enum eh_status complain(struct reading *r, enum eh_status status, const char *format, ...)
    EH_PRINTF(3, 4);

/* Keeps the first complaint. */
static enum eh_status complain(struct reading *r, enum eh_status status, const char *format, ...) {
    struct eh_error words;
    va_list args;
    va_start(args, format);
    (void)vsnprintf(words.text, sizeof words.text, format, args);
    va_end(args);
    if (r->status == EH_OK) {
        r->complaint = r->line;
        r->status = eh_fail_at(r->error, status, r->line, 1, "%s", words.text);
    }
    return r->status;
}

/* ---- Lines ---- */

/* inih cuts a long line in two without a word, so lines are measured here. */
static char *next_line(char *out, int size, void *user) {
    struct reading *r = user;
    if (r->at >= r->length || r->status != EH_OK) {
        return NULL;
    }
    const char *from = r->text + r->at;
    const char *end = memchr(from, '\n', r->length - r->at);
    size_t length = end != NULL ? (size_t)(end - from) : r->length - r->at;
    r->line++;
    r->at += length + (end != NULL);
    if (length > EH_STYLE_LINE_MAX || length + 2 > (size_t)size) {
        complain(r, EH_BAD_SYNTAX, "the line is longer than %d characters; break it",
                 EH_STYLE_LINE_MAX);
        return NULL;
    }
    if (memchr(from, '\0', length) != NULL) {
        complain(r, EH_BAD_SYNTAX, "the line holds a NUL byte; this is not a text file");
        return NULL;
    }
    memcpy(out, from, length);
    out[length] = '\n';
    out[length + 1] = '\0';
    return out;
}

/* ---- Values ---- */

static int first_time(struct reading *r, int *seen, const char *section, const char *name) {
    if (*seen != 0) {
        complain(r, EH_BAD_SYNTAX, "\"%s\" in [%s] was given in line %d already; keep one of them",
                 name, section, *seen);
        return 0;
    }
    *seen = r->line;
    return 1;
}

static void write_number(char *out, size_t size, double value) {
    struct eh_text text = {0};
    decimal_write(&text, value);
    (void)snprintf(out, size, "%s", eh_text_string(&text));
    eh_text_deinit(&text);
}

static void take_number(struct reading *r, const struct style_key *key, const char *value) {
    double number = 0.0;
    if (!decimal_read(value, &number)) {
        complain(r, EH_BAD_SYNTAX,
                 "\"%s\" expects a number such as 2.5 (with a point), found \"%s\"", key->name,
                 value);
        return;
    }
    if (number < key->least || number > key->most) {
        char least[32];
        char most[32];
        write_number(least, sizeof least, key->least);
        write_number(most, sizeof most, key->most);
        complain(r, EH_OUT_OF_RANGE, "\"%s\" in [%s] must lie between %s and %s, found %s",
                 key->name, key->section, least, most, value);
        return;
    }
    memcpy((char *)r->style + key->offset, &number, sizeof number);
}

static int plain_name(const char *s) {
    size_t n = strspn(s, "abcdefghijklmnopqrstuvwxyz0123456789-_");
    return n > 0 && s[n] == '\0';
}

static void take_words(struct reading *r, const char *key, char *out, size_t size,
                       const char *value) {
    if (strlen(value) >= size) {
        complain(r, EH_BAD_SYNTAX, "\"%s\" may have at most %zu characters", key, size - 1);
        return;
    }
    (void)snprintf(out, size, "%s", value);
}

static void take_name(struct reading *r, const char *key, char *out, const char *value) {
    if (!plain_name(value)) {
        complain(r, EH_BAD_SYNTAX,
                 "\"%s\" expects a name of small letters, digits, - and _, found \"%s\"", key,
                 value);
        return;
    }
    take_words(r, key, out, EH_STYLE_NAME, value);
}

static void take_yes_no(struct reading *r, const char *key, bool *out, const char *value) {
    if (strcmp(value, "yes") != 0 && strcmp(value, "no") != 0) {
        complain(r, EH_BAD_SYNTAX, "\"%s\" expects yes or no, found \"%s\"", key, value);
        return;
    }
    *out = value[0] == 'y';
}

/* ---- Keys ---- */

static const struct {
    const char *section, *name;
} named_keys[NAMED_MAX] = {
    [NAMED_NAME] = {"style", "name"},
    [NAMED_TITLE] = {"style", "title"},
    [NAMED_BASE] = {"style", "based_on"},
    [NAMED_RIM] = {"rim", "forbidden"},
};

static void take_named(struct reading *r, enum named key, const char *value) {
    const char *name = named_keys[key].name;
    if (!first_time(r, &r->seen_named[key], named_keys[key].section, name)) {
        return;
    }
    switch (key) {
    case NAMED_NAME:
        take_name(r, name, r->style->name, value);
        break;
    case NAMED_TITLE:
        take_words(r, name, r->style->title, EH_STYLE_TITLE, value);
        break;
    case NAMED_BASE:
        take_name(r, name, r->base, value);
        break;
    case NAMED_RIM:
        take_yes_no(r, name, &r->style->rim_forbidden, value);
        break;
    }
}

struct nearest {
    const char *wanted, *best;
    int distance;
};

static void consider(struct nearest *n, const char *candidate) {
    int distance = eh_text_distance(n->wanted, candidate);
    if (distance < n->distance) {
        n->distance = distance;
        n->best = candidate;
    }
}

/* SECTION NULL: sections are looked for; else the keys of that section. */
static const char *nearest_to(const char *wanted, const char *section) {
    struct nearest n = {wanted, "", INT_MAX};
    size_t count = 0;
    const struct style_key *keys = style_keys(&count);
    for (size_t i = 0; i < count; i++) {
        if (section == NULL || strcmp(keys[i].section, section) == 0) {
            consider(&n, section == NULL ? keys[i].section : keys[i].name);
        }
    }
    for (int i = 0; i < NAMED_MAX; i++) {
        if (section == NULL || strcmp(named_keys[i].section, section) == 0) {
            consider(&n, section == NULL ? named_keys[i].section : named_keys[i].name);
        }
    }
    return n.best;
}

static void unknown(struct reading *r, const char *section, const char *name) {
    const char *key = nearest_to(name, section);
    if (section[0] == '\0') {
        complain(r, EH_BAD_SYNTAX, "\"%s\" stands before the first section such as [style]", name);
    } else if (key[0] == '\0') {
        complain(r, EH_NOT_FOUND, "unknown section [%s]; nearest: [%s]", section,
                 nearest_to(section, NULL));
    } else {
        complain(r, EH_NOT_FOUND, "unknown key \"%s\" in [%s]; nearest: \"%s\"", name, section,
                 key);
    }
}

static int take_key(void *user, const char *section, const char *name, const char *value) {
    struct reading *r = user;
    size_t count = 0;
    const struct style_key *keys = style_keys(&count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(section, keys[i].section) == 0 && strcmp(name, keys[i].name) == 0) {
            if (first_time(r, &r->seen[i], section, name)) {
                take_number(r, &keys[i], value);
            }
            return 1;
        }
    }
    for (int i = 0; i < NAMED_MAX; i++) {
        if (strcmp(section, named_keys[i].section) == 0 && strcmp(name, named_keys[i].name) == 0) {
            take_named(r, (enum named)i, value);
            return 1;
        }
    }
    unknown(r, section, name);
    return 1;
}

/* ---- A file ---- */

/* Reads TEXT over what STYLE already holds. */
static void read_over(struct reading *r, const char *text, size_t length, struct eh_style *style) {
    r->text = text;
    r->length = length;
    r->at = 0;
    r->line = 0;
    r->style = style;
    memset(r->seen, 0, sizeof r->seen);
    memset(r->seen_named, 0, sizeof r->seen_named);
    int bad = ini_parse_stream(next_line, r, take_key, r);
    if (bad > 0 && (r->status == EH_OK || bad < r->complaint)) {
        r->line = bad;
        r->status = EH_OK;
        complain(r, EH_BAD_SYNTAX, "expected [section], key = value, or a comment after ; or #");
    } else if (bad < 0) {
        complain(r, EH_NO_MEMORY, "out of memory");
    }
}

static void ordered(struct reading *r, const char *low_name, double low, const char *high_name,
                    double high) {
    if (low >= high) {
        complain(r, EH_OUT_OF_RANGE, "\"%s\" must be smaller than \"%s\"", low_name, high_name);
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
    struct reading r = {.error = error};
    eh_error_clear(error);
    read_over(&r, text, length, &probe);
    if (r.status != EH_OK) {
        return r.status;
    }
    const char *base = r.base[0] != '\0' ? r.base : "rudimental";
    const char *base_text = eh_style_shipped_text(base);
    if (base_text == NULL) {
        r.line = r.seen_named[NAMED_BASE];
        return complain(&r, EH_NOT_FOUND, "based_on names \"%s\", but can only be %s or %s", base,
                        shipped_styles[0].name, shipped_styles[1].name);
    }
    struct eh_style style = {0};
    read_over(&r, base_text, strlen(base_text), &style);
    read_over(&r, text, length, &style);
    check_order(&r);
    if (r.status == EH_OK) {
        *out = style;
    }
    return r.status;
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
    struct nearest n = {name, "", INT_MAX};
    for (size_t i = 0; shipped_styles[i].name != NULL; i++) {
        consider(&n, shipped_styles[i].name);
    }
    return eh_fail(error, EH_NOT_FOUND, "no style is called \"%s\"; nearest: %s", name, n.best);
}
