/* Earlier sittings of the same climb: what they found is told to the ladder again. */
#ifndef EVENHAND_CLI_CLIMB_PAST_H
#define EVENHAND_CLI_CLIMB_PAST_H

#include "evenhand/ladder.h"
#include "evenhand/store.h"

/* What the passes were played from, as texts: a changed exercise is another climb. */
struct climb_past {
    const char *db;
    const char *player, *exercise, *asked;
    const char *texts[EH_STAGE_COUNT]; /* canonical; NULL: not played in this climb */
    uint32_t passes, sittings;         /* told */
    int32_t sitting;                   /* the ladder's number for the one that begins now */
    int64_t open_sitting; /* of today and not at its end: goes on as the same; 0: none */
    int64_t open_begun_utc_s;
};

/* Tells LADDER of every pass that is kept. Runs that cannot be judged again are passed over aloud.
 * Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int climb_past_tell(struct climb_past *past, struct eh_ladder *ladder);

#endif
