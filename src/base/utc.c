#include "evenhand/utc.h"

#include <stdio.h>
#include <string.h>

/* The first second of the year 0 and the last of 9999. */
#define FIRST_SECOND INT64_C(-62167219200)
#define LAST_SECOND INT64_C(253402300799)

enum { UTC_LENGTH = 20, UTC_SIZE = 64, DAY_S = 86400 };

/* Years that begin in March put the leap day last, eras of 400 years repeat. */
void eh_civil_date(int64_t days, int64_t *out_year, int *out_month, int *out_day) {
    const int64_t shifted = days + 719468; /* from 0000-03-01 */
    const int64_t era = (shifted >= 0 ? shifted : shifted - 146096) / 146097;
    const int64_t of_era = shifted - era * 146097;
    const int64_t year = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    const int of_year = (int)(of_era - (365 * year + year / 4 - year / 100));
    const int month = (5 * of_year + 2) / 153; /* from March */
    *out_day = of_year - (153 * month + 2) / 5 + 1;
    *out_month = month < 10 ? month + 3 : month - 9;
    *out_year = year + era * 400 + (*out_month <= 2);
}

static void print_into(char out[UTC_SIZE], int64_t seconds) {
    const int64_t s = seconds < FIRST_SECOND  ? FIRST_SECOND
                      : seconds > LAST_SECOND ? LAST_SECOND
                                              : seconds;
    const int64_t days = (s >= 0 ? s : s - (DAY_S - 1)) / DAY_S;
    const int in_day = (int)(s - days * DAY_S);
    int64_t year = 0;
    int month = 0;
    int day = 0;
    eh_civil_date(days, &year, &month, &day);
    (void)snprintf(out, UTC_SIZE, "%04d-%02d-%02dT%02d:%02d:%02dZ", (int)year, month, day,
                   in_day / 3600, in_day / 60 % 60, in_day % 60);
}

void eh_utc_print(int64_t seconds, struct eh_text *out) {
    char text[UTC_SIZE];
    print_into(text, seconds);
    eh_text_add(out, text);
}

/* The number of N digits from FROM on, of a text that has them. */
static int digits(const char *text, int from, int n) {
    int value = 0;
    for (int i = from; i < from + n; i++) {
        value = value * 10 + (text[i] - '0');
    }
    return value;
}

/* POSIX 2008, "Seconds Since the Epoch" (base definitions, 4.16). DAY counts from 0. */
static int64_t since_epoch(int64_t year, int64_t day, int64_t second) {
    const int64_t y = year - 1900;
    return second + day * DAY_S + (y - 70) * 365 * DAY_S + (y - 69) / 4 * DAY_S -
           (y - 1) / 100 * DAY_S + (y + 299) / 400 * DAY_S;
}

static bool has_shape(const char *text) {
    static const char shape[] = "0000-00-00T00:00:00Z";
    if (strlen(text) != UTC_LENGTH) {
        return false;
    }
    for (int i = 0; i < UTC_LENGTH; i++) {
        const bool digit = text[i] >= '0' && text[i] <= '9';
        if (shape[i] == '0' ? !digit : text[i] != shape[i]) {
            return false;
        }
    }
    return true;
}

bool eh_utc_read(const char *text, int64_t *out_seconds) {
    static const int before[12] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334};
    if (!has_shape(text)) {
        return false;
    }
    const int year = digits(text, 0, 4);
    const int month = digits(text, 5, 2);
    if (year < 1970 || month < 1 || month > 12) {
        return false;
    }
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    const int day = before[month - 1] + (month > 2 && leap ? 1 : 0) + digits(text, 8, 2) - 1;
    const int second = digits(text, 11, 2) * 3600 + digits(text, 14, 2) * 60 + digits(text, 17, 2);
    const int64_t seconds = since_epoch(year, day, second);
    /* A 31st of June or a 25th hour comes out as another text. */
    char again[UTC_SIZE];
    print_into(again, seconds);
    if (strcmp(again, text) != 0) {
        return false;
    }
    *out_seconds = seconds;
    return true;
}
