/* Where in a run a fault lies: its bars, judged by themselves.
 *
 * Every stretch of 1, 2, 3, 4, 6, 8, 12, 16 ... written bars, up to half of the run, is measured
 * like a run of its own, by the same estimators. So many stretches would cry wolf: the interval of
 * each is widened until all stretches of one finding hold the truth together in 90 of 100 runs
 * (Bonferroni: the normal quantile of 1 - 0.05 / stretches in place of 0.95's), and a stretch fails
 * only when all of that lies beyond the limit. Exact counts have no interval: there the stretch is
 * asked how likely so many would be by chance where as many fail as the style allows.
 *
 * Of the stretches that fail, the one is told that is furthest beyond the limit in its own
 * half-widths; then the next that shares no bar with it, and so on: the maximum of a scan lies at
 * the place of a change (Olshen, Venkatraman, Lucito & Wigler 2004, Biostatistics 5, 557-572, who
 * look for segments in this way). Where the whole run fails, a stretch has to be further beyond by
 * one standard error; else the fault is throughout. Its ends are settled bar by bar: bars whose own
 * estimate is fine are left out at the edges, bars beyond the same limit beside it are taken in. A
 * buzz is called gapped for one gap in ten: such a stretch is cut to the bars that the judge names,
 * if these fail by themselves.
 *
 * Pure; any thread. */
#ifndef EVENHAND_PLACES_H
#define EVENHAND_PLACES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/judgement.h"

enum { EH_PLACES_MAX = 6 };

/* Written bars in which an aspect surely fails. */
struct eh_place {
    int32_t first_bar, last_bar;
    struct eh_finding finding; /* of these bars alone; LOW and HIGH as widened; no BARS. Of both
                                  hands where the bars have too few strokes to tell them apart */
};

/* One finding of the run, and where it lies. */
struct eh_located {
    struct eh_finding finding; /* of the whole run; its aspect and side are the place's too. Where
                                  only a stretch asks for this side: UNCLEAR, without numbers */
    bool throughout;           /* a fault, and no stretch is further beyond */
    struct eh_place places[EH_PLACES_MAX]; /* by bar */
    size_t place_count;
    uint32_t stretches; /* that were looked at */
};

struct eh_places {
    struct eh_located *located; /* owned; the run's findings in their order, then the others */
    size_t count;
};

/* Looks for the places of all findings but tempo's, which has a course of its own (tempo_course.h),
 * and those of dynamics and hairpins, whose bars the judge names against the whole run.
 * Errors: EH_NO_MEMORY. Give OUT back with eh_places_deinit. */
EH_MUST_USE enum eh_status eh_places_find(struct eh_places *out,
                                          const struct eh_judgement *judgement);

/* An all-zero one is accepted. */
void eh_places_deinit(struct eh_places *places);

#endif
