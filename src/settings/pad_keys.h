/* The numeric keys of a pad file: where each goes and what it may be. */
#ifndef EVENHAND_SETTINGS_PAD_KEYS_H
#define EVENHAND_SETTINGS_PAD_KEYS_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/pad.h"

struct pad_key {
    const char *section;
    const char *name;
    size_t offset;      /* in struct eh_pad */
    bool is_ns;         /* an int64_t in ns, written in ms; else a double, written as it is */
    double least, most; /* as written */
};

/* COUNT is set to how many there are; they are grouped by section. */
const struct pad_key *pad_keys(size_t *out_count);

/* The value as written. */
double pad_key_get(const struct pad_key *key, const struct eh_pad *pad);
void pad_key_set(const struct pad_key *key, struct eh_pad *pad, double written);

#endif
