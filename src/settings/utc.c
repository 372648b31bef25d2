#include "utc.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

#include "evenhand/pad_file.h"

/* The last second of the year 9999. */
#define LAST_SECOND INT64_C(253402300799)

enum { UTC_LENGTH = 20, UTC_SIZE = 24 };

static void print_into(char out[UTC_SIZE], int64_t seconds) {
    const time_t at = (time_t)(seconds < 0 ? 0 : seconds > LAST_SECOND ? LAST_SECOND : seconds);
    struct tm day = {0};
    (void)gmtime_r(&at, &day);
    (void)strftime(out, UTC_SIZE, "%Y-%m-%dT%H:%M:%SZ", &day);
}

void eh_utc_print(int64_t seconds, struct eh_text *out) {
    char text[UTC_SIZE];
    print_into(text, seconds);
    eh_text_add(out, text);
}

/* Digits FROM .. FROM + N - 1 of a text that is long enough. */
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
    return second + day * 86400 + (y - 70) * 31536000 + ((y - 69) / 4) * 86400 -
           ((y - 1) / 100) * 86400 + ((y + 299) / 400) * 86400;
}

bool utc_read(const char *text, int64_t *out_seconds) {
    static const char shape[] = "0000-00-00T00:00:00Z";
    static const int before[12] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334};
    if (strlen(text) != UTC_LENGTH) {
        return false;
    }
    for (int i = 0; i < UTC_LENGTH; i++) {
        if (shape[i] == '0' ? text[i] < '0' || text[i] > '9' : text[i] != shape[i]) {
            return false;
        }
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
