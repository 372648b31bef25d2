#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "evenhand/ladder.h"
#include "letters.h"

/* PASSES in a row on a ladder 80, 84, 88, 92; what comes out behind the last of them. */
static const struct {
    const char *passes;
    double bpm;
    uint8_t next, end;
    const char *reason;
} rows[] = {
    {"", 80, EH_LADDER_AGAIN, 0, "at 80: 2 clean passes in a row lead up"},
    {"c", 80, EH_LADDER_AGAIN, 0, "at 80: clean; 1 more leads up"},
    {"cc", 84, EH_LADDER_UP, 0, "at 80: 2 clean passes in a row"},
    /* one that is not clean begins the row anew, the second leads back */
    {"ccl", 84, EH_LADDER_AGAIN, 0,
     "at 84: left diddle-spacing uneven, late: 0.61 share, fine 0.45 to 0.55 (n=16); once more "
     "like this leads back"},
    {"cclc", 84, EH_LADDER_AGAIN, 0, "at 84: clean; 1 more leads up"},
    {"cclcc", 88, EH_LADDER_UP, 0, "at 84: 2 clean passes in a row"},
    {"cccl", 84, EH_LADDER_AGAIN, 0, NULL},
    {"cccll", 80, EH_LADDER_BACK, 0,
     "at 84: left diddle-spacing uneven, late: 0.61 share, fine 0.45 to 0.55 (n=32), in 2 passes"},
    {"ccclcl", 80, EH_LADDER_BACK, 0, NULL},
    /* back, passed again, failed again: settled, and another day begins where it holds */
    {"ccllcc", 84, EH_LADDER_UP, 0, NULL},
    {"ccllccl", 84, EH_LADDER_AGAIN, 0, NULL},
    {"ccllccll", 80, EH_LADDER_DONE, EH_LADDER_SETTLED, NULL},
    {"ccllcccc", 88, EH_LADDER_UP, 0, NULL},
    /* the lowest tempo has none below it */
    {"ll", 80, EH_LADDER_AGAIN, 0, NULL},
    {"llll", 80, EH_LADDER_DONE, EH_LADDER_FLOOR, NULL},
    {"llcc", 84, EH_LADDER_UP, 0, NULL},
    /* the top */
    {"cccccccc", 92, EH_LADDER_DONE, EH_LADDER_TOP, NULL},
    /* unclear ones count neither way, and more are asked for; together they may be clear */
    {"u", 80, EH_LADDER_AGAIN, 0,
     "at 80: not clear yet: left diddle-spacing: 0.52 share, fine 0.45 to 0.55 (n=16)"},
    {"uc", 80, EH_LADDER_AGAIN, 0, NULL},
    {"ucc", 84, EH_LADDER_UP, 0, "at 80: 3 passes, clean when taken together"},
    {"uuu", 84, EH_LADDER_UP, 0, "at 80: 3 passes, clean when taken together"},
    {"ulu", 80, EH_LADDER_AGAIN, 0, NULL},
    /* just outside, never surely in one pass: the limit of passes, or sure together */
    {"oo", 80, EH_LADDER_AGAIN, 0, NULL},
    {"ccoooo", 84, EH_LADDER_AGAIN, 0, NULL},
    {"ccooooo", 80, EH_LADDER_BACK, 0,
     "at 84: left diddle-spacing uneven, late: 0.56 share, fine 0.45 to 0.55 (n=80), in 5 passes"},
    {"cct", 84, EH_LADDER_AGAIN, 0, NULL},
    {"cctt", 84, EH_LADDER_AGAIN, 0,
     "at 84: taken together, left diddle-spacing uneven, late: 0.58 share, fine 0.45 to 0.55 "
     "(n=32); once more like this leads back"},
    {"cctttt", 80, EH_LADDER_BACK, 0, NULL},
    /* a fault that goes now one way, now the other: the latest way's numbers */
    {"ccle", 80, EH_LADDER_BACK, 0,
     "at 84: left diddle-spacing uneven, early: 0.39 share, fine 0.45 to 0.55 (n=16), in 2 passes"},
    /* too few strokes in one pass, enough in two; if not, more are asked for */
    {"ff", 84, EH_LADDER_UP, 0, "at 80: 2 clean passes in a row"},
    {"fl", 80, EH_LADDER_AGAIN, 0, NULL},
    /* broken off: neither */
    {"xcxc", 84, EH_LADDER_UP, 0, NULL},
    {"cx", 80, EH_LADDER_AGAIN, 0, "at 80: broken off; it counts neither way"},
    /* what the pad hides is set aside */
    {"ss", 84, EH_LADDER_UP, 0, "at 80: 2 clean passes in a row"},
    /* nothing could be judged at all */
    {"nnnnn", 80, EH_LADDER_AGAIN, 0, "at 80: too little could be judged"},
    {"ccnnnnn", 80, EH_LADDER_BACK, 0, "at 84: too little could be judged"},
    /* of two faults the one that more passes showed is told */
    {"cclw", 80, EH_LADDER_BACK, 0, NULL},
};

