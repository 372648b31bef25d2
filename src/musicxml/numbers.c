/* Numbers in a document, the same in every locale. */
#include "read.h"

enum { WHOLE_DIGITS = 9, PART_DIGITS = 6 };

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool mx_read_millionths(const char *text, int64_t *out) {
    int64_t number = 0;
    int digits = 0;
    int part = 0;
    const char *at = text + (*text == '+');
    for (; is_digit(*at); at++) {
        number = number * 10 + (*at - '0');
        if (++digits > WHOLE_DIGITS) {
            return false;
        }
    }
    if (*at == '.') {
        at++;
        for (; is_digit(*at); at++) {
            if (part < PART_DIGITS) {
                number = number * 10 + (*at - '0');
                part++;
            }
            digits++;
        }
    }
    for (; part < PART_DIGITS; part++) {
        number *= 10;
    }
    *out = number;
    return digits > 0 && *at == '\0';
}

bool mx_read_whole(const char *text, int low, int high, int *out) {
    int64_t millionths = 0;
    if (!mx_read_millionths(text, &millionths) || millionths % 1000000 != 0) {
        return false;
    }
    *out = (int)(millionths / 1000000);
    return *out >= low && *out <= high;
}

struct mx_quarters mx_quarters(eh_ticks ticks) {
    eh_ticks a = EH_TICKS_PER_QUARTER;
    eh_ticks b = ticks;
    while (b != 0) {
        const eh_ticks rest = a % b;
        a = b;
        b = rest;
    }
    return (struct mx_quarters){.over = ticks / a, .under = EH_TICKS_PER_QUARTER / a};
}
