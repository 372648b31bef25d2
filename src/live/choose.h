/* Choosing one of several named things by a number or by part of its name. Pure. */
#ifndef EVENHAND_CHOOSE_H
#define EVENHAND_CHOOSE_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/status.h"

struct eh_choice {
    int number; /* from 1 */
    const char *name;
    bool unasked; /* may be taken when nothing is asked for */
};

struct eh_choice_words {
    const char *one;    /* "MIDI port" */
    const char *many;   /* "MIDI ports" */
    const char *option; /* how it is asked for: "--port" */
    const char *none;   /* the sentence when there is none at all */
};

/* Finds the index of what WANTED (NULL, "", a number, a name, part of a name) means. An exact name
 * wins over a part; a trailing " 20:0" of an ALSA name need not be given. Errors: EH_UNAVAILABLE
 * (there are none, or none to be taken unasked), EH_NOT_FOUND. */
EH_MUST_USE enum eh_status eh_choose(size_t *out_index, const struct eh_choice *choices,
                                     size_t count, const char *wanted,
                                     const struct eh_choice_words *words, struct eh_error *error);

/* True when PART occurs in WHOLE; ASCII letters are compared without case. */
bool eh_contains(const char *whole, const char *part);

#endif
