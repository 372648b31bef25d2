/* Numbers on the command line, read by hand so that no locale can change a decimal point and no
 * "inf", "nan" or "0x10" slips through. */
#include "options.h"

enum { MOST_DIGITS = 18 };

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* Reads digits into *OUT; the number of digits read. */
static int read_digits(const char **text, int64_t *out) {
    int digits = 0;
    for (; is_digit(**text) && digits <= MOST_DIGITS; (*text)++, digits++) {
        if (digits < MOST_DIGITS) {
            *out = *out * 10 + (**text - '0');
        }
    }
    return digits;
}

bool options_read_integer(const char *text, int64_t *out_integer) {
    const bool negative = *text == '-';
    if (negative) {
        text++;
    }
    int64_t value = 0;
    const int digits = read_digits(&text, &value);
    if (digits == 0 || digits > MOST_DIGITS || *text != '\0') {
        return false;
    }
    *out_integer = negative ? -value : value;
    return true;
}

bool options_read_number(const char *text, double *out_number) {
    const bool negative = *text == '-';
    if (negative) {
        text++;
    }
    int64_t mantissa = 0;
    const int whole = read_digits(&text, &mantissa);
    int64_t fraction = 0;
    int places = 0;
    if (*text == '.') {
        text++;
        places = read_digits(&text, &fraction);
        if (places == 0) {
            return false;
        }
    }
    if (whole == 0 || whole > MOST_DIGITS || places > MOST_DIGITS || *text != '\0') {
        return false;
    }
    double scale = 1.0;
    for (int i = 0; i < places; i++) {
        scale *= 10.0;
    }
    const double value = (double)mantissa + (double)fraction / scale;
    *out_number = negative ? -value : value;
    return true;
}
