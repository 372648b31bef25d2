#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

#include "evenhand/offer.h"
#include "placed.h"

enum { CLEAN = EH_PASS_CLEAN, NOT = EH_PASS_UNCLEAN, OPEN = EH_PASS_UNCLEAR };

struct row {
    double bpm;
    int answer;
};

/* Makes an offer of ROWS, in this order. */
static struct eh_offer offer_of(const struct row *rows, size_t count) {
    struct eh_offer_run runs[32];
    struct eh_offer offer;
    for (size_t i = 0; i < count; i++) {
        runs[i] = (struct eh_offer_run){.number = (int64_t)i + 1,
                                        .day = 20000 + (int64_t)i,
                                        .bpm = rows[i].bpm,
                                        .answer = (uint8_t)rows[i].answer};
    }
    cr_assert_eq(eh_offer_make(&offer, runs, count), EH_OK);
    return offer;
}

#define OFFER(...)                                                                                 \
    offer_of((const struct row[]){__VA_ARGS__},                                                    \
             sizeof((const struct row[]){__VA_ARGS__}) / sizeof(struct row))

/* BPM: 0 where nothing is offered. */
static void expect(struct eh_offer offer, enum eh_offer_kind kind, double bpm) {
    const double chosen = offer.kind != EH_OFFER_NONE ? offer.tempi[offer.chosen].bpm : 0.0;
    cr_expect(offer.kind == kind && fabs(chosen - bpm) < 0.05, "kind %d, %g", offer.kind, chosen);
    eh_offer_deinit(&offer);
}

Test(offer, the_fastest_tempo_with_clean_runs) {
    expect(OFFER({90, CLEAN}, {80, CLEAN}, {90, CLEAN}, {80, CLEAN}), EH_OFFER_CLEAN, 90);
    expect(OFFER({90, CLEAN}, {90, CLEAN}, {96, NOT}, {96, NOT}), EH_OFFER_CLEAN, 90);
}

Test(offer, one_lucky_run_above_does_not_outweigh_two) {
    expect(OFFER({90, CLEAN}, {90, CLEAN}, {100, CLEAN}), EH_OFFER_CLEAN, 90);
    expect(OFFER({90, CLEAN}, {90, CLEAN}, {100, CLEAN}, {100, NOT}), EH_OFFER_CLEAN, 90);
}

Test(offer, one_of_four_may_fail_and_no_more) {
    expect(OFFER({90, CLEAN}, {90, CLEAN}, {90, CLEAN}, {90, NOT}), EH_OFFER_CLEAN, 90);
    expect(OFFER({90, CLEAN}, {90, CLEAN}, {90, NOT}), EH_OFFER_SINGLE, 90);
}

Test(offer, a_single_clean_run_is_said_to_be_one) {
    expect(OFFER({90, CLEAN}), EH_OFFER_SINGLE, 90);
    expect(OFFER({90, CLEAN}, {90, NOT}), EH_OFFER_SINGLE, 90);
    expect(OFFER({80, CLEAN}, {90, CLEAN}, {100, NOT}), EH_OFFER_SINGLE, 90);
}

Test(offer, no_tempo_where_more_were_not_clean) {
    expect(OFFER({90, NOT}), EH_OFFER_NONE, 0);
    expect(OFFER({90, CLEAN}, {90, NOT}, {90, NOT}), EH_OFFER_NONE, 0);
    expect(OFFER({90, OPEN}, {90, OPEN}), EH_OFFER_NONE, 0);
}

Test(offer, unclear_runs_count_neither_way) {
    expect(OFFER({90, CLEAN}, {90, OPEN}, {90, OPEN}, {90, CLEAN}), EH_OFFER_CLEAN, 90);
    expect(OFFER({90, CLEAN}, {90, OPEN}), EH_OFFER_SINGLE, 90);
}

/* Eight that fail at 80 make two clean ones at 100 look like luck. */
Test(offer, two_clean_runs_far_above_what_all_runs_say_are_not_proposed) {
    expect(OFFER({70, CLEAN}, {70, CLEAN}, {70, CLEAN}, {80, NOT}, {80, NOT}, {80, NOT}, {80, NOT},
                 {80, NOT}, {80, NOT}, {80, NOT}, {80, NOT}, {120, CLEAN}, {120, CLEAN}),
           EH_OFFER_CLEAN, 70);
}

Test(offer, nearly_the_same_tempo_is_one) {
    struct eh_offer offer = OFFER({91.2, CLEAN}, {90, CLEAN}, {90.6, NOT}, {95, CLEAN});
    cr_assert_eq(offer.tempo_count, 2);
    cr_expect_eq(offer.tempi[0].count, 3);
    cr_expect_float_eq(offer.tempi[0].bpm, 90.6, 1e-9);
    cr_expect_eq(offer.tempi[0].clean, 2);
    cr_expect_eq(offer.tempi[0].unclean, 1);
    cr_expect_eq(offer.tempi[0].latest_day, 20002);
    cr_expect_eq(offer.tempi[0].latest_clean_day, 20001);
    eh_offer_deinit(&offer);
}

Test(offer, no_runs_are_no_offer) {
    struct eh_offer offer;
    cr_expect_eq(eh_offer_make(&offer, NULL, 0), EH_OK);
    cr_expect_eq(offer.kind, EH_OFFER_NONE);
    eh_offer_deinit(&offer);
}

static struct eh_offer_run answer(const char *faults) {
    const struct placed_ask ask = {"rudimental-etude", faults, 90, 2, true};
    struct eh_offer_run run = {.number = 1, .bpm = 90};
    struct placed placed;
    const bool answered = placed_play(&placed, &ask) &&
                          eh_offer_answer(&run, placed.judgement, &placed.places) == EH_OK;
    cr_assert(answered);
    placed_deinit(&placed);
    return run;
}

Test(offer, a_run_is_clean_by_the_ladders_rule_and_by_its_bars) {
    cr_expect_eq(answer("none").answer, EH_PASS_CLEAN);
    const struct eh_offer_run whole = answer("strong-left");
    cr_expect_eq(whole.answer, EH_PASS_UNCLEAN);
    cr_expect_eq(whole.why.aspect, EH_ASPECT_HAND_LEVEL);
    cr_expect_eq(whole.first_bar, 0);
    const struct eh_offer_run some = answer("under-accents:0/25-28");
    cr_expect_eq(some.answer, EH_PASS_UNCLEAN);
    cr_expect_eq(some.why.aspect, EH_ASPECT_ACCENT);
    cr_expect_leq(abs(some.first_bar - 25), 1);
    cr_expect_leq(abs(some.last_bar - 28), 1);
}
