/* The offset over the bars, drawn in text. */
#ifndef EVENHAND_REPORT_PULSE_PLOT_H
#define EVENHAND_REPORT_PULSE_PLOT_H

#include "evenhand/plan.h"
#include "evenhand/pulse.h"

#include "paper.h"

/* One column or three a bar, as many bars in a row as fit; o with the click, x without; above the
 * line is late. */
void pulse_plot(const struct report_paper *paper, const struct eh_pulse *pulse,
                const struct eh_plan *plan);

#endif
