/* Precision, recall and F of the bench, and how it holds pairs to be right. */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#include "agree.h"

/* The worked example of mir_eval's onset measure (Raffel et al. 2014, ISMIR 367-372): reference 0,
 * 0.5, 1.0 s, estimates 0.02, 0.51, 1.06, 1.5 s, window 50 ms: two of them match. */
Test(bench_agree, f_of_the_worked_example_is_four_sevenths) {
    const struct agreement a = {.found = 4, .played = 3, .right = {2, 2, 2}};
    cr_expect(fabs(agreement_precision(&a, STRICT) - 0.5) < 1e-9);
    cr_expect(fabs(agreement_recall(&a, STRICT) - 2.0 / 3.0) < 1e-9);
    cr_expect(fabs(agreement_f(&a, STRICT) - 4.0 / 7.0) < 1e-9);
    cr_expect(fabs(agreement_f(&a, STRICT) - 0.571429) < 1e-6);
}

Test(bench_agree, nothing_found_of_something_is_zero_and_nothing_of_nothing_one) {
    const struct agreement none = {.found = 0, .played = 3, .right = {0, 0, 0}};
    const struct agreement empty = {0};
    cr_expect(agreement_f(&none, STRICT) == 0.0);
    cr_expect(agreement_f(&empty, STRICT) == 1.0);
}

/* Three bars; the second and third are written alike, the first is the same from the left. */
static const char text[] = "metre: 4/4\n| 4:LRLR | 4:RLRL | 4:RLRL |";

static const struct blows no_blows;

static void setup(struct written *w, struct reported *r, struct blow *truth, struct eh_match *m) {
    cr_assert(written_open(w, "three", text, 120.0, 0));
    cr_assert_eq(w->plan.due_count, 12);
    memset(r, 0, sizeof *r);
    r->truth = truth;
    r->count = 12;
    for (int i = 0; i < 12; i++) {
        truth[i] = (struct blow){.due = i, .also = -1, .role = ROLE_STROKE};
        m[i] = (struct eh_match){.hit = i};
    }
}

Test(bench_agree, a_perfect_matching_has_f_one) {
    struct written w;
    struct reported r;
    struct blow truth[12];
    struct eh_match m[12];
    setup(&w, &r, truth, m);
    const struct agreement a = agree(&w, &no_blows, &r, m);
    cr_expect(a.found == 12 && a.played == 12 && a.right[STRICT] == 12);
    written_close(&w);
}

/* A bar was left out: the judge puts its neighbour's hits there. */
Test(bench_agree, like_bars_are_told_apart_strictly_only) {
    struct written w;
    struct reported r;
    struct blow truth[12];
    struct eh_match m[12];
    setup(&w, &r, truth, m);
    for (int i = 4; i < 8; i++) {
        truth[i].due = i + 4; /* bar 3 was played, the judge says bar 2 */
        truth[i + 4].role = ROLE_FOREIGN;
        m[i + 4].hit = EH_NO_HIT;
    }
    struct agreement a = agree(&w, &no_blows, &r, m);
    cr_expect(a.found == 8 && a.played == 8);
    cr_expect(a.right[STRICT] == 4 && a.right[SAME] == 8 && a.right[HEARD] == 8);
    for (int i = 4; i < 8; i++) {
        truth[i].due = i - 4; /* bar 1 was played twice */
    }
    a = agree(&w, &no_blows, &r, m);
    cr_expect(a.played == 4, "a stroke that was played twice counts once");
    cr_expect(a.right[STRICT] == 4 && a.right[SAME] == 4 && a.right[HEARD] == 8);
    written_close(&w);
}

Test(bench_agree, echoes_bounces_and_foreign_hits_are_never_right) {
    struct written w;
    struct reported r;
    struct blow truth[12];
    struct eh_match m[12];
    setup(&w, &r, truth, m);
    truth[1].role = ROLE_ECHO;
    truth[2].role = ROLE_BOUNCE;
    truth[3].role = ROLE_FOREIGN;
    const struct agreement a = agree(&w, &no_blows, &r, m);
    cr_expect(a.found == 12 && a.played == 9 && a.right[HEARD] == 9);
    written_close(&w);
}

/* Strokes half a second apart; the pad hides the third, and the judge takes what lies beside it. */
static void beside(struct blow beside, uint64_t near, uint64_t hidden, double f) {
    struct written w;
    struct reported r;
    struct blow truth[12];
    struct blow struck[12];
    struct eh_match m[12];
    setup(&w, &r, truth, m);
    for (int i = 0; i < 12; i++) {
        truth[i].at_ms = 500.0 * i;
        struck[i] = truth[i];
    }
    const struct blows blows = {.row = struck, .count = 12};
    truth[2] = beside;
    const struct agreement a = agree(&w, &blows, &r, m);
    cr_expect(a.found == 12 && a.played == 11 && a.right[HEARD] == 11);
    cr_expect(a.right[NEAR] == near && a.hidden == hidden);
    cr_expect_float_eq(agreement_f(&a, NEAR), f, 1e-12);
    written_close(&w);
}

Test(bench_agree, as_near_as_an_onset_detector_must_come_is_near) {
    struct blow foreign = {.due = -1, .also = -1, .role = ROLE_FOREIGN, .at_ms = 1000.0 + NEAR_MS};
    beside(foreign, 12, 1, 1.0);
    foreign.at_ms = 1000.0 - NEAR_MS;
    beside(foreign, 12, 1, 1.0);
    foreign.at_ms = 1000.1 + NEAR_MS;
    beside(foreign, 11, 0, 22.0 / 23.0);
    foreign.at_ms = 1500.0 - NEAR_MS; /* near another stroke than the one it is taken for */
    beside(foreign, 11, 0, 22.0 / 23.0);
}

Test(bench_agree, a_note_of_the_very_press_finds_the_press) {
    struct blow bounce = {.due = 2, .also = -1, .role = ROLE_BOUNCE, .at_ms = 1050.0};
    beside(bounce, 12, 1, 1.0);
    bounce.due = 1;
    beside(bounce, 11, 0, 22.0 / 23.0);
}
