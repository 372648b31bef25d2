/* Calendar times in UTC. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <time.h>

#include "evenhand/utc.h"

/* POSIX 2008 names 1970-01-01 as the epoch; 2000-02-29 was a leap day and 2100 has none
 * (Gregorian calendar, ISO 8601). The numbers are what `date -u -d TEXT +%s` of GNU coreutils 9.1
 * gives. */
Test(utc, times_are_read_and_printed_as_iso_8601_has_them) {
    static const struct {
        const char *text;
        int64_t seconds;
    } rows[] = {
        {"1970-01-01T00:00:00Z", 0},
        {"1970-01-01T00:00:01Z", 1},
        {"2000-02-29T12:00:00Z", 951825600},
        {"2026-11-26T03:10:00Z", 1795662600},
        {"2100-02-28T23:59:59Z", 4107542399},
        {"2100-03-01T00:00:00Z", 4107542400},
        {"9999-12-31T23:59:59Z", 253402300799},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        int64_t seconds = -1;
        struct eh_text text = {0};
        cr_expect(eh_utc_read(rows[i].text, &seconds), "%s", rows[i].text);
        cr_expect_eq(seconds, rows[i].seconds, "%s", rows[i].text);
        eh_utc_print(rows[i].seconds, &text);
        cr_expect_str_eq(eh_text_string(&text), rows[i].text);
        eh_text_deinit(&text);
    }
    static const char *const bad[] = {
        "2100-02-29T00:00:00Z",  "2026-06-31T00:00:00Z", "2026-13-01T00:00:00Z",
        "2026-00-01T00:00:00Z",  "2026-11-26T24:00:00Z", "2026-11-26T23:60:00Z",
        "2026-11-26 03:10:00Z",  "2026-11-26T03:10:00",  "1969-12-31T23:59:59Z",
        "2026-11-26T03:10:00ZZ", "2026-11-00T03:10:00Z", "",
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        int64_t seconds = -1;
        cr_expect_not(eh_utc_read(bad[i], &seconds), "%s", bad[i]);
    }
}

/* Against the C library's calendar, on a stretch of days that holds every kind of year, and on
 * coarse steps through eight thousand years. */
Test(utc, the_c_library_has_the_same_calendar) {
    for (int64_t i = 0; i < 60000; i++) {
        const int64_t s = i < 30000 ? -86400 * INT64_C(15000) + i * 86400 + i * 37 % 86400
                                    : (i - 30000) * INT64_C(8446744) + i;
        const time_t at = (time_t)s;
        struct tm day;
        char wanted[64];
        struct eh_text text = {0};
        cr_assert_not_null(gmtime_r(&at, &day));
        (void)strftime(wanted, sizeof wanted, "%Y-%m-%dT%H:%M:%SZ", &day);
        eh_utc_print(s, &text);
        cr_assert_str_eq(eh_text_string(&text), wanted);
        int64_t again = -1;
        cr_assert_eq(eh_utc_read(wanted, &again), s >= 0);
        cr_assert(s < 0 || again == s, "%s", wanted);
        eh_text_deinit(&text);
    }
}
