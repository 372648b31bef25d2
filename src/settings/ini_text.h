/* What the readers of INI texts share: lines, complaints and values. The only door to inih. */
#ifndef EVENHAND_SETTINGS_INI_TEXT_H
#define EVENHAND_SETTINGS_INI_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/status.h"

/* Longest line, its end not counted. */
enum { INI_LINE_MAX = 190 };

/* A text that is being read. The first complaint is kept and ends the reading. */
struct ini_text {
    struct eh_error *error;
    enum eh_status status;
    int line;      /* the one given out last */
    int complaint; /* line of the complaint */
    const char *text;
    size_t length, at;
};

/* Called for each key in order; INI->line is its line. Values are trimmed, comments removed. */
typedef void ini_take(void *user, const char *section, const char *name, const char *value);

/* Reads LENGTH bytes; returns the first complaint's status. */
enum eh_status ini_read(struct ini_text *ini, const char *text, size_t length, ini_take *take,
                        void *user);

/* Complains about the line being read. */
enum eh_status ini_complain(struct ini_text *ini, enum eh_status status, const char *format, ...)
    EH_PRINTF(3, 4);

/* Remembers in SEEN (0 = not yet) the line of a key that may stand once; complains and says false
 * the second time. */
bool ini_first_time(struct ini_text *ini, int *seen, const char *section, const char *name);

/* Values. Each leaves OUT alone and says false when it complains. */
bool ini_number(struct ini_text *ini, const char *section, const char *name, const char *value,
                double least, double most, double *out);
bool ini_yes_no(struct ini_text *ini, const char *name, const char *value, bool *out);
/* Any words of less than SIZE bytes. */
bool ini_words(struct ini_text *ini, const char *name, const char *value, char *out, size_t size);
/* Small letters, digits, - and _ only. */
bool ini_plain_name(struct ini_text *ini, const char *name, const char *value, char *out,
                    size_t size);

/* The nearest of the names considered so far: start with {wanted, "", INT_MAX}. */
struct ini_nearest {
    const char *wanted, *best;
    int distance;
};
void ini_consider(struct ini_nearest *nearest, const char *candidate);

/* One of the keys that a text may hold. */
struct ini_key {
    const char *section, *name;
};

/* Complains about a key that is none of the KEYS, naming the nearest section or key; FIRST is a
 * section to show as an example. */
void ini_unknown(struct ini_text *ini, const struct ini_key *keys, size_t count, const char *first,
                 const char *section, const char *name);

#endif
