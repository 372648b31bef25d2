#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

#include "evenhand/contrast.h"

/* The limits of the shipped styles (exercises/styles). */
static const struct eh_style concert = {
    .name = "concert", .accent_low_db = 1.5, .accent_high_db = 4.5, .least_n = 8};
static const struct eh_style rudimental = {
    .name = "rudimental", .accent_low_db = 4.5, .accent_high_db = 12.0, .least_n = 8};

enum { MANY = 1000000 }; /* strokes enough for weights that are known */

static struct eh_finding accents(const struct eh_style *style, double value, double below,
                                 double above, uint32_t n) {
    struct eh_finding f = {.aspect = EH_ASPECT_ACCENT,
                           .side = EH_SIDE_BOTH,
                           .value = value,
                           .low = value - below,
                           .high = value + above,
                           .limit_low = style->accent_low_db,
                           .limit_high = style->accent_high_db,
                           .n = n};
    snprintf(f.unit, sizeof f.unit, "dB");
    return f;
}

static void add(struct eh_contrast *contrast, enum eh_contrast_level level,
                const struct eh_finding *findings, size_t count, double scale_sd) {
    const struct eh_contrast_pass pass = {.findings = findings,
                                          .finding_count = count,
                                          .level_scale_sd = scale_sd,
                                          .accents = findings[0].n};
    cr_assert(eh_contrast_add(contrast, level, &pass));
}

/* A pass in each style on an exact map. */
static struct eh_contrast_answer answer_to(struct eh_finding lower, struct eh_finding higher) {
    struct eh_contrast contrast;
    struct eh_contrast_answer answer;
    cr_assert(eh_contrast_init(&contrast, &concert, &rudimental));
    add(&contrast, EH_CONTRAST_LOWER, &lower, 1, 0.0);
    add(&contrast, EH_CONTRAST_HIGHER, &higher, 1, 0.0);
    eh_contrast_answer(&contrast, &answer);
    return answer;
}

/* Concert accents of 2 dB, rudimental ones DIFFERENCE above; intervals of 0.3 and 0.4: 0.5. */
static struct eh_contrast_answer answer_of(double difference) {
    return answer_to(accents(&concert, 2.0, 0.3, 0.3, MANY),
                     accents(&rudimental, 2.0 + difference, 0.4, 0.4, MANY));
}

/* One dynamic mark: a rudimental accent stands at least one mark above a concert one (common
 * practice, no source); about 3 dB (stick heights of common practice, no source). */
Test(contrast, least_is_a_dynamic_mark_for_the_shipped_styles) {
    struct eh_contrast contrast;
    cr_assert(eh_contrast_init(&contrast, &concert, &rudimental));
    cr_expect_float_eq(contrast.least_db, EH_MARK_DB, 1e-12);
    cr_expect_eq(eh_contrast_level_of(&contrast, &concert), EH_CONTRAST_LOWER);
    cr_expect_eq(eh_contrast_level_of(&contrast, &rudimental), EH_CONTRAST_HIGHER);
}

Test(contrast, does_not_depend_on_which_style_is_named_first) {
    struct eh_contrast contrast;
    cr_assert(eh_contrast_init(&contrast, &rudimental, &concert));
    cr_expect_eq(contrast.sides[EH_CONTRAST_LOWER].style, &concert);
    cr_expect_float_eq(contrast.least_db, 3.0, 1e-12);
}

/* Jesteadt, Wier & Green 1977, JASA 61, 169-177: about 1 dB is heard. */
Test(contrast, of_styles_nearer_than_a_listener_can_hear_is_refused) {
    struct eh_style near = concert;
    struct eh_contrast contrast;
    near.accent_low_db = 2.5;
    cr_expect(eh_contrast_init(&contrast, &concert, &near));
    near.accent_low_db = 2.499;
    cr_expect_not(eh_contrast_init(&contrast, &concert, &near));
    cr_expect_not(eh_contrast_init(&contrast, &near, &concert));
    cr_expect_not(eh_contrast_init(&contrast, &concert, &concert));
}

/* The difference of 56/70 and 48/80 by its method 10 is 0.2000 (0.0524 to 0.3339): Newcombe 1998,
 * Stat. Med. 17, 873-890, table II, contrast (a) (from memory). Its single intervals are Wilson's
 * (Wilson 1927, JASA 22, 209-212), made here; the combination is the one of Zou & Donner 2008. */