Test(ladder, goes_as_the_table_says) {
    const struct eh_ladder_request request = {.from_bpm = 80, .to_bpm = 92, .step_bpm = 4};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_ladder ladder;
        letter_ladder(&ladder, &request);
        for (const char *p = rows[i].passes; *p != '\0'; p++) {
            letter_play(&ladder, *p, 1);
        }
        cr_expect_eq(ladder.step.bpm, rows[i].bpm, "%s: %g, %s", rows[i].passes, ladder.step.bpm,
                     ladder.step.reason);
        cr_expect_eq(ladder.step.next, rows[i].next, "%s: %s", rows[i].passes,
                     eh_ladder_next_text((enum eh_ladder_next)ladder.step.next));
        cr_expect_eq(ladder.step.end, rows[i].end, "%s: %s", rows[i].passes,
                     eh_ladder_end_text((enum eh_ladder_end)ladder.step.end));
        if (rows[i].reason != NULL) {
            cr_expect_str_eq(ladder.step.reason, rows[i].reason, "%s", rows[i].passes);
        }
        eh_ladder_deinit(&ladder);
    }
}

Test(ladder, one_lucky_pass_does_not_lead_up_however_often_it_comes) {
    const struct eh_ladder_request request = {.from_bpm = 80, .to_bpm = 92, .step_bpm = 4};
    struct eh_ladder ladder;
    letter_ladder(&ladder, &request);
    while (ladder.step.next != EH_LADDER_DONE) {
        letter_play(&ladder, "lc"[ladder.passes % 2], 1);
        cr_assert_eq(ladder.step.bpm, 80);
    }
    cr_expect_eq(ladder.step.end, EH_LADDER_FLOOR);
    eh_ladder_deinit(&ladder);
}

Test(ladder, says_what_broke_and_forgets_it_once_it_holds) {
    const struct eh_ladder_request request = {.from_bpm = 80, .to_bpm = 92, .step_bpm = 4};
    struct eh_ladder ladder;
    letter_ladder(&ladder, &request);
    cr_expect_not(eh_ladder_broke(&ladder).known);
    cr_expect(isnan(eh_ladder_passed(&ladder, EH_STAGE_PLAYED)));
    for (const char *p = "cclwlcc"; *p != '\0'; p++) {
        letter_play(&ladder, *p, 1);
    }
    struct eh_ladder_fault broke = eh_ladder_broke(&ladder);
    cr_expect(broke.known && broke.bpm == 84);
    for (const char *p = "cc"; *p != '\0'; p++) {
        letter_play(&ladder, *p, 1);
    }
    cr_expect_not(eh_ladder_broke(&ladder).known);
    for (const char *p = "wwccww"; *p != '\0'; p++) {
        letter_play(&ladder, *p, 1);
    }
    broke = eh_ladder_broke(&ladder);
    cr_expect_eq(ladder.step.end, EH_LADDER_SETTLED);
    cr_expect(broke.known && broke.aspect == EH_ASPECT_DIDDLE_LEVEL && broke.side == EH_SIDE_LEFT &&
              broke.direction == EH_DIRECTION_WEAK && broke.passes == 2);
    cr_expect_eq(broke.bpm, 88);
    cr_expect_eq(eh_ladder_passed(&ladder, EH_STAGE_PLAYED), 84);
    eh_ladder_deinit(&ladder);
}

Test(ladder, counts_only_the_aspects_that_are_asked_for) {
    const struct eh_ladder_request request = {
        .from_bpm = 80, .to_bpm = 92, .step_bpm = 4, .aspects = 1u << EH_ASPECT_DIDDLE_SPACING};
    struct eh_ladder ladder;
    letter_ladder(&ladder, &request);
    letter_play(&ladder, 'w', 1);
    letter_play(&ladder, 'm', 1);
    cr_expect_eq(ladder.step.bpm, 84);
    letter_play(&ladder, 'l', 1);
    cr_expect_eq(ladder.step.answer, EH_PASS_UNCLEAN);
    eh_ladder_deinit(&ladder);
}

