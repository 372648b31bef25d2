/* The pad, and how old its calibration is. */
#include "evenhand/report.h"
#include "evenhand/utc.h"

enum { DAY_S = 86400 };

static void add_age(struct eh_text *out, int64_t age_s) {
    const long long days = age_s / DAY_S;
    if (age_s < 0) {
        eh_text_add(out, " (later than this: one of the two clocks is wrong)");
    } else if (days == 0) {
        eh_text_add(out, " (less than a day old)");
    } else {
        eh_text_printf(out, " (%lld day%s old)", days, days == 1 ? "" : "s");
    }
}

void eh_report_pad(const struct eh_pad *pad, int64_t played_utc_s, struct eh_text *out) {
    eh_text_printf(out, "pad \"%s\", ", pad->name);
    if (pad->calibrated_utc_s <= 0) {
        eh_text_add(out, "not calibrated");
        return;
    }
    int64_t year = 0;
    int month = 0;
    int day = 0;
    eh_civil_date(pad->calibrated_utc_s / DAY_S, &year, &month, &day);
    eh_text_printf(out, "calibrated %04d-%02d-%02d", (int)year, month, day);
    if (played_utc_s > 0) {
        add_age(out, played_utc_s - pad->calibrated_utc_s);
    }
}
