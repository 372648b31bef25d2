/* A contrast in words. */
#ifndef EVENHAND_REPORT_CONTRAST_WORDS_H
#define EVENHAND_REPORT_CONTRAST_WORDS_H

#include "evenhand/report.h"
#include "number.h"

const char *contrast_name(const struct eh_report_contrast *contrast, enum eh_contrast_level level);

/* DB in dynamic marks, with one decimal. */
struct report_number contrast_marks(double db);

/* Appends one sentence: whether the contrast is there, with its numbers, or why that is unclear. */
void contrast_say(struct eh_text *out, const struct eh_report_contrast *contrast);

#endif