Test(ladder, asks_for_as_many_clean_passes_as_it_was_told) {
    for (int32_t n = 1; n <= EH_LADDER_IN_A_ROW_MAX; n++) {
        const struct eh_ladder_request request = {
            .from_bpm = 80, .to_bpm = 92, .step_bpm = 4, .in_a_row = n};
        struct eh_ladder ladder;
        letter_ladder(&ladder, &request);
        for (int32_t i = 1; i <= n; i++) {
            cr_assert_eq(ladder.step.bpm, 80);
            letter_play(&ladder, 'c', 1);
        }
        cr_expect_eq(ladder.step.bpm, 84, "%d", (int)n);
        eh_ladder_deinit(&ladder);
    }
}

/* The course of stages, h hand motion and w as written. */
static const struct {
    const char *passes, *stages;
    double bpm;
    uint8_t next;
} staged[] = {
    {"", "h", 80, EH_LADDER_AGAIN},
    {"cc", "hhw", 80, EH_LADDER_ON},
    {"cccc", "hhwwh", 84, EH_LADDER_UP},
    /* the roll fails: the roll again one step slower, then up to the roll, whose motion is known */
    {"ccccccll", "hhwwhhwww", 80, EH_LADDER_BACK},
    {"ccccccllcc", "hhwwhhwwwww", 84, EH_LADDER_UP},
    {"ccccccllccll", "hhwwhhwwwwwwh", 80, EH_LADDER_DONE},
    /* the hand motion fails: the motion again one step slower, then up to it */
    {"ccccll", "hhwwhhh", 80, EH_LADDER_BACK},
    {"ccccllcc", "hhwwhhhhh", 84, EH_LADDER_UP},
    {"ccccllccll", "hhwwhhhhhhh", 80, EH_LADDER_DONE},
};

Test(ladder, goes_from_the_hand_motion_to_the_roll) {
    const struct eh_ladder_request request = {
        .from_bpm = 80, .to_bpm = 92, .step_bpm = 4, .hand_motion = true};
    for (size_t i = 0; i < sizeof staged / sizeof staged[0]; i++) {
        char stages[32] = "";
        size_t n = 0;
        struct eh_ladder ladder;
        letter_ladder(&ladder, &request);
        for (const char *p = staged[i].passes; *p != '\0'; p++) {
            stages[n++] = ladder.step.stage == EH_STAGE_HAND_MOTION ? 'h' : 'w';
            letter_play(&ladder, *p, 1);
        }
        stages[n] = ladder.step.stage == EH_STAGE_HAND_MOTION ? 'h' : 'w';
        cr_expect_str_eq(stages, staged[i].stages, "%s: %s", staged[i].passes, stages);
        cr_expect_eq(ladder.step.bpm, staged[i].bpm, "%s", staged[i].passes);
        cr_expect_eq(ladder.step.next, staged[i].next, "%s: %s", staged[i].passes,
                     ladder.step.reason);
        eh_ladder_deinit(&ladder);
    }
}

Test(ladder, ends_when_the_passes_or_the_time_of_a_sitting_are_used_up) {
    struct eh_ladder_request request = {
        .from_bpm = 60, .to_bpm = 160, .step_bpm = 4, .passes_max = 5};
    struct eh_ladder ladder;
    letter_ladder(&ladder, &request);
    for (int i = 0; i < 5; i++) {
        letter_play(&ladder, 'c', 1);
    }
    cr_expect_eq(ladder.step.end, EH_LADDER_PASSES);
    cr_expect_eq(ladder.step.bpm, 68);
    eh_ladder_resume(&ladder, 2);
    cr_expect_eq(ladder.step.next, EH_LADDER_AGAIN);
    cr_expect_eq(ladder.step.bpm, 68);
    eh_ladder_deinit(&ladder);
    request.passes_max = 0;
    request.seconds_max = 60.0;
    letter_ladder(&ladder, &request);
    for (int i = 0; i < 3; i++) {
        cr_assert_neq(ladder.step.next, EH_LADDER_DONE);
        letter_play(&ladder, 'c', 1); /* 20 s each */
    }
    cr_expect_eq(ladder.step.end, EH_LADDER_TIME);
    eh_ladder_deinit(&ladder);
}

