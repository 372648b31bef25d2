/* What `evenhand today` says: the plan before it begins, what comes next, a pass, and at the end
 * what had failed before beside what it is now.
 *
 * As in report.h: everything is appended to an eh_text, nothing prints, no line is wider than asked
 * for, numbers do not depend on the locale. Pure; any thread. LOOK may be NULL. Each returns
 * EH_NO_MEMORY, or EH_OK. */
#ifndef EVENHAND_REPORT_TODAY_H
#define EVENHAND_REPORT_TODAY_H

#include "evenhand/agenda.h"
#include "evenhand/judgement.h"
#include "evenhand/pool.h"
#include "evenhand/report.h"

/* A piece of the agenda in words. */
struct eh_today_piece {
    const char *exercise; /* its name */
    const char *style;
    int32_t bars;   /* written */
    double least_n; /* of its style */
};

/* What today's passes of an item measured of its fault. */
struct eh_today_now {
    struct eh_pool pool;
    uint32_t passes; /* that were judged */
    bool both;       /* the hands could not be told apart in some of them */
};

/* The plan as a table: items with bars, tempo, passes and reason, their order, the rests. PIECES
 * are the agenda's. */
EH_MUST_USE enum eh_status eh_report_today_plan(const struct eh_agenda *agenda,
                                                const struct eh_today_piece *pieces, double minutes,
                                                const struct eh_report_look *look,
                                                struct eh_text *out);

/* What comes next, before its count-in: STEP of the agenda. */
EH_MUST_USE enum eh_status eh_report_today_step(const struct eh_agenda *agenda, size_t step,
                                                const struct eh_today_piece *pieces,
                                                const struct eh_report_look *look,
                                                struct eh_text *out);

/* A pass of ITEM that was played, from 1: its fault's number in it; where there is none, the
 * judgement's headline. */
EH_MUST_USE enum eh_status eh_report_today_pass(const struct eh_agenda_item *item, int32_t pass,
                                                const struct eh_judgement *judgement,
                                                const struct eh_report_look *look,
                                                struct eh_text *out);

/* What had failed: the number before, the number now, both with their 90 % intervals. NOW has one
 * place an item of the agenda. */
EH_MUST_USE enum eh_status eh_report_today_end(const struct eh_agenda *agenda,
                                               const struct eh_today_piece *pieces,
                                               const struct eh_today_now *now,
                                               const struct eh_report_look *look,
                                               struct eh_text *out);

#endif
