/* What a plan is made of. The histories are invented; what is asked of the plan is ours, but for
 * what is said beside a test. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "days.h"

Test(agenda, needs_a_history) {
    struct days *days = days_new(1);
    struct eh_agenda agenda;
    struct eh_error error = {0};
    cr_expect_eq(eh_agenda_make(&agenda, &days->input, &error), EH_EMPTY);
    cr_expect(strstr(error.text, "no run") != NULL, "%s", error.text);
    cr_expect_eq(agenda.step_count, 0);
    days_free(days);
}

Test(agenda, brings_back_what_two_runs_showed_in_its_bars_just_below_its_tempo) {
    struct days *days = days_new(1);
    days_run(days, 0, 1, 100, 'l');
    days_run(days, 0, 2, 100, 'l');
    days_run(days, 0, 3, 80, 'c');
    days_run(days, 0, 3, 80, 'c');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
    cr_assert(item != NULL);
    cr_expect_eq(item->found.aspect, EH_ASPECT_DIDDLE_SPACING);
    cr_expect_eq(item->found.side, EH_SIDE_LEFT);
    cr_expect_eq(item->found.direction, EH_DIRECTION_LATE);
    cr_expect_float_eq(item->found.value, 0.62, 1e-9);
    cr_expect(item->found.low > 0.60 - 1e-9 && item->found.high < 0.64 + 1e-9);
    cr_expect_eq(item->first_bar, 5);
    cr_expect_eq(item->last_bar, 6);
    cr_expect(item->bpm > 80.0 && item->bpm < 100.0, "%g", item->bpm);
    cr_expect_eq(item->shown, 2);
    cr_expect_eq(item->judged, 2);
    cr_expect_eq(item->days, 1);
    cr_expect(!item->no_click);
    days_free(days);
}

Test(agenda, does_not_go_by_one_unlucky_run) {
    struct days *days = days_new(1);
    days_run(days, 0, 1, 100, 'c');
    days_run(days, 0, 2, 100, 'l');
    days_run(days, 0, 3, 100, 'c');
    const struct eh_agenda agenda = days_plan(days);
    cr_expect(days_item(&agenda, EH_AGENDA_FAILS) == NULL);
    days_free(days);
}

Test(agenda, looks_again_at_a_fault_that_the_only_run_showed) {
    struct days *days = days_new(1);
    days_run(days, 0, 0, 90, 'l');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_AGAIN);
    cr_assert(item != NULL);
    cr_expect_eq(item->shown, 1);
    cr_expect_eq(item->found.aspect, EH_ASPECT_DIDDLE_SPACING);
    cr_expect_eq(item->first_bar, 5);
    cr_expect_eq(item->last_bar, 6);
    cr_expect_eq(item->bpm, 90.0);
    days_free(days);
}

Test(agenda, does_not_take_late_and_early_for_one_fault) {
    struct days *days = days_new(1);
    days_run(days, 0, 1, 100, 'l');
    days_run(days, 0, 2, 100, 'e');
    const struct eh_agenda agenda = days_plan(days);
    cr_expect(days_item(&agenda, EH_AGENDA_FAILS) == NULL);
    days_free(days);
}

Test(agenda, lets_go_of_what_was_clear_twice_in_a_row_at_that_tempo) {
    struct days *days = days_new(1);
    days_run(days, 0, 0, 100, 'c');
    days_run(days, 0, 0, 100, 'c');
    days_run(days, 0, 2, 100, 'l');
    days_run(days, 0, 3, 100, 'l');
    days_run(days, 0, 4, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    cr_expect(days_item(&agenda, EH_AGENDA_FAILS) == NULL);
    days_free(days);
}

Test(agenda, keeps_what_was_clear_only_slower) {
    struct days *days = days_new(1);
    for (int i = 0; i < 6; i++) {
        days_run(days, 0, 0, 80, 'c');
    }
    days_run(days, 0, 2, 100, 'l');
    days_run(days, 0, 3, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
    cr_assert(item != NULL);
    cr_expect(item->bpm > 80.0 && item->bpm < 100.0, "%g", item->bpm);
    days_free(days);
}

Test(agenda, does_not_count_what_was_clear_in_other_bars) {
    struct days *days = days_new(1);
    for (int i = 0; i < 2; i++) {
        struct eh_agenda_run *run = days_run(days, 0, 0, 100, 'c');
        run->first_bar = 9;
        run->last_bar = 12;
    }
    days_run(days, 0, 2, 100, 'l');
    days_run(days, 0, 3, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
    cr_assert(item != NULL);
    cr_expect_eq(item->days, 2, "bars 5 and 6 were played two days ago");
    days_free(days);
}

Test(agenda, asks_for_nothing_faster_than_the_goal) {
    struct days *days = days_new(1);
    for (int i = 0; i < 3; i++) {
        days_run(days, 0, 0, 140, 'l');
    }
    for (int i = 0; i < 3; i++) {
        days_run(days, 0, 0, 130, 'c');
    }
    const struct eh_agenda agenda = days_plan(days);
    cr_expect(days_item(&agenda, EH_AGENDA_FAILS) == NULL);
    days_free(days);
}

Test(agenda, goes_below_the_start_where_it_fails_there) {
    struct days *days = days_new(1);
    for (int i = 0; i < 3; i++) {
        days_run(days, 0, i, 60, 'l');
    }
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
    cr_assert(item != NULL);
    cr_expect(item->bpm < 60.0 && item->bpm >= 45.0, "%g", item->bpm);
    days_free(days);
}

Test(agenda, plays_without_a_click_what_failed_without_one) {
    struct days *days = days_new(1);
    for (int i = 0; i < 2; i++) {
        days_run(days, 0, i, 100, 'l')->no_click = true;
    }
    const struct eh_agenda agenda = days_plan(days);
    cr_expect(days_item(&agenda, EH_AGENDA_FAILS)->no_click);
    days_free(days);
}

/* Cepeda et al. 2006 (Psychological Bulletin 132, 354-380): what is learnt in sessions that lie
 * further apart is kept longer, up to a gap that grows with the time it is to be kept. */
