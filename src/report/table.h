/* The tables of the end report. */
#ifndef EVENHAND_REPORT_TABLE_H
#define EVENHAND_REPORT_TABLE_H

#include "evenhand/judgement.h"
#include "paper.h"

/* "By bar", with a last row for everything, and "By pass" where there were several. Shows only
 * columns that hold something. Columns that do not fit beside each other follow in a second
 * block. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status report_tables(const struct report_paper *paper,
                                         const struct eh_judgement *judgement);

#endif
