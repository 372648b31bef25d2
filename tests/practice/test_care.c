/* When care is called for: days, clocks put back, sessions at the threshold and past it. */
#include <criterion/criterion.h>

#include "evenhand/care.h"

#define DAY INT64_C(20783)
#define AT INT64_C(1795000000)
#define MINUTE INT64_C(60)

/* A run of SECONDS that begins at UTC_S. */
static struct eh_care_notice run(struct eh_care *care, int64_t utc_s, int64_t seconds,
                                 int64_t day) {
    const struct eh_care_notice notice = eh_care_begin(care, utc_s, day);
    eh_care_end(care, utc_s + seconds);
    return notice;
}

Test(care, the_days_notice_comes_once_a_day) {
    struct eh_care care = {0};
    cr_expect(run(&care, AT, 30, DAY).day);
    cr_expect_not(run(&care, AT + 40, 30, DAY).day);
    cr_expect_not(run(&care, AT + 36000, 30, DAY).day, "another session of the same day");
    cr_expect(run(&care, AT + 36040, 30, DAY + 1).day, "midnight within a session");
    cr_expect_not(run(&care, AT + 36080, 30, DAY + 1).day);
    cr_expect(run(&care, AT + 36120, 30, DAY).day, "a clock put back by a day");
}

Test(care, a_break_is_due_at_25_minutes_and_not_a_second_before) {
    for (int64_t late = -1; late <= 1; late++) {
        struct eh_care care = {0};
        const int64_t at = AT + EH_CARE_LONG_S + late;
        cr_expect_eq(run(&care, AT, at - AT - 10, DAY).minutes, 0);
        cr_expect_eq(run(&care, at, 30, DAY).minutes, late < 0 ? 0 : 25, "%lld s", (long long)late);
    }
}

Test(care, it_comes_again_only_after_as_long_and_counts_from_the_beginning) {
    struct eh_care care = {0};
    int64_t told[8];
    int64_t said[8];
    int count = 0;
    for (int64_t minute = 0; minute <= 80; minute += 2) {
        const struct eh_care_notice notice = run(&care, AT + minute * MINUTE, 100, DAY);
        if (notice.minutes > 0) {
            told[count] = minute;
            said[count++] = notice.minutes;
        }
    }
    cr_assert_eq(count, 3);
    cr_expect_eq(told[0], 26);
    cr_expect_eq(told[1], 52);
    cr_expect_eq(told[2], 78);
    cr_expect_eq(said[2], 78);
}

Test(care, five_minutes_off_begin_a_new_session_and_a_second_less_does_not) {
    for (int64_t late = -1; late <= 0; late++) {
        struct eh_care care = {0};
        const int64_t end = AT + 20 * MINUTE;
        (void)run(&care, AT, end - AT, DAY);
        (void)run(&care, end + EH_CARE_BREAK_S + late, 30, DAY);
        cr_expect_eq(run(&care, end + 6 * MINUTE, 30, DAY).minutes, late < 0 ? 26 : 0, "%lld s",
                     (long long)late);
    }
}

Test(care, what_was_before_a_break_does_not_shorten_the_time_after_it) {
    struct eh_care care = {0};
    (void)run(&care, AT, 10 * MINUTE, DAY);
    (void)run(&care, AT + 15 * MINUTE, 14 * MINUTE, DAY);
    cr_expect_eq(run(&care, AT + 30 * MINUTE, 600, DAY).minutes, 0, "15 after the break");
    cr_expect_eq(run(&care, AT + 41 * MINUTE, 30, DAY).minutes, 26);
}

Test(care, a_run_that_was_never_ended_counts_by_its_beginning) {
    struct eh_care care = {0};
    (void)eh_care_begin(&care, AT, DAY);
    (void)eh_care_begin(&care, AT + 4 * MINUTE, DAY);
    cr_expect_eq(care.since_utc_s, AT);
    (void)eh_care_begin(&care, AT + 9 * MINUTE, DAY);
    cr_expect_eq(care.since_utc_s, AT + 9 * MINUTE);
}

Test(care, a_clock_put_back_a_little_changes_nothing_and_by_much_begins_anew) {
    struct eh_care care = {0};
    (void)run(&care, AT, 24 * MINUTE, DAY);
    cr_expect_eq(run(&care, AT + 24 * MINUTE - 2, 90, DAY).minutes, 0);
    cr_expect_eq(run(&care, AT + 26 * MINUTE, 30, DAY).minutes, 26);
    cr_expect_eq(run(&care, AT - 3600, 30, DAY).minutes, 0, "an hour back");
    cr_expect_eq(care.since_utc_s, AT - 3600);
    cr_expect_eq(run(&care, AT + 30 * MINUTE, 30, DAY).minutes, 0, "and forward again");
}

Test(care, what_is_remembered_is_read_as_it_was_written) {
    const struct eh_care care = {
        .shown_day = DAY, .since_utc_s = AT, .last_utc_s = AT + 7, .told_utc_s = AT + 3};
    struct eh_text text = {0};
    struct eh_care read;
    eh_care_print(&care, &text);
    cr_expect_str_eq(eh_text_string(&text),
                     "day 20783 since 1795000000 last 1795000007 told 1795000003");
    cr_assert(eh_care_read(&read, eh_text_string(&text)));
    cr_expect_eq(read.shown_day, care.shown_day);
    cr_expect_eq(read.since_utc_s, care.since_utc_s);
    cr_expect_eq(read.last_utc_s, care.last_utc_s);
    cr_expect_eq(read.told_utc_s, care.told_utc_s);
    eh_text_deinit(&text);
}

Test(care, what_is_damaged_is_as_if_nothing_were_remembered) {
    static const char *const damaged[] = {"",
                                          "day",
                                          "day 1",
                                          "day 1 since 2 last 3",
                                          "day 1 since 2 last 3 told ",
                                          "day 1 since 2 last 3 told 4 ",
                                          "day -1 since 2 last 3 told 4",
                                          "day  1 since 2 last 3 told 4",
                                          "day 1 since 2 last 3 told 253402300800",
                                          "day 1 since 99999999999999999999 last 3 told 4",
                                          "care 1 since 2 last 3 told 4"};
    for (size_t i = 0; i < sizeof damaged / sizeof damaged[0]; i++) {
        struct eh_care read = {.shown_day = 9, .since_utc_s = 9};
        cr_expect_not(eh_care_read(&read, damaged[i]), "\"%s\"", damaged[i]);
        cr_expect_eq(read.shown_day, 0);
        cr_expect_eq(read.since_utc_s, 0);
    }
}