Test(contrast, combines_intervals_as_a_published_example_does) {
    const double p[2] = {48.0 / 80.0, 56.0 / 70.0};
    const double n[2] = {80.0, 70.0};
    const double z = 1.959963984540054;
    struct eh_finding f[2];
    for (int i = 0; i < 2; i++) {
        const double root = z * sqrt(z * z + 4.0 * n[i] * p[i] * (1.0 - p[i]));
        const double low = (2.0 * n[i] * p[i] + z * z - root) / (2.0 * (n[i] + z * z));
        const double high = (2.0 * n[i] * p[i] + z * z + root) / (2.0 * (n[i] + z * z));
        f[i] = accents(i == 0 ? &concert : &rudimental, p[i], p[i] - low, high - p[i], MANY);
    }
    const struct eh_contrast_answer answer = answer_to(f[0], f[1]);
    cr_expect_float_eq(answer.difference.value, 0.2, 1e-9);
    cr_expect_float_eq(answer.difference.low, 0.0524, 5e-5, "%.5f", answer.difference.low);
    cr_expect_float_eq(answer.difference.high, 0.3339, 5e-5, "%.5f", answer.difference.high);
}

/* The judge's rule: a fault only when the whole interval lies beyond the limit. */
Test(contrast, is_too_small_only_when_all_of_the_interval_is_below_the_least) {
    cr_expect_eq(answer_of(2.499).verdict, EH_CONTRAST_SMALL);
    const struct eh_contrast_answer past = answer_of(2.501);
    cr_expect_eq(past.verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(past.reason, EH_CONTRAST_STRADDLES);
}

Test(contrast, is_there_from_the_least_on) {
    const struct eh_contrast_answer before = answer_of(2.999);
    cr_expect_eq(before.verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(before.reason, EH_CONTRAST_STRADDLES);
    const struct eh_contrast_answer at = answer_of(3.001);
    cr_expect_eq(at.verdict, EH_CONTRAST_THERE);
    cr_expect_eq(at.reason, EH_CONTRAST_DECIDED);
}

Test(contrast, whose_interval_reaches_to_none_at_all_is_unclear) {
    const struct eh_finding lower = accents(&concert, 2.0, 0.0, 0.0, MANY);
    struct eh_contrast_answer answer =
        answer_to(lower, accents(&rudimental, 6.0, 3.999, 3.999, MANY));
    cr_expect_eq(answer.verdict, EH_CONTRAST_THERE);
    answer = answer_to(lower, accents(&rudimental, 6.0, 4.001, 4.001, MANY));
    cr_expect_eq(answer.verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(answer.reason, EH_CONTRAST_WIDE);
}

/* Accents that are lower by less than is heard are no turned contrast, only none. */
Test(contrast, is_turned_round_when_it_is_surely_heard_the_wrong_way) {
    cr_expect_eq(answer_of(-1.499).verdict, EH_CONTRAST_SMALL);
    cr_expect_eq(answer_of(-1.501).verdict, EH_CONTRAST_TURNED);
    cr_expect_eq(answer_of(0.0).verdict, EH_CONTRAST_SMALL);
}

Test(contrast, needs_as_many_accents_as_the_styles_ask_for) {
    struct eh_contrast_answer answer =
        answer_to(accents(&concert, 2.0, 0.1, 0.1, 8), accents(&rudimental, 7.0, 0.1, 0.1, 8));
    cr_expect_eq(answer.verdict, EH_CONTRAST_THERE);
    cr_expect_eq(answer.difference.n, 8);
    answer =
        answer_to(accents(&concert, 2.0, 0.1, 0.1, 7), accents(&rudimental, 7.0, 0.1, 0.1, 80));
    cr_expect_eq(answer.reason, EH_CONTRAST_FEW);
    cr_expect_eq(answer.verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(answer.heights[EH_CONTRAST_LOWER].verdict, EH_VERDICT_UNCLEAR);
    cr_expect_eq(answer.heights[EH_CONTRAST_HIGHER].verdict, EH_VERDICT_RIGHT_SIZED);
    cr_expect_eq(answer.difference.n, 7);
}

Test(contrast, without_a_pass_in_one_style_is_unclear) {
    struct eh_contrast contrast;
    struct eh_contrast_answer answer;
    cr_assert(eh_contrast_init(&contrast, &concert, &rudimental));
    eh_contrast_answer(&contrast, &answer);
    cr_expect_eq(answer.reason, EH_CONTRAST_NO_PASS);
    struct eh_finding f = accents(&concert, 3.0, 0.1, 0.1, 4);
    add(&contrast, EH_CONTRAST_LOWER, &f, 1, 0.0);
    eh_contrast_answer(&contrast, &answer);
    cr_expect_eq(answer.reason, EH_CONTRAST_NO_PASS); /* goes before too few */
    f.n = 64;
    add(&contrast, EH_CONTRAST_LOWER, &f, 1, 0.0);
    eh_contrast_answer(&contrast, &answer);
    cr_expect_eq(answer.verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(answer.reason, EH_CONTRAST_NO_PASS);
    cr_expect(isnan(answer.difference.value));
    cr_expect_eq(answer.heights[EH_CONTRAST_LOWER].verdict, EH_VERDICT_RIGHT_SIZED);
    cr_expect(isnan(answer.heights[EH_CONTRAST_HIGHER].height.value));
}

/* Only accents count, and only those that were measured. */
Test(contrast, passes_over_what_is_no_accent) {
    struct eh_contrast contrast;
    cr_assert(eh_contrast_init(&contrast, &concert, &rudimental));
    struct eh_finding other = accents(&concert, 3.0, 0.1, 0.1, 64);
    struct eh_finding nothing = accents(&concert, NAN, 0.1, 0.1, 0);
    other.aspect = EH_ASPECT_HAND_LEVEL;
    const struct eh_finding findings[] = {other, nothing};
    const struct eh_contrast_pass pass = {.findings = findings, .finding_count = 2, .accents = 3};
    cr_expect_not(eh_contrast_add(&contrast, EH_CONTRAST_LOWER, &pass));
    cr_expect_eq(contrast.sides[EH_CONTRAST_LOWER].passes, 0);
    cr_expect_eq(contrast.sides[EH_CONTRAST_LOWER].heard, 0);
}

Test(contrast, says_of_each_style_whether_its_accents_are_right_sized) {
    static const struct {
        double lower, higher;
        enum eh_verdict lower_says, higher_says;
    } rows[] = {
        {3.0, 7.5, EH_VERDICT_RIGHT_SIZED, EH_VERDICT_RIGHT_SIZED},
        {3.0, 3.0, EH_VERDICT_RIGHT_SIZED, EH_VERDICT_UNDER}, /* one mark in both */
        {7.5, 7.5, EH_VERDICT_OVERBLOWN, EH_VERDICT_RIGHT_SIZED},
        {0.5, 14.0, EH_VERDICT_UNDER, EH_VERDICT_OVERBLOWN},
        {4.7, 4.2, EH_VERDICT_UNCLEAR, EH_VERDICT_UNCLEAR},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct eh_contrast_answer answer =
            answer_to(accents(&concert, rows[i].lower, 0.5, 0.5, 64),
                      accents(&rudimental, rows[i].higher, 0.5, 0.5, 64));
        cr_expect_eq(answer.heights[0].verdict, rows[i].lower_says, "row %zu", i);
        cr_expect_eq(answer.heights[1].verdict, rows[i].higher_says, "row %zu", i);
    }
}

Test(contrast, puts_both_hands_together_and_keeps_them_apart) {
    struct eh_contrast contrast;
    struct eh_contrast_answer answer;
    struct eh_finding hands[2] = {accents(&rudimental, 6.0, 0.3, 0.3, 20),
                                  accents(&rudimental, 7.0, 0.3, 0.3, 30)};
    double low = 0.0;
    double high = 0.0;
    hands[0].side = EH_SIDE_LEFT;
    hands[1].side = EH_SIDE_RIGHT;
    cr_assert(eh_contrast_init(&contrast, &concert, &rudimental));
    add(&contrast, EH_CONTRAST_HIGHER, hands, 2, 0.0);
    eh_contrast_answer(&contrast, &answer);
    const struct eh_contrast_side *side = &contrast.sides[EH_CONTRAST_HIGHER];
    cr_expect_eq(side->passes, 1);
    cr_expect_float_eq(answer.heights[EH_CONTRAST_HIGHER].height.value, 6.5, 1e-9);
    cr_expect_eq(answer.heights[EH_CONTRAST_HIGHER].height.n, 50);
    cr_expect_float_eq(eh_pool_estimate(&side->hands[EH_HAND_LEFT], &low, &high).value, 6.0, 1e-9);
    cr_expect_float_eq(eh_pool_estimate(&side->hands[EH_HAND_RIGHT], &low, &high).value, 7.0, 1e-9);
}

/* A map that is wrong by a factor stretches both heights, and so their difference, by the same. */
Test(contrast, on_a_pad_that_is_not_calibrated_is_as_unsure_as_its_own_size) {
    const double sd = 0.1;
    const double z = 1.6448536269514722;
    struct eh_contrast contrast;
    struct eh_contrast_answer answer;
    cr_assert(eh_contrast_init(&contrast, &concert, &rudimental));
    for (int i = 0; i < 64; i++) { /* so many passes that the reading's own part is small */
        struct eh_finding lower = accents(&concert, 3.0, 0.0, 0.0, MANY);
        struct eh_finding higher = accents(&rudimental, 8.0, 0.0, 0.0, MANY);
        lower.low = 3.0 * exp(-z * sd);
        lower.high = 3.0 * exp(z * sd);
        higher.low = 8.0 * exp(-z * sd);
        higher.high = 8.0 * exp(z * sd);
        add(&contrast, EH_CONTRAST_LOWER, &lower, 1, sd);
        add(&contrast, EH_CONTRAST_HIGHER, &higher, 1, sd);
    }
    eh_contrast_answer(&contrast, &answer);
    cr_expect_float_eq(answer.difference.value, 5.0, 1e-9);
    cr_expect_float_eq(answer.difference.low, 5.0 * exp(-z * sd), 0.02);
    cr_expect_float_eq(answer.difference.high, 5.0 * exp(z * sd), 0.02);
}

static void add_topped(struct eh_contrast *contrast, enum eh_contrast_level level, double value,
                       uint32_t topped) {
    const struct eh_finding f =
        accents(level == EH_CONTRAST_LOWER ? &concert : &rudimental, value, 0.1, 0.1, 20);
    const struct eh_contrast_pass pass = {
        .findings = &f, .finding_count = 1, .accents = 20, .topped = topped};
    cr_assert(eh_contrast_add(contrast, level, &pass));
}

/* At the pad's top a level is at least so much (docs/measures.md). */
static struct eh_contrast_answer at_top(double difference, uint32_t lower_topped,
                                        uint32_t higher_topped) {
    struct eh_contrast contrast;
    struct eh_contrast_answer answer;
    cr_assert(eh_contrast_init(&contrast, &concert, &rudimental));
    add_topped(&contrast, EH_CONTRAST_LOWER, 3.0, lower_topped);
    add_topped(&contrast, EH_CONTRAST_HIGHER, 3.0 + difference, higher_topped);
    eh_contrast_answer(&contrast, &answer);
    return answer;
}

Test(contrast, with_higher_accents_at_the_pads_top_is_at_least_so_large) {
    cr_expect_eq(at_top(1.0, 0, 10).verdict, EH_CONTRAST_SMALL); /* half of them: not most */
    const struct eh_contrast_answer small = at_top(1.0, 0, 11);
    cr_expect_eq(small.verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(small.reason, EH_CONTRAST_TOP);
    const struct eh_contrast_answer there = at_top(4.0, 0, 11);
    cr_expect_eq(there.verdict, EH_CONTRAST_THERE);
    cr_expect(there.at_least);
    cr_expect_eq(there.heights[EH_CONTRAST_HIGHER].verdict, EH_VERDICT_UNCLEAR);
    cr_expect(there.heights[EH_CONTRAST_HIGHER].at_top);
}

Test(contrast, with_lower_accents_at_the_pads_top_is_at_most_so_large) {
    cr_expect_eq(at_top(1.0, 11, 0).verdict, EH_CONTRAST_SMALL);
    const struct eh_contrast_answer there = at_top(4.0, 11, 0);
    cr_expect_eq(there.verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(there.reason, EH_CONTRAST_TOP);
    cr_expect_eq(at_top(4.0, 11, 11).verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(at_top(1.0, 11, 11).verdict, EH_CONTRAST_UNCLEAR);
    cr_expect_eq(at_top(4.0, 10, 0).verdict, EH_CONTRAST_THERE);
}

Test(contrast, has_a_word_for_every_verdict) {
    cr_expect_str_eq(eh_contrast_verdict_text(EH_CONTRAST_THERE), "there");
    cr_expect_str_eq(eh_contrast_verdict_text(EH_CONTRAST_SMALL), "too-small");
    cr_expect_str_eq(eh_contrast_verdict_text(EH_CONTRAST_TURNED), "turned-round");
    cr_expect_str_eq(eh_contrast_verdict_text(EH_CONTRAST_UNCLEAR), "unclear");
}