Test(agenda, of_equal_faults_puts_the_one_first_that_rested_longer) {
    struct days *days = days_new(2);
    for (int i = 0; i < 2; i++) {
        days_run(days, 0, 1, 100, 'l');
    }
    for (int i = 0; i < 2; i++) {
        days_run(days, 1, 4, 100, 'l');
    }
    const struct eh_agenda agenda = days_plan(days);
    cr_assert(agenda.item_count >= 2);
    cr_expect_eq(agenda.items[0].piece, 1);
    cr_expect_eq(agenda.items[1].piece, 0);
    days_free(days);
}

Test(agenda, brings_back_what_holds_after_days_of_rest_at_its_tempo) {
    struct days *days = days_new(2);
    days_run(days, 1, 0, 120, 'c');
    days_run(days, 1, 0, 120, 'c');
    days_run(days, 0, 9, 96, 'c');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_RESTED);
    cr_assert(item != NULL);
    cr_expect_eq(item->piece, 0);
    cr_expect_eq(item->days, 9);
    cr_expect_eq(item->bpm, 96.0);
    cr_expect_eq(item->last_bar - item->first_bar, 7, "a part of a long one");
    days_free(days);
}

Test(agenda, with_nothing_failed_goes_a_little_faster_up_to_the_goal) {
    struct days *days = days_new(1);
    days_run(days, 0, 0, 100, 'c');
    days_run(days, 0, 1, 100, 'c');
    struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FASTER);
    cr_assert(item != NULL);
    cr_expect_eq(item->bpm, 105.0);
    cr_expect(days_item(&agenda, EH_AGENDA_FAILS) == NULL);
    days->runs[0].bpm = 118.0;
    days->runs[1].bpm = 119.0;
    agenda = days_plan(days);
    cr_expect_eq(days_item(&agenda, EH_AGENDA_FASTER)->bpm, 120.0);
    days_free(days);
}

