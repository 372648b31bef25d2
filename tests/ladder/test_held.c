#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "evenhand/held.h"

struct quest_answer {
    int point, clean, unclean;
};

/* What another program's code says of the same answers. */
struct quest_case {
    const char *name;
    double range;
    size_t curve_count;
    struct eh_held_curve curves[EH_HELD_CURVES_MAX];
    size_t answer_count;
    struct quest_answer answers[8];
    double mean, sd, low, middle, high;
};

#include "quest_table.h"

enum { CASES = sizeof quest_cases / sizeof quest_cases[0] };

static double bpm_at(const struct quest_case *c, double point) {
    return pow(10.0, 1.9 + c->range * (point / (EH_HELD_GRID - 1) - 0.5));
}

static void estimate(const struct quest_case *c, struct eh_held *held) {
    struct eh_held_prior prior = {.low_bpm = bpm_at(c, 0), .high_bpm = bpm_at(c, EH_HELD_GRID - 1)};
    struct eh_held_answer answers[8];
    prior.curve_count = c->curve_count;
    memcpy(prior.curves, c->curves, sizeof prior.curves);
    for (size_t i = 0; i < c->answer_count; i++) {
        answers[i] = (struct eh_held_answer){bpm_at(c, c->answers[i].point), c->answers[i].clean,
                                             c->answers[i].unclean};
    }
    eh_held_estimate(held, &prior, answers, c->answer_count);
}

/* QUEST: Watson & Pelli 1983, Perception & Psychophysics 33, 113-120, in its authors' own code as
 * quest_table.h says. Its table finds the threshold by a line between two points of its grid, and
 * its quantiles give all of a point's weight at the point: half a point from ours. */
Test(held, says_what_the_authors_of_quest_say_of_the_same_answers) {
    for (size_t k = 0; k < CASES; k++) {
        const struct quest_case *c = &quest_cases[k];
        const double grain = c->range / (EH_HELD_GRID - 1);
        struct eh_held held;
        double mean = 0.0;
        double square = 0.0;
        estimate(c, &held);
        for (size_t i = 0; i < EH_HELD_GRID; i++) {
            const double x = log10(bpm_at(c, (double)i));
            mean += held.density[i] * x;
            square += held.density[i] * (x - c->mean) * (x - c->mean);
        }
        const double sd = sqrt(square - (mean - c->mean) * (mean - c->mean));
        cr_expect_float_eq(mean, c->mean, 0.2 * grain, "%s: mean %.6f, %.6f", c->name, mean,
                           c->mean);
        cr_expect_float_eq(sd, c->sd, 0.1 * grain, "%s: sd %.6f, %.6f", c->name, sd, c->sd);
        cr_expect_float_eq(log10(held.low), c->low + 0.5 * grain, 0.3 * grain, "%s: low", c->name);
        cr_expect_float_eq(log10(held.bpm), c->middle + 0.5 * grain, 0.3 * grain, "%s: middle",
                           c->name);
        cr_expect_float_eq(log10(held.high), c->high + 0.5 * grain, 0.3 * grain, "%s: high",
                           c->name);
    }
}

Test(held, three_of_four_passes_are_clean_at_the_threshold_whatever_the_curve) {
    struct eh_held_prior prior;
    eh_held_usual_prior(&prior, 70, 120);
    for (size_t i = 0; i < prior.curve_count; i++) {
        const struct eh_held_curve *c = &prior.curves[i];
        cr_expect_float_eq(eh_held_chance_unclean(c, 90, 90), 0.25, 1e-12);
        cr_expect_float_eq(eh_held_chance_unclean(c, 20, 90), c->false_alarm, 1e-3);
        cr_expect_float_eq(eh_held_chance_unclean(c, 400, 90), 1.0 - c->lapse, 1e-3);
        cr_expect_gt(eh_held_chance_unclean(c, 91, 90), 0.25);
        cr_expect_lt(eh_held_chance_unclean(c, 89, 90), 0.25);
    }
}

