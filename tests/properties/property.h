/* What must hold of every run, whoever played what. Each property says why it does not hold. */
#ifndef TESTS_PROPERTIES_PROPERTY_H
#define TESTS_PROPERTIES_PROPERTY_H

#include <stdbool.h>

#include "sample.h"

struct property {
    const char *name;
    const char *says;
    enum sample_kind kind;
    int rare; /* how many runs in ten thousand may fail all the same; 0 but for one */
    bool (*holds)(const struct sample *sample, struct eh_text *why);
};

/* Fed hit by hit, in any chunks, with time passing in between or not, the follower says the same,
 * what it has settled never changes, and the document has the same bytes. */
bool property_chunks(const struct sample *sample, struct eh_text *why);

/* All times later by a constant: nothing changes but start_ms, due_ms and time_ms. */
bool property_shift(const struct sample *sample, struct eh_text *why);

/* Only the hits later or earlier by up to 40 ms: nothing changes but offsets. Not exact: the
 * follower awaits the first stroke on the click, and looks at the clock four times a second. */
bool property_offset(const struct sample *sample, struct eh_text *why);

/* Hands swapped in the exercise: the findings are swapped. */
bool property_mirror(const struct sample *sample, struct eh_text *why);

/* All velocities times a factor: no verdict changes. */
bool property_gain(const struct sample *sample, struct eh_text *why);

/* ... and no number either. Not quite exact: where two matchings are equally good, the last bit of
 * a logarithm chooses. */
bool property_levels(const struct sample *sample, struct eh_text *why);

/* What the document says adds up. */
bool property_document(const struct sample *sample, struct eh_text *why);

/* A stroke is settled a second after it was due or at its bar's end, whichever is later. */
bool property_settling(const struct sample *sample, struct eh_text *why);

/* Kept in the history and judged again: the same bytes. */
bool property_store(const struct sample *sample, struct eh_text *why);

#endif
