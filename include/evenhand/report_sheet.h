/* The sheet that is handed out after an audition: whether the tempo was kept and where it was not,
 * what fails and in which bars, what holds, what stays open, what to work on first and with which
 * command, and the numbers of it all.
 *
 * As in report.h: everything is appended to an eh_text, nothing prints, no line is wider than asked
 * for (but a command whose exercise has a name longer than a line), numbers do not depend on the
 * locale. Pure; any thread. */
#ifndef EVENHAND_REPORT_SHEET_H
#define EVENHAND_REPORT_SHEET_H

#include "evenhand/judgement.h"
#include "evenhand/places.h"
#include "evenhand/report.h"
#include "evenhand/tempo_course.h"

struct eh_sheet {
    const struct eh_judgement *judgement;
    const struct eh_places *places;       /* of it */
    const struct eh_tempo_course *course; /* of it */
    const char *name;                     /* of the exercise, as it is typed behind a command */
    const char *played; /* which run it is and when it was played; "" where nobody knows */
};

/* Appends the sheet. LOOK may be NULL. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_sheet(const struct eh_sheet *sheet,
                                           const struct eh_report_look *look, struct eh_text *out);

#endif