Test(held, without_answers_every_tempo_is_as_likely) {
    struct eh_held_prior prior;
    struct eh_held held;
    eh_held_usual_prior(&prior, 80, 125);
    eh_held_estimate(&held, &prior, NULL, 0);
    cr_expect_float_eq(held.bpm, 100.0, 0.1); /* the geometric middle of 64 and 156.25 */
    cr_expect_float_eq(held.low, 64.0 * pow(156.25 / 64.0, 0.05), 0.2);
    cr_expect_float_eq(held.high, 64.0 * pow(156.25 / 64.0, 0.95), 0.2);
    cr_expect(held.open_low && held.open_high);
}

Test(held, lies_between_the_tempi_that_were_clean_and_those_that_were_not) {
    const struct eh_held_answer answers[] = {{80, 2, 0}, {84, 4, 0}, {88, 0, 4}};
    struct eh_held_prior prior;
    struct eh_held held;
    eh_held_usual_prior(&prior, 70, 120);
    eh_held_estimate(&held, &prior, answers, 3);
    cr_expect(held.bpm > 84 && held.bpm < 88, "%g", held.bpm);
    cr_expect(held.low > 82 && held.high < 89, "%g to %g", held.low, held.high);
    cr_expect(!held.open_low && !held.open_high);
    cr_expect_eq(held.passes, 10);
    cr_expect_gt(eh_held_clean_at(&prior, answers, 3, 80), 0.9);
    cr_expect_lt(eh_held_clean_at(&prior, answers, 3, 90), 0.2);
}

Test(held, is_less_sure_but_not_moved_by_a_lucky_pass_above_what_failed) {
    struct eh_held_answer answers[] = {{80, 2, 0}, {84, 2, 0}, {88, 0, 4}, {92, 0, 0}};
    struct eh_held_prior prior;
    struct eh_held held[2];
    eh_held_usual_prior(&prior, 70, 120);
    for (int lucky = 0; lucky < 2; lucky++) {
        answers[3].clean = lucky;
        eh_held_estimate(&held[lucky], &prior, answers, 4);
    }
    cr_expect_float_eq(held[1].bpm, held[0].bpm, 0.5, "%g, %g", held[0].bpm, held[1].bpm);
    cr_expect_gt(held[1].high - held[1].low, held[0].high - held[0].low);
}

Test(held, is_open_where_nothing_failed_or_nothing_was_clean) {
    const struct eh_held_answer clean[] = {{70, 2, 0}, {95, 2, 0}, {120, 2, 0}};
    const struct eh_held_answer unclean[] = {{70, 0, 4}};
    struct eh_held_prior prior;
    struct eh_held held;
    eh_held_usual_prior(&prior, 70, 120);
    eh_held_estimate(&held, &prior, clean, 3);
    cr_expect(held.open_high && !held.open_low);
    cr_expect_gt(held.bpm, 115);
    eh_held_estimate(&held, &prior, unclean, 1);
    cr_expect(held.open_low && !held.open_high);
    cr_expect_lt(held.bpm, 72);
}

Test(held, half_a_pass_weighs_half) {
    const struct eh_held_answer halves[] = {{84, 1.5, 0.5}, {88, 0.5, 1.5}};
    const struct eh_held_answer wholes[] = {{84, 3, 1}, {88, 1, 3}};
    struct eh_held_prior prior;
    struct eh_held half;
    struct eh_held whole;
    eh_held_usual_prior(&prior, 70, 120);
    eh_held_estimate(&half, &prior, halves, 2);
    eh_held_estimate(&whole, &prior, wholes, 2);
    cr_expect_gt(half.high - half.low, whole.high - whole.low);
}

Test(held, thousands_of_passes_do_not_underflow) {
    const struct eh_held_answer answers[] = {{84, 9000, 1000}, {88, 1000, 9000}};
    struct eh_held_prior prior;
    struct eh_held held;
    double sum = 0.0;
    eh_held_usual_prior(&prior, 70, 120);
    eh_held_estimate(&held, &prior, answers, 2);
    for (size_t i = 0; i < EH_HELD_GRID; i++) {
        sum += held.density[i];
    }
    cr_expect_float_eq(sum, 1.0, 1e-9);
    cr_expect(held.low > 80 && held.high < 92);
}
