/* Plain text in lines no wider than asked for. */
#ifndef EVENHAND_REPORT_PAPER_H
#define EVENHAND_REPORT_PAPER_H

#include "evenhand/report.h"
#include "evenhand/text.h"

struct report_paper {
    struct eh_text *out;
    int width;
    bool colour;
};

/* LOOK may be NULL. */
struct report_paper report_paper(const struct eh_report_look *look, struct eh_text *out);

/* A heading on a line of its own, a blank line before it. */
void report_heading(const struct report_paper *paper, const char *heading);

/* TEXT in lines; the first begins with LEAD (ASCII, under half a line), the others are indented as
 * far. Words longer than a line are broken. What would steer a terminal becomes "?". */
void report_wrap(const struct report_paper *paper, const char *lead, const char *text);

/* One line, cut at the width. */
void report_line(const struct report_paper *paper, const char *text);

/* TEXT in exactly COLUMNS columns, filled up at its right; cut with ".." where it is longer. */
void report_cell(struct eh_text *out, const char *text, int columns);

/* How many columns TEXT takes. */
int report_columns(const char *text);

#endif