Test(agenda, at_its_goal_and_fresh_only_runs_through) {
    struct days *days = days_new(1);
    days_run(days, 0, 0, 120, 'c');
    days_run(days, 0, 0, 120, 'c');
    const struct eh_agenda agenda = days_plan(days);
    cr_expect_eq(agenda.item_count, 1);
    cr_expect_eq(agenda.items[0].kind, EH_AGENDA_RUN_THROUGH);
    cr_expect_eq(agenda.items[0].last_bar, 16);
    days_free(days);
}

Test(agenda, ends_with_something_that_holds_and_is_not_worked_on) {
    struct days *days = days_new(3);
    days_run(days, 0, 0, 100, 'l');
    days_run(days, 0, 1, 100, 'l');
    days_run(days, 1, 0, 120, 'c');
    days_run(days, 1, 0, 120, 'c');
    days_run(days, 2, 0, 120, 'c')->last_bar = 4;
    days_run(days, 2, 0, 120, 'c')->last_bar = 4;
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *last = &agenda.items[agenda.item_count - 1];
    cr_expect_eq(last->kind, EH_AGENDA_RUN_THROUGH);
    cr_expect_eq(last->piece, 1, "the longer one");
    cr_expect_eq(agenda.steps[agenda.step_count - 1].item, agenda.item_count - 1);
    days_free(days);
}

Test(agenda, with_everything_failing_works_on_several_pieces_and_runs_nothing_through) {
    struct days *days = days_new(5);
    for (size_t piece = 0; piece < 5; piece++) {
        for (int i = 0; i < 3; i++) {
            days_run(days, piece, 1, 100, 'b');
        }
    }
    const struct eh_agenda agenda = days_plan(days);
    bool seen[PIECES] = {false};
    cr_assert_eq(agenda.item_count, 4);
    for (size_t i = 0; i < agenda.item_count; i++) {
        cr_expect_eq(agenda.items[i].kind, EH_AGENDA_FAILS);
        cr_expect(!seen[agenda.items[i].piece]);
        seen[agenda.items[i].piece] = true;
    }
    days_free(days);
}

Test(agenda, of_one_piece_takes_both_its_faults) {
    struct days *days = days_new(1);
    for (int i = 0; i < 3; i++) {
        days_run(days, 0, 1, 100, 'b');
    }
    const struct eh_agenda agenda = days_plan(days);
    cr_assert_eq(agenda.item_count, 2);
    cr_expect_neq(agenda.items[0].found.aspect, agenda.items[1].found.aspect);
    days_free(days);
}

