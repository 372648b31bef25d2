#include "number.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#include "evenhand/hit.h"

static const double largest = 1e12;

bool report_known(double value) {
    return isfinite(value) && fabs(value) < largest;
}

static int64_t power_of_ten(int exponent) {
    int64_t power = 1;
    while (exponent-- > 0) {
        power *= 10;
    }
    return power;
}

/* printf's %f would take the decimal point from the locale; whole numbers have none. */
static struct report_number fixed(double value, int decimals, const char *plus) {
    struct report_number number = {"?"};
    if (!report_known(value)) {
        return number;
    }
    const int64_t unit = power_of_ten(decimals);
    const int64_t scaled = llround(fabs(value) * (double)unit);
    const char *sign = scaled == 0 ? "" : value < 0.0 ? "-" : plus;
    if (decimals == 0) {
        (void)snprintf(number.text, sizeof number.text, "%s%" PRId64, sign, scaled);
    } else {
        (void)snprintf(number.text, sizeof number.text, "%s%" PRId64 ".%0*" PRId64, sign,
                       scaled / unit, decimals, scaled % unit);
    }
    return number;
}

struct report_number report_fixed(double value, int decimals) {
    return fixed(value, decimals, "");
}

struct report_number report_bpm(double bpm) {
    static const double rounded = 0.005; /* what whole microseconds can take off below 400 */
    return report_fixed(bpm, fabs(bpm - round(bpm)) < rounded ? 0 : 1);
}

struct report_number report_signed(double value, int decimals) {
    return fixed(value, decimals, "+");
}

struct report_number report_ms(int64_t ns) {
    struct report_number number;
    const int64_t us = ns / 1000 + (ns % 1000 >= 500) - (ns % 1000 <= -500);
    const uint64_t size = us < 0 ? -(uint64_t)us : (uint64_t)us;
    (void)snprintf(number.text, sizeof number.text, "%s%" PRIu64 ".%03" PRIu64, us < 0 ? "-" : "",
                   size / 1000, size % 1000);
    return number;
}

struct report_number report_velocity(uint16_t velocity) {
    struct report_number number;
    int length =
        snprintf(number.text, sizeof number.text, "%u", (unsigned)velocity / EH_VELOCITY_UNIT);
    unsigned rest = (unsigned)velocity % EH_VELOCITY_UNIT;
    if (rest != 0) {
        number.text[length++] = '.';
    }
    while (rest != 0) { /* 512 is a power of two: at most nine decimals */
        rest *= 10;
        number.text[length++] = (char)('0' + rest / EH_VELOCITY_UNIT);
        rest %= EH_VELOCITY_UNIT;
    }
    number.text[length] = '\0';
    return number;
}

struct report_number report_beat_fraction(eh_ticks in_bar) {
    struct report_number number;
    const eh_ticks from_one = in_bar + EH_TICKS_PER_QUARTER;
    const eh_ticks shared = eh_common_divisor(from_one, EH_TICKS_PER_QUARTER);
    const eh_ticks below = EH_TICKS_PER_QUARTER / shared;
    int length =
        snprintf(number.text, sizeof number.text, "%" PRId64, (int64_t)(from_one / shared));
    if (below != 1) {
        (void)snprintf(number.text + length, sizeof number.text - (size_t)length, "/%" PRId64,
                       (int64_t)below);
    }
    return number;
}
