/* The ladder of another day, and the same one told again. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "evenhand/ladder.h"
#include "letters.h"

static bool same_number(double a, double b) {
    return a == b || (isnan(a) && isnan(b));
}

static bool same_fault(const struct eh_ladder_fault *a, const struct eh_ladder_fault *b) {
    return a->known == b->known && a->bpm == b->bpm && a->stage == b->stage &&
           a->aspect == b->aspect && a->side == b->side && a->verdict == b->verdict &&
           a->direction == b->direction && a->passes == b->passes && a->e.n == b->e.n &&
           same_number(a->e.value, b->e.value) && same_number(a->e.low, b->e.low) &&
           same_number(a->e.high, b->e.high) && same_number(a->limit_low, b->limit_low);
}

static bool same_step(const struct eh_ladder_step *a, const struct eh_ladder_step *b) {
    return a->next == b->next && a->end == b->end && a->stage == b->stage && a->bpm == b->bpm &&
           a->answer == b->answer && a->clean == b->clean && a->needed == b->needed &&
           same_fault(&a->why, &b->why) && strcmp(a->reason, b->reason) == 0;
}

static bool same_tally(const struct eh_ladder_tally *a, const struct eh_ladder_tally *b) {
    return a->clean == b->clean && a->unclean == b->unclean && a->clean_passes == b->clean_passes &&
           a->unclean_passes == b->unclean_passes && a->unclear_passes == b->unclear_passes &&
           a->failed == b->failed && a->passed == b->passed && same_fault(&a->broke, &b->broke);
}

static bool same_pool(const struct eh_pool *a, const struct eh_pool *b) {
    return a->passes == b->passes && a->n == b->n && a->w == b->w && a->wv == b->wv &&
           a->wvv == b->wvv && a->ww_low == b->ww_low && a->value == b->value;
}

static void expect_same(const struct eh_ladder *a, const struct eh_ladder *b, int after) {
    cr_expect(a->rung == b->rung && same_step(&a->step, &b->step), "after %d: %s / %s", after,
              a->step.reason, b->step.reason);
    cr_expect(a->sitting == b->sitting && a->passes == b->passes && a->seconds == b->seconds &&
              a->visit_passes == b->visit_passes && a->visit_unclean == b->visit_unclean &&
              a->row_passes == b->row_passes && a->row_clean == b->row_clean);
    for (size_t i = 0; i < a->rung_count; i++) {
        for (int stage = 0; stage < EH_STAGE_COUNT; stage++) {
            cr_expect(same_tally(&a->rungs[i].stages[stage], &b->rungs[i].stages[stage]),
                      "after %d, tempo %zu", after, i);
        }
    }
    for (size_t key = 0; key < EH_LADDER_KEYS; key++) {
        cr_expect(same_pool(&a->row[key], &b->row[key]), "after %d, key %zu", after, key);
    }
}

/* The passes of three days, told again from the first one: the same ladder after each of them. */
Test(ladder_again, is_the_same_when_it_is_told_again) {
    static const char day[] = "ccccucccllcluccoooccll";
    enum { DAYS = 3, PASSES = sizeof day - 1 };
    const struct eh_ladder_request request = {
        .from_bpm = 80, .to_bpm = 120, .step_bpm = 4, .hand_motion = true, .passes_max = 30};
    struct {
        double bpm;
        uint8_t stage;
        char letter;
        int32_t sitting;
    } kept[DAYS * PASSES];
    struct eh_ladder first;
    letter_ladder(&first, &request);
    for (int i = 0; i < DAYS * PASSES; i++) {
        struct eh_ladder again;
        eh_ladder_resume(&first, i / PASSES + 1);
        kept[i].bpm = first.step.bpm;
        kept[i].stage = first.step.stage;
        kept[i].letter = day[i % PASSES];
        kept[i].sitting = i / PASSES + 1;
        letter_play(&first, kept[i].letter, kept[i].sitting);
        letter_ladder(&again, &request);
        for (int k = 0; k <= i; k++) {
            struct eh_finding findings[FINDINGS];
            const struct eh_ladder_pass pass = {.bpm = kept[k].bpm,
                                                .stage = kept[k].stage,
                                                .sitting = kept[k].sitting,
                                                .seconds = 20.0,
                                                .level_scale_sd = 0.1,
                                                .findings = findings,
                                                .finding_count =
                                                    letter_findings(kept[k].letter, findings)};
            cr_assert_eq(eh_ladder_pass(&again, &pass, NULL), EH_OK);
        }
        expect_same(&first, &again, i + 1);
        eh_ladder_deinit(&again);
    }
    eh_ladder_deinit(&first);
}

Test(ladder_again, goes_on_where_it_stood_and_asks_for_it_anew) {
    const struct eh_ladder_request request = {.from_bpm = 80, .to_bpm = 120, .step_bpm = 4};
    struct eh_ladder ladder;
    struct eh_held_answer answers[EH_LADDER_RUNGS_MAX];
    letter_ladder(&ladder, &request);
    for (const char *p = "ccccllccll"; *p != '\0'; p++) {
        letter_play(&ladder, *p, 1);
    }
    cr_expect_eq(ladder.step.end, EH_LADDER_SETTLED);
    eh_ladder_resume(&ladder, 1); /* the same sitting: nothing changes */
    cr_expect_eq(ladder.step.next, EH_LADDER_DONE);
    eh_ladder_resume(&ladder, 2);
    cr_expect_eq(ladder.step.bpm, 84);
    cr_expect_eq(ladder.step.next, EH_LADDER_AGAIN);
    cr_expect(isnan(eh_ladder_passed(&ladder, EH_STAGE_PLAYED)));
    cr_assert_eq(eh_ladder_answers(&ladder, EH_STAGE_PLAYED, answers), 3);
    cr_expect(answers[1].bpm == 84 && answers[1].clean == 2 && answers[1].unclean == 0);
    cr_expect(answers[2].bpm == 88 && answers[2].clean == 0 && answers[2].unclean == 2);
    cr_expect_eq(ladder.rungs[2].stages[EH_STAGE_PLAYED].unclean_passes, 4);
    for (const char *p = "cccc"; *p != '\0'; p++) {
        letter_play(&ladder, *p, 2); /* what failed yesterday holds today */
    }
    cr_expect_eq(ladder.step.bpm, 92);
    eh_ladder_deinit(&ladder);
}
