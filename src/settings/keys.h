/* The keys of a style file: where each goes and what it may be. */
#ifndef EVENHAND_SETTINGS_KEYS_H
#define EVENHAND_SETTINGS_KEYS_H

#include <stddef.h>

struct style_key {
    const char *section;
    const char *name;
    size_t offset; /* of a double in struct eh_style */
    double least, most;
};

/* COUNT is set to how many there are; they are grouped by section. */
const struct style_key *style_keys(size_t *out_count);

#endif
