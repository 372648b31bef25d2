#include "evenhand/report.h"

#include "paper.h"

/* 85 dBA over 8 hours, half the time for each 3 dB more: NIOSH, Criteria for a Recommended
 * Standard: Occupational Noise Exposure, 1998 (publication number 98-126 from memory). The rest is
 * common practice, no source. */
static const char caution[] =
    "Stop when something hurts, tingles or goes numb, and rest it. Take a few minutes off in "
    "every half hour. Protect your hearing: keep headphones low and wear protection at a loud "
    "drum (85 dBA is enough for 8 hours, each 3 dB more halves the time). If trouble stays, see a "
    "doctor, physiotherapist or audiologist; what they and the rules where you live say comes "
    "first.";

void eh_report_caution(const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    report_heading(&paper, "Take care");
    report_wrap(&paper, "", caution);
}