Test(ladder, ends_at_its_top_also_where_the_steps_do_not_lead_to_it) {
    const struct eh_ladder_request request = {.from_bpm = 80, .to_bpm = 90, .step_bpm = 4};
    struct eh_ladder ladder;
    letter_ladder(&ladder, &request);
    cr_assert_eq(ladder.rung_count, 4);
    cr_expect(ladder.rungs[2].bpm == 88 && ladder.rungs[3].bpm == 90);
    eh_ladder_deinit(&ladder);
    const struct eh_ladder_request one = {.from_bpm = 80, .to_bpm = 80, .step_bpm = 4};
    letter_ladder(&ladder, &one);
    cr_expect_eq(ladder.rung_count, 1);
    letter_play(&ladder, 'c', 1);
    letter_play(&ladder, 'c', 1);
    cr_expect_eq(ladder.step.end, EH_LADDER_TOP);
    eh_ladder_deinit(&ladder);
    const struct eh_ladder_request tenths = {.from_bpm = 80, .to_bpm = 81, .step_bpm = 0.1};
    letter_ladder(&ladder, &tenths);
    cr_expect_eq(ladder.rung_count, 11);
    eh_ladder_deinit(&ladder);
}

Test(ladder, refuses_what_is_no_ladder) {
    static const struct {
        struct eh_ladder_request request;
        const char *part;
    } bad[] = {
        {{.from_bpm = 120, .to_bpm = 70, .step_bpm = 4}, "begins at 120, above its top of 70"},
        {{.from_bpm = 70, .to_bpm = 120, .step_bpm = 0}, "a step is more than 0"},
        {{.from_bpm = 70, .to_bpm = 120, .step_bpm = -4}, "a step is more than 0"},
        {{.from_bpm = 70, .to_bpm = 120, .step_bpm = NAN}, "a step is more than 0"},
        {{.from_bpm = 20, .to_bpm = 400, .step_bpm = 0.5}, "more than 512 tempi"},
        {{.from_bpm = 19, .to_bpm = 120, .step_bpm = 4}, "from 20 to 400"},
        {{.from_bpm = 70, .to_bpm = 401, .step_bpm = 4}, "from 20 to 400"},
        {{.from_bpm = NAN, .to_bpm = 120, .step_bpm = 4}, "from 20 to 400"},
        {{.from_bpm = 70, .to_bpm = 120, .step_bpm = 4, .in_a_row = 10}, "from 1 to 9"},
        {{.from_bpm = 70, .to_bpm = 120, .step_bpm = 4, .passes_max = -1}, "below 0"}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct eh_ladder ladder;
        struct eh_error error = {0};
        cr_expect_eq(eh_ladder_init(&ladder, &bad[i].request, &error), EH_OUT_OF_RANGE, "row %zu",
                     i);
        cr_expect(strstr(error.text, bad[i].part) != NULL, "row %zu: %s", i, error.text);
        eh_ladder_deinit(&ladder);
    }
}

Test(ladder, refuses_a_pass_at_a_tempo_that_it_does_not_have) {
    const struct eh_ladder_request request = {.from_bpm = 80, .to_bpm = 92, .step_bpm = 4};
    const struct eh_ladder_pass pass = {.bpm = 82, .sitting = 1};
    struct eh_ladder ladder;
    struct eh_error error = {0};
    letter_ladder(&ladder, &request);
    cr_expect_eq(eh_ladder_pass(&ladder, &pass, &error), EH_OUT_OF_RANGE);
    cr_expect_eq(ladder.passes, 0);
    eh_ladder_deinit(&ladder);
}

Test(ladder, begins_a_visit_where_another_tempo_was_played_than_asked_for) {
    const struct eh_ladder_request request = {.from_bpm = 80, .to_bpm = 92, .step_bpm = 4};
    struct eh_finding findings[FINDINGS];
    struct eh_ladder ladder;
    letter_ladder(&ladder, &request);
    letter_play(&ladder, 'c', 1);
    const struct eh_ladder_pass pass = {.bpm = 88,
                                        .sitting = 1,
                                        .findings = findings,
                                        .finding_count = letter_findings('c', findings)};
    cr_assert_eq(eh_ladder_pass(&ladder, &pass, NULL), EH_OK);
    cr_expect_eq(ladder.step.bpm, 88);
    cr_expect_eq(ladder.step.clean, 1);
    eh_ladder_deinit(&ladder);
}

Test(ladder, words_fit_their_line_in_the_worst_case) {
    const struct eh_ladder_request request = {
        .from_bpm = 80, .to_bpm = 92, .step_bpm = 0.25, .hand_motion = true};
    struct eh_ladder ladder;
    letter_ladder(&ladder, &request);
    letter_play(&ladder, 'l', 1);
    letter_play(&ladder, 'l', 1);
    cr_expect_lt(strlen(ladder.step.reason), EH_LADDER_REASON - 60);
    eh_ladder_deinit(&ladder);
}
