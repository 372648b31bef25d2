/* What `evenhand audition --choose` says: the tempo that is proposed, with the runs that speak for
 * it and against it.
 *
 * As in report.h: appended to an eh_text, nothing prints, no line is wider than asked for. Pure. */
#ifndef EVENHAND_REPORT_OFFER_H
#define EVENHAND_REPORT_OFFER_H

#include "evenhand/offer.h"
#include "evenhand/report.h"

/* Runs of some bars only. */
struct eh_offer_part {
    int32_t first_bar, last_bar;
    uint32_t runs;
    double fastest_bpm;
};

struct eh_report_offer {
    const struct eh_offer *offer;
    const struct eh_offer_run *runs; /* as the offer sorted them */
    const char *title;
    const char *style;
    const char *player; /* "" where nobody is named */
    const char *name;   /* of the exercise, as it is typed behind a command */
    const char *more;   /* options that the next command needs too: "--player ada", or "" */
    const struct eh_offer_part *parts;
    size_t part_count;
    uint32_t left_out; /* runs that could not be used: lost hits, broken off, another version */
};

/* Appends the proposal, its reasons, a table of the tempi, and the command to type. LOOK may be
 * NULL. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_offer(const struct eh_report_offer *report,
                                           const struct eh_report_look *look, struct eh_text *out);

#endif
