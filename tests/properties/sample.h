/* One random run: an exercise, what somebody made of it, and how it is to be judged. */
#ifndef TESTS_PROPERTIES_SAMPLE_H
#define TESTS_PROPERTIES_SAMPLE_H

#include <stdint.h>

#include "evenhand/judgement.h"
#include "evenhand/text.h"

enum sample_kind {
    SAMPLE_ANY,  /* half of them sane; the others with any exercise, player, pad or click */
    SAMPLE_SANE, /* an exercise that people practise, a player who plays it, a default pad */
    SAMPLE_CLEAN /* ... who leaves nothing out and adds nothing */
};

struct sample {
    uint64_t seed;
    enum sample_kind kind; /* as asked for */
    bool sane;             /* as made */
    struct eh_exercise *exercise;
    struct eh_take take; /* the pad's hits; what a file written by sample_write holds */
    struct eh_pad pad;
    struct eh_style style;
    struct eh_judge_request request;
};

/* The same SEED gives the same sample. Times lie after the take's zero. Ends the program where it
 * has no memory, as all functions here. */
void sample_make(struct sample *out, uint64_t seed, enum sample_kind kind);
void sample_copy(struct sample *out, const struct sample *from);
void sample_deinit(struct sample *sample);

/* Judges it; NULL where that is refused: *OUT_STATUS says why. */
struct eh_judgement *sample_judge(const struct sample *sample, enum eh_status *out_status);

/* Appends the document, or the words of a refusal. */
void sample_json(const struct sample *sample, struct eh_text *out);

/* Writes PATH.txt and PATH.mid for `evenhand judge`, and appends the command that judges them. What
 * a file cannot say (passes, bars, a pad of one's own, a coarser clock) is left out. False when a
 * file cannot be written. */
bool sample_write(const struct sample *sample, const char *path, struct eh_text *command);

#endif
