/* What a calibration has found, as text. */
#ifndef EVENHAND_CLI_CALIBRATE_REPORT_H
#define EVENHAND_CLI_CALIBRATE_REPORT_H

#include "evenhand/calibrate.h"
#include "evenhand/text.h"

/* Appends it; no line is wider than 80 columns. */
void calibrate_report(const struct eh_calibration *calibration, struct eh_text *out);

#endif