Test(agenda, forgets_unclear_runs) {
    struct days *days = days_new(1);
    days_run(days, 0, 1, 100, 'u');
    days_run(days, 0, 1, 100, 'u');
    days_run(days, 0, 1, 100, 'l');
    days_run(days, 0, 1, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
    cr_assert(item != NULL);
    cr_expect_eq(item->judged, 2);
    days_free(days);
}

Test(agenda, lets_old_runs_count_for_less) {
    struct days *days = days_new(2);
    days_run(days, 1, 8, 100, 'l');
    days_run(days, 1, 8, 100, 'l');
    days_run(days, 0, 50, 100, 'l');
    days_run(days, 0, 50, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    cr_assert(agenda.item_count >= 2);
    cr_expect_eq(agenda.items[0].piece, 1);
    days_free(days);
}

Test(agenda, is_the_same_for_the_same_history_on_the_same_day) {
    struct days *days = days_new(4);
    for (size_t i = 0; i < 24; i++) {
        days_run(days, i % 4, (int64_t)i, 90.0 + (double)(i % 3) * 10.0, "lcab"[i % 4]);
    }
    const struct eh_agenda first = days_plan(days);
    const struct eh_agenda again = days_plan(days);
    cr_expect_eq(first.step_count, again.step_count);
    for (size_t i = 0; i < first.step_count; i++) {
        cr_expect_eq(first.steps[i].item, again.steps[i].item);
    }
    for (size_t i = 0; i < first.item_count; i++) {
        cr_expect_eq(first.items[i].piece, again.items[i].piece);
        cr_expect_eq(first.items[i].bpm, again.items[i].bpm);
        cr_expect_eq(first.items[i].first_bar, again.items[i].first_bar);
        cr_expect_eq(first.items[i].passes, again.items[i].passes);
    }
    days_free(days);
}

Test(agenda, of_equals_takes_the_first) {
    struct days *days = days_new(4);
    for (size_t piece = 4; piece-- > 0;) {
        days_run(days, piece, 1, 100, 'l');
        days_run(days, piece, 1, 100, 'l');
    }
    const struct eh_agenda agenda = days_plan(days);
    for (size_t i = 0; i < agenda.item_count; i++) {
        cr_expect_eq(agenda.items[i].piece, i);
    }
    days_free(days);
}

Test(agenda, refuses_a_run_of_no_piece) {
    struct days *days = days_new(1);
    struct eh_agenda agenda;
    struct eh_error error = {0};
    days_run(days, 1, 1, 100, 'l');
    cr_expect_eq(eh_agenda_make(&agenda, &days->input, &error), EH_OUT_OF_RANGE);
    days_free(days);
}

Test(agenda, makes_a_loop_of_two_bars_of_a_fault_in_one) {
    struct days *days = days_new(1);
    days_run(days, 0, 1, 100, 'a');
    days_run(days, 0, 1, 100, 'a');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
    cr_assert(item != NULL);
    cr_expect_eq(item->first_bar, 12);
    cr_expect_eq(item->last_bar, 13);
    days_free(days);
}

Test(agenda, asks_for_the_same_tempo_again_after_a_single_clean_run) {
    struct days *days = days_new(1);
    days_run(days, 0, 0, 100, 'c');
    days_run(days, 0, 1, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_AGAIN);
    cr_expect(days_item(&agenda, EH_AGENDA_FASTER) == NULL);
    cr_assert(item != NULL);
    cr_expect_eq(item->bpm, 100.0);
    cr_expect_eq(item->shown, 0);
    days_free(days);
}

Test(agenda, puts_another_piece_before_a_second_fault_of_one) {
    struct days *days = days_new(2);
    for (int i = 0; i < 4; i++) {
        days_run(days, 0, 2, 100, 'b');
    }
    for (int i = 0; i < 2; i++) {
        days_run(days, 1, 2, 100, 'a');
    }
    days->input.minutes = 3.0;
    const struct eh_agenda agenda = days_plan(days);
    cr_assert_eq(agenda.item_count, 2);
    cr_expect_eq(agenda.items[0].piece, 0);
    cr_expect_eq(agenda.items[1].piece, 1);
    days_free(days);
}

Test(agenda, of_equal_pieces_runs_the_first_through) {
    struct days *days = days_new(3);
    for (size_t piece = 0; piece < 3; piece++) {
        days_run(days, piece, 0, 120, 'c');
        days_run(days, piece, 0, 120, 'c');
    }
    const struct eh_agenda agenda = days_plan(days);
    cr_assert_eq(agenda.item_count, 1);
    cr_expect_eq(agenda.items[0].piece, 0);
    days_free(days);
}

static double tempo_after(const char *letters) {
    struct days *days = days_new(1);
    for (const char *letter = letters; *letter != '\0'; letter++) {
        days_run(days, 0, 0, 96, *letter);
    }
    days_run(days, 0, 2, 100, 'l');
    days_run(days, 0, 3, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
    const double bpm = item != NULL ? item->bpm : 0.0;
    days_free(days);
    return bpm;
}

/* Four strokes say nothing, three times four on one day do (least_n is 8). */
Test(agenda, puts_passes_of_a_day_together_that_are_too_short_each) {
    cr_expect_eq(tempo_after("f"), tempo_after(""));
    cr_expect_eq(tempo_after("fff"), tempo_after("ccc"));
    cr_expect(tempo_after("fff") > tempo_after(""));
    cr_expect_eq(tempo_after("FFF"), tempo_after("lll"));
    cr_expect(tempo_after("FFF") < tempo_after("fff"));
}
