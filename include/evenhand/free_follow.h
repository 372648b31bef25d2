/* Where a player is who plays to no click: followed hit by hit at his own tempo.
 *
 * The search of free_tempo.h while it is going on: the place and the tempo that are likeliest by
 * what has been heard so far. The next hits may show that it was another one, so this is for what
 * is shown while somebody plays, for noticing the end, and for finding out how far somebody got who
 * broke off; the judgement of the whole run looks at all of it again. Pure; one thread at a time.
 */
#ifndef EVENHAND_FREE_FOLLOW_H
#define EVENHAND_FREE_FOLLOW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"
#include "evenhand/status.h"

struct eh_free_follower;

/* A bar as far as it was heard. */
struct eh_free_bar {
    uint32_t strokes; /* main strokes in it; 0: no bar, and the rest says nothing */
    uint32_t bar;     /* index into the plan's bars */
    double bpm;       /* quarters a minute; NAN where it is not known */
};

struct eh_free_place {
    bool known;              /* a tempo is known: two strokes at least */
    uint32_t due;            /* known: the latest stroke that was found */
    struct eh_free_bar in;   /* its bar, so far; its tempo is that of the moment */
    struct eh_free_bar left; /* the bar before it, as it was played; its tempo is the mean from its
                                first stroke to the next bar's */
    uint32_t loose;          /* hits since that stroke that fit nothing written so far */
    int64_t at_ns;           /* when that stroke came */
    int64_t next_ns;  /* known: when the next stroke is due at the tempo of the moment, on the
                         hits' clock; INT64_MAX after the last */
    int64_t end_ns;   /* known: likewise the last bar line */
    bool uneven_taps; /* the hits that were to be the count-off are none: the music is looked for
                         from the next hit on, without it */
};

/* A follower for PLAN, whose tempo is not looked at. COUNT_OFF taps come first (0 = none; else 2 ..
 * EH_COUNT_OFF_MAX). HITS are those of the pad in rising order: the caller adds to them and tells
 * each one. PLAN, HITS and PAD must outlive it. Errors: EH_NO_MEMORY, EH_EMPTY (no strokes). */
EH_MUST_USE enum eh_status eh_free_follower_new(struct eh_free_follower **out,
                                                const struct eh_plan *plan,
                                                const struct eh_pad *pad, int32_t count_off,
                                                const struct eh_hit *hits);

/* HITS[HIT] has come; every one, from 0 on. Allocates nothing; its cost does not depend on how many
 * came before. */
void eh_free_follower_feed(struct eh_free_follower *follower, size_t hit);

void eh_free_follower_place(const struct eh_free_follower *follower, struct eh_free_place *out);

/* NULL is accepted. */
void eh_free_follower_free(struct eh_free_follower *follower);

/* Which main strokes the first COUNT hits were, as far as the follower sees it at the last of them:
 * OUT_DUE, of COUNT, gets each hit's, or EH_FREE_NO_DUE. Other arguments and errors as
 * eh_free_follower_new. */
#define EH_FREE_NO_DUE UINT32_MAX
EH_MUST_USE enum eh_status eh_free_reach(const struct eh_plan *plan, const struct eh_pad *pad,
                                         int32_t count_off, const struct eh_hit *hits, size_t count,
                                         uint32_t *out_due);

#endif
