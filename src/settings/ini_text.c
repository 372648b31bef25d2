#include "ini_text.h"

#include <ini.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "decimal.h"
#include "evenhand/text.h"

enum eh_status ini_complain(struct ini_text *ini, enum eh_status status, const char *format, ...) {
    struct eh_error words;
    va_list args;
    va_start(args, format);
    (void)vsnprintf(words.text, sizeof words.text, format, args);
    va_end(args);
    if (ini->status == EH_OK) {
        ini->complaint = ini->line;
        ini->status = eh_fail_at(ini->error, status, ini->line, 1, "%s", words.text);
    }
    return ini->status;
}

/* ---- Lines ---- */

/* inih cuts a long line in two without a word, so lines are measured here. */
static char *next_line(char *out, int size, void *user) {
    struct ini_text *ini = user;
    if (ini->at >= ini->length || ini->status != EH_OK) {
        return NULL;
    }
    const char *from = ini->text + ini->at;
    const char *end = memchr(from, '\n', ini->length - ini->at);
    size_t length = end != NULL ? (size_t)(end - from) : ini->length - ini->at;
    ini->line++;
    ini->at += length + (end != NULL);
    if (length > INI_LINE_MAX || length + 2 > (size_t)size) {
        ini_complain(ini, EH_BAD_SYNTAX, "the line is longer than %d characters; break it",
                     INI_LINE_MAX);
        return NULL;
    }
    if (memchr(from, '\0', length) != NULL) {
        ini_complain(ini, EH_BAD_SYNTAX, "the line holds a NUL byte; this is not a text file");
        return NULL;
    }
    memcpy(out, from, length);
    out[length] = '\n';
    out[length + 1] = '\0';
    return out;
}

struct handing {
    ini_take *take;
    void *user;
    struct ini_text *ini;
};

/* inih gives the reader and the taker one and the same pointer. */
static char *hand_line(char *out, int size, void *user) {
    return next_line(out, size, ((struct handing *)user)->ini);
}

static int hand_key(void *user, const char *section, const char *name, const char *value) {
    const struct handing *h = user;
    h->take(h->user, section, name, value);
    return 1;
}

enum eh_status ini_read(struct ini_text *ini, const char *text, size_t length, ini_take *take,
                        void *user) {
    struct handing h = {take, user, ini};
    ini->text = text;
    ini->length = length;
    ini->at = 0;
    ini->line = 0;
    int bad = ini_parse_stream(hand_line, &h, hand_key, &h);
    if (bad > 0 && (ini->status == EH_OK || bad < ini->complaint)) {
        ini->line = bad;
        ini->status = EH_OK;
        ini_complain(ini, EH_BAD_SYNTAX,
                     "expected [section], key = value, or a comment after ; or #");
    } else if (bad < 0) {
        ini_complain(ini, EH_NO_MEMORY, "out of memory");
    }
    return ini->status;
}

/* ---- Values ---- */

bool ini_first_time(struct ini_text *ini, int *seen, const char *section, const char *name) {
    if (*seen != 0) {
        ini_complain(ini, EH_BAD_SYNTAX,
                     "\"%s\" in [%s] was given in line %d already; keep one of them", name, section,
                     *seen);
        return false;
    }
    *seen = ini->line;
    return true;
}

static void write_number(char *out, size_t size, double value) {
    struct eh_text text = {0};
    decimal_write(&text, value);
    (void)snprintf(out, size, "%s", eh_text_string(&text));
    eh_text_deinit(&text);
}

bool ini_number(struct ini_text *ini, const char *section, const char *name, const char *value,
                double least, double most, double *out) {
    double number = 0.0;
    if (!decimal_read(value, &number)) {
        ini_complain(ini, EH_BAD_SYNTAX,
                     "\"%s\" expects a number such as 2.5 (with a point), found \"%s\"", name,
                     value);
        return false;
    }
    if (number < least || number > most) {
        char low[32];
        char high[32];
        write_number(low, sizeof low, least);
        write_number(high, sizeof high, most);
        ini_complain(ini, EH_OUT_OF_RANGE, "\"%s\" in [%s] must lie between %s and %s, found %s",
                     name, section, low, high, value);
        return false;
    }
    *out = number;
    return true;
}

bool ini_yes_no(struct ini_text *ini, const char *name, const char *value, bool *out) {
    if (strcmp(value, "yes") != 0 && strcmp(value, "no") != 0) {
        ini_complain(ini, EH_BAD_SYNTAX, "\"%s\" expects yes or no, found \"%s\"", name, value);
        return false;
    }
    *out = value[0] == 'y';
    return true;
}

bool ini_words(struct ini_text *ini, const char *name, const char *value, char *out, size_t size) {
    if (strlen(value) >= size) {
        ini_complain(ini, EH_BAD_SYNTAX, "\"%s\" may have at most %zu characters", name, size - 1);
        return false;
    }
    (void)snprintf(out, size, "%s", value);
    return true;
}

bool ini_plain_name(struct ini_text *ini, const char *name, const char *value, char *out,
                    size_t size) {
    const size_t plain = strspn(value, "abcdefghijklmnopqrstuvwxyz0123456789-_");
    if (plain == 0 || value[plain] != '\0') {
        ini_complain(ini, EH_BAD_SYNTAX,
                     "\"%s\" expects a name of small letters, digits, - and _, found \"%s\"", name,
                     value);
        return false;
    }
    return ini_words(ini, name, value, out, size);
}

/* ---- Unknown keys ---- */

void ini_consider(struct ini_nearest *nearest, const char *candidate) {
    const int distance = eh_text_distance(nearest->wanted, candidate);
    if (distance < nearest->distance) {
        nearest->distance = distance;
        nearest->best = candidate;
    }
}

/* SECTION NULL: sections are looked for; else the keys of that section. */
static const char *nearest_to(const struct ini_key *keys, size_t count, const char *wanted,
                              const char *section) {
    struct ini_nearest n = {wanted, "", INT_MAX};
    for (size_t i = 0; i < count; i++) {
        if (section == NULL || strcmp(keys[i].section, section) == 0) {
            ini_consider(&n, section == NULL ? keys[i].section : keys[i].name);
        }
    }
    return n.best;
}

void ini_unknown(struct ini_text *ini, const struct ini_key *keys, size_t count, const char *first,
                 const char *section, const char *name) {
    const char *key = nearest_to(keys, count, name, section);
    if (section[0] == '\0') {
        ini_complain(ini, EH_BAD_SYNTAX, "\"%s\" stands before the first section such as [%s]",
                     name, first);
    } else if (key[0] == '\0') {
        ini_complain(ini, EH_NOT_FOUND, "unknown section [%s]; nearest: [%s]", section,
                     nearest_to(keys, count, section, NULL));
    } else {
        ini_complain(ini, EH_NOT_FOUND, "unknown key \"%s\" in [%s]; nearest: \"%s\"", name,
                     section, key);
    }
}
