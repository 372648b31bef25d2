/* The rule that turns an estimate into a verdict, and the words. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "verdict.h"

Test(verdict, a_fault_needs_the_whole_interval_beyond_the_limit) {
    static const struct {
        double value, low, high;
        size_t n;
        double from, to;
        enum verdict_place place;
        enum verdict_reason reason;
    } rows[] = {
        {0.60, 0.551, 0.65, 8, 0.45, 0.55, PLACE_ABOVE, REASON_NONE},
        {0.60, 0.550, 0.65, 8, 0.45, 0.55, PLACE_UNKNOWN, REASON_STRADDLES},
        {0.40, 0.350, 0.449, 8, 0.45, 0.55, PLACE_BELOW, REASON_NONE},
        {0.40, 0.350, 0.450, 8, 0.45, 0.55, PLACE_UNKNOWN, REASON_STRADDLES},
        {0.55, 0.540, 0.56, 8, 0.45, 0.55, PLACE_INSIDE, REASON_NONE},
        {0.50, 0.450, 0.55, 8, 0.45, 0.55, PLACE_INSIDE, REASON_NONE},
        {0.50, 0.440, 0.56, 8, 0.45, 0.55, PLACE_UNKNOWN, REASON_WIDE},
        {0.60, 0.551, 0.65, 7, 0.45, 0.55, PLACE_UNKNOWN, REASON_FEW},
        {NAN, NAN, NAN, 9, 0.45, 0.55, PLACE_UNKNOWN, REASON_FEW},
        {3.0, 2.0, 7.0, 8, NAN, 3.5, PLACE_INSIDE, REASON_NONE},
        {3.0, 2.0, 7.01, 8, NAN, 3.5, PLACE_UNKNOWN, REASON_WIDE},
        {4.0, 3.51, 4.5, 8, NAN, 3.5, PLACE_ABOVE, REASON_NONE},
        {4.0, 3.50, 4.5, 8, NAN, 3.5, PLACE_UNKNOWN, REASON_STRADDLES},
        {2.0, 1.0, 2.99, 8, 3.0, NAN, PLACE_BELOW, REASON_NONE},
        {9.0, 1.0, 20.0, 8, 3.0, NAN, PLACE_INSIDE, REASON_NONE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_estimate e = {rows[i].value, rows[i].low, rows[i].high, rows[i].n};
        struct verdict_call call = verdict_place(&e, rows[i].from, rows[i].to, 8);
        cr_expect_eq(call.place, rows[i].place, "row %zu: place %d", i, call.place);
        cr_expect_eq(call.reason, rows[i].reason, "row %zu: reason %d", i, call.reason);
    }
}

Test(verdict, more_findings_than_there_is_room_for_do_no_harm) {
    static struct eh_judgement j;
    for (int i = 0; i < EH_FINDINGS_MAX + 5; i++) {
        struct eh_finding *f = verdict_add(&j, EH_ASPECT_TIMING, EH_SIDE_BOTH);
        cr_assert(f >= j.findings && f < j.findings + EH_FINDINGS_MAX);
        cr_assert(f->fault == EH_FAULT_UNCLEAR && isnan(f->value) && f->bar_count == 0);
    }
    cr_expect_eq(j.finding_count, EH_FINDINGS_MAX);
}

Test(verdict, numbers_are_written_with_a_point) {
    static const struct {
        double value;
        int decimals;
        const char *text;
    } rows[] = {{0.6049, 2, "0.60"},   {0.605001, 2, "0.61"}, {-0.04, 1, "0.0"},
                {-3.25001, 1, "-3.3"}, {13.5, 0, "14"},       {NAN, 1, "?"},
                {1e15, 0, "?"},        {2.0, 3, "2.000"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_finding f;
        struct verdict_words w = verdict_say(&f);
        say_number(&w, rows[i].value, rows[i].decimals);
        cr_expect_str_eq(f.text, rows[i].text);
    }
}

Test(verdict, a_sentence_that_is_too_long_is_cut_and_ended) {
    struct eh_finding f;
    struct verdict_words w = verdict_say(&f);
    for (int i = 0; i < 100; i++) {
        say(&w, "twenty characters ...");
    }
    cr_expect_eq(strlen(f.text), EH_FINDING_TEXT - 1);
}

/* The words of the judgement document, in its order. */
Test(verdict, words_are_those_of_the_document) {
    static const char *aspects[] = {
        "diddle-spacing", "diddle-level", "accent",     "unmarked-accent", "tap-level", "flam-gap",
        "grace-level",    "buzz",         "hand-level", "hand-timing",     "timing",    "tempo",
        "missed",         "extra",        "dynamics",   "hairpin",         "rim",       "sticking"};
    static const char *verdicts[] = {
        "unclear",   "even",       "uneven", "right-sized", "under",     "overblown", "none",
        "some",      "sticks-out", "right",  "flat",        "wide",      "soft",      "loud",
        "sustained", "thin",       "gapped", "matched",     "unmatched", "steady",    "unsteady",
        "drifting",  "as-written", "off",    "shaped",      "reversed"};
    static const char *directions[] = {NULL,        "late",       "early",     "scattered",
                                       "weak",      "strong",     "left-soft", "right-soft",
                                       "left-late", "right-late", "rushing",   "dragging",
                                       "loud",      "soft",       "flat"};
    for (int i = 0; i < EH_ASPECT_COUNT; i++) {
        cr_expect_str_eq(eh_aspect_text((enum eh_aspect)i), aspects[i]);
    }
    for (int i = 0; i < EH_VERDICT_COUNT; i++) {
        cr_expect_str_eq(eh_verdict_text((enum eh_verdict)i), verdicts[i]);
    }
    cr_expect_null(eh_direction_text(EH_DIRECTION_NONE));
    for (int i = 1; i < EH_DIRECTION_COUNT; i++) {
        cr_expect_str_eq(eh_direction_text((enum eh_direction)i), directions[i]);
    }
    cr_expect_str_eq(eh_side_text(EH_SIDE_BOTH), "both");
    cr_expect_str_eq(eh_course_text(EH_COURSE_LATE_START), "late-start");
    cr_expect_str_eq(eh_fate_text(EH_FATE_DOUBLE_TRIGGER), "double-trigger");
}
