/* What `evenhand climb` says: after each pass what came of it and what comes next, at the end the
 * tempo held, clean passes against tempo, and what broke first.
 *
 * As in report.h: everything is appended to an eh_text, nothing prints, no line is wider than asked
 * for, numbers do not depend on the locale. Pure; any thread. LOOK may be NULL. Errors of those
 * that give a status: EH_NO_MEMORY. */
#ifndef EVENHAND_REPORT_CLIMB_H
#define EVENHAND_REPORT_CLIMB_H

#include "evenhand/ladder.h"
#include "evenhand/report.h"

struct eh_report_climb {
    const struct eh_ladder *ladder;
    const char *title;           /* of the exercise */
    const char *style;           /* its name */
    int32_t first_bar, last_bar; /* the loop; 0: from the first, to the last */
    uint32_t earlier_passes;     /* told from earlier sittings */
    uint32_t earlier_sittings;
};

/* The first lines: what is climbed, the rule, and where an earlier sitting left it. */
void eh_report_climb_head(const struct eh_report_climb *climb, const struct eh_report_look *look,
                          struct eh_text *out);

/* "Next: 86 to the quarter, hand motion." */
void eh_report_climb_next(const struct eh_report_climb *climb, double bpm,
                          enum eh_ladder_stage stage, const struct eh_report_look *look,
                          struct eh_text *out);

/* What pass NUMBER of this sitting came to: the ladder's latest step. */
void eh_report_climb_pass(const struct eh_report_climb *climb, int number,
                          const struct eh_report_look *look, struct eh_text *out);

/* The end: why it ended, the tempo held with its interval, a plot, what broke first, where it would
 * go on. */
EH_MUST_USE enum eh_status eh_report_climb(const struct eh_report_climb *climb,
                                           const struct eh_report_look *look, struct eh_text *out);

/* The same as one JSON document (docs/ladder.md). */
EH_MUST_USE enum eh_status eh_report_climb_json(const struct eh_report_climb *climb,
                                                struct eh_text *out);

#endif
