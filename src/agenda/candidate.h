/* What a plan can be made of, and how much each of it asks to be in it. */
#ifndef EVENHAND_AGENDA_CANDIDATE_H
#define EVENHAND_AGENDA_CANDIDATE_H

#include "span.h"

struct candidate {
    struct eh_agenda_item item; /* without passes and seconds */
    double score;               /* > 0; only orders */
};

/* Once a week is as far apart as spacing still adds: docs/today.md. DAYS may be EH_AGENDA_NONE. */
double candidate_spacing(int64_t days);

/* A fault of PIECE's that fails: false where ASPECT of SIDE does not. */
bool candidate_fails(const struct eh_agenda_input *input, size_t piece, uint8_t aspect,
                     uint8_t side, struct candidate *out);

/* What else PIECE asks for: after days of rest, a little faster, or again. False: nothing. */
bool candidate_holds(const struct eh_agenda_input *input, size_t piece, struct candidate *out);

/* The latest whole run of PIECE without a fault; NULL: there is none. */
const struct eh_agenda_run *candidate_clean(const struct eh_agenda_input *input, size_t piece);

/* Chooses passes and turns, and puts them in order: AGENDA's items [0 .. work_count) are what takes
 * turns. WARM_UP and RUN_THROUGH may be NULL. False: not even one turn fits. */
bool pack_turns(const struct eh_agenda_input *input, const struct eh_agenda_item *work,
                size_t work_count, const struct eh_agenda_item *warm_up,
                const struct eh_agenda_item *run_through, struct eh_agenda *out);

#endif
