/* What the player's beat did in silent bars, as text and as part of the judgement document.
 *
 * As in report.h: pure, any thread, nothing is owned. */
#ifndef EVENHAND_REPORT_PULSE_H
#define EVENHAND_REPORT_PULSE_H

#include "evenhand/judgement.h"
#include "evenhand/plan.h"
#include "evenhand/pulse.h"
#include "evenhand/report.h"

/* Appends what it did in a sentence, a table by stretch and by length, and a plot of the offset
 * over the bars. PULSE has at least one stretch; PLAN is the one that it was measured on. LOOK may
 * be NULL. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_pulse(const struct eh_pulse *pulse, const struct eh_plan *plan,
                                           const struct eh_report_look *look, struct eh_text *out);

/* eh_report_judgement with PULSE before the cautions; the same where PULSE is NULL or has no
 * stretch. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_judgement_pulse(const struct eh_judgement *judgement,
                                                     const struct eh_pulse *pulse,
                                                     const struct eh_report_look *look,
                                                     struct eh_text *out);

/* eh_report_json with PULSE in it; the same without a stretch. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_json_pulse(const struct eh_judgement *judgement,
                                                const struct eh_pulse *pulse, struct eh_text *out);

#endif
