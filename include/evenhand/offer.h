/* Which tempo to audition at: the fastest at which whole runs of a piece have been clean.
 *
 * What a clean run is, is the ladder's answer (ladder.h). Runs whose tempi differ by less than 2 %
 * count as runs at one tempo (without a click nobody plays the same one twice). A tempo can be
 * proposed when at least two runs there were clean and no more than one of four was not, as held.h
 * has the tempo held, and when it is not above what all runs together make likely (the upper end of
 * the 90 % interval of the tempo held). Where there is none, the fastest with a clean run and not
 * more that were not clean is proposed as what it is: a single one. The numbers two, one of four
 * and 2 % are choices of ours.
 *
 * Pure; any thread. */
#ifndef EVENHAND_OFFER_H
#define EVENHAND_OFFER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/held.h"
#include "evenhand/ladder.h"
#include "evenhand/places.h"

/* A whole run of the piece. */
struct eh_offer_run {
    int64_t number;
    int64_t day; /* days since 1970, where it was played */
    double bpm;
    uint8_t answer;              /* enum eh_ladder_answer */
    struct eh_ladder_fault why;  /* UNCLEAN: what stood out */
    int32_t first_bar, last_bar; /* of WHY; 0: of the whole run */
};

/* Runs at one tempo. */
struct eh_offer_tempo {
    double bpm;          /* their mean */
    size_t first, count; /* in the runs, which are sorted by tempo */
    uint32_t clean, unclean, unclear;
    int64_t latest_day;
    int64_t latest_clean_day;
};

enum eh_offer_kind {
    EH_OFFER_NONE,   /* no run was clean, or more were not */
    EH_OFFER_SINGLE, /* one clean run, or too few beside those that were not: no more than a hint */
    EH_OFFER_CLEAN   /* two clean runs at least */
};

struct eh_offer {
    uint8_t kind;                 /* enum eh_offer_kind */
    struct eh_offer_tempo *tempi; /* owned; rising */
    size_t tempo_count, chosen;   /* CHOSEN: of the tempi; unless NONE */
    bool held_known;              /* any run was clean or not */
    struct eh_held held;          /* three of four whole runs are clean there */
    double clean_chance;          /* of a whole run at the chosen tempo, by the same curve */
};

/* Sorts RUNS by tempo and weighs them. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_offer_make(struct eh_offer *out, struct eh_offer_run *runs,
                                         size_t count);

/* What a run says by itself: fills ANSWER, WHY and its bars. A run whose findings are clean but
 * which surely fails in some bars (PLACES) is not clean. Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE (a
 * tempo that no ladder has). */
EH_MUST_USE enum eh_status eh_offer_answer(struct eh_offer_run *run,
                                           const struct eh_judgement *judgement,
                                           const struct eh_places *places);

/* An all-zero one is accepted. */
void eh_offer_deinit(struct eh_offer *offer);

#endif
