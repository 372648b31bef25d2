/* What is said about the player's hands and ears: usual cautions with their sources, no medical
 * advice. All functions are pure; LOOK may be NULL. */
#ifndef EVENHAND_REPORT_CARE_H
#define EVENHAND_REPORT_CARE_H

#include "evenhand/care.h"
#include "evenhand/report.h"

/* Appends what NOTICE asks for, a few lines with a blank one before; nothing where it asks for
 * nothing. */
void eh_report_care(const struct eh_care_notice *notice, const struct eh_report_look *look,
                    struct eh_text *out);

/* Appends the whole of it, with the sources. */
void eh_report_care_page(const struct eh_report_look *look, struct eh_text *out);

#endif
