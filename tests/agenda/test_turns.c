/* In which order, how often, how long. */
#include <criterion/criterion.h>

#include "days.h"

static struct days *three_faults(void) {
    struct days *days = days_new(5);
    for (size_t piece = 0; piece < 3; piece++) {
        days_run(days, piece, 1, 100, 'l');
        days_run(days, piece, 1, 100, 'l');
    }
    days_run(days, 3, 0, 120, 'c');
    days_run(days, 3, 0, 120, 'c');
    days_warm_up(days, 4);
    return days;
}

static double total_of(const struct eh_agenda *agenda) {
    double seconds = 0.0;
    for (size_t i = 0; i < agenda->step_count; i++) {
        seconds += agenda->steps[i].rest_s + agenda->items[agenda->steps[i].item].seconds;
    }
    return seconds;
}

/* Shea & Morgan 1979 (J. Exp. Psychol. Hum. Learn. Mem. 5, 179-187), Carter & Grahn 2016 (Front.
 * Psychol. 7:1251): tasks that take turns are kept better than tasks in blocks. */
Test(turns, alternate_between_warm_up_and_run_through) {
    struct days *days = three_faults();
    days->input.minutes = 14.0;
    const struct eh_agenda agenda = days_plan(days);
    cr_assert_eq(agenda.item_count, 5);
    cr_expect_eq(agenda.items[0].kind, EH_AGENDA_WARM_UP);
    cr_expect_eq(agenda.items[4].kind, EH_AGENDA_RUN_THROUGH);
    cr_assert(agenda.step_count >= 8 && (agenda.step_count - 2) % 3 == 0);
    cr_expect_eq(agenda.steps[0].item, 0);
    for (size_t i = 1; i + 1 < agenda.step_count; i++) {
        cr_expect_eq(agenda.steps[i].item, 1 + (i - 1) % 3);
        cr_expect_eq(agenda.steps[i].turn, (int32_t)(i - 1) / 3);
    }
    cr_expect_eq(agenda.steps[agenda.step_count - 1].item, 4);
    days_free(days);
}

Test(turns, rest_before_another_item_and_longer_before_they_begin_anew) {
    struct days *days = three_faults();
    days->input.minutes = 14.0;
    const struct eh_agenda agenda = days_plan(days);
    cr_expect_eq(agenda.steps[0].rest_s, 0.0);
    for (size_t i = 1; i < agenda.step_count; i++) {
        const bool anew = i + 1 == agenda.step_count || (i > 1 && agenda.steps[i].item == 1);
        cr_expect_eq(agenda.steps[i].rest_s, anew ? EH_AGENDA_REST_TURN_S : EH_AGENDA_REST_ITEM_S);
    }
    days_free(days);
}

Test(turns, stay_within_the_minutes_whatever_they_are) {
    struct days *days = three_faults();
    for (int minutes = EH_AGENDA_MINUTES_MIN; minutes <= EH_AGENDA_MINUTES_MAX; minutes++) {
        days->input.minutes = minutes;
        const struct eh_agenda agenda = days_plan(days);
        cr_expect(agenda.step_count >= 2, "%d", minutes);
        cr_expect_float_eq(agenda.seconds, total_of(&agenda), 1e-6);
        cr_expect(agenda.seconds <= minutes * 60.0, "%d: %g s", minutes, agenda.seconds);
        for (size_t i = 0; i < agenda.step_count; i++) {
            cr_expect(agenda.items[agenda.steps[i].item].passes >= 1);
        }
    }
    days_free(days);
}

/* A few minutes off in every half hour: common practice, no source. */
Test(turns, leave_nobody_without_a_break_for_25_minutes) {
    struct days *days = days_new(9);
    int breaks = 0;
    for (size_t piece = 0; piece < 9; piece++) {
        days_run(days, piece, 1, 62, 'l');
        days_run(days, piece, 1, 62, 'l');
    }
    days->input.count_in_bars = 8; /* long turns */
    for (int minutes = 30; minutes <= EH_AGENDA_MINUTES_MAX; minutes += 5) {
        days->input.minutes = minutes;
        const struct eh_agenda agenda = days_plan(days);
        double unbroken = 0.0;
        for (size_t i = 0; i < agenda.step_count; i++) {
            const bool is_break = agenda.steps[i].rest_s >= EH_AGENDA_BREAK_S;
            breaks += is_break;
            unbroken = is_break ? 0.0 : unbroken + agenda.steps[i].rest_s;
            unbroken += agenda.items[agenda.steps[i].item].seconds;
            cr_expect(unbroken <= EH_AGENDA_UNBROKEN_S, "%d minutes: %g s without a break", minutes,
                      unbroken);
        }
        cr_expect(agenda.seconds <= minutes * 60.0);
    }
    cr_expect(breaks > 0);
    days_free(days);
}

Test(turns, in_two_minutes_still_alternate_two_things) {
    struct days *days = three_faults();
    days->input.minutes = 2.0;
    const struct eh_agenda agenda = days_plan(days);
    int work = 0;
    for (size_t i = 0; i < agenda.item_count; i++) {
        work += agenda.items[i].kind == EH_AGENDA_FAILS;
    }
    cr_expect_eq(work, 2);
    for (size_t i = 0; i < agenda.item_count; i++) {
        int turns = 0;
        for (size_t step = 0; step < agenda.step_count; step++) {
            turns += agenda.steps[step].item == i;
        }
        cr_expect(agenda.items[i].kind != EH_AGENDA_FAILS || turns >= 2);
    }
    days_free(days);
}

Test(turns, need_minutes_that_can_be) {
    struct days *days = three_faults();
    struct eh_agenda agenda;
    struct eh_error error = {0};
    static const double wrong[] = {0.0, 0.9, 90.1, -5.0};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        days->input.minutes = wrong[i];
        cr_expect_eq(eh_agenda_make(&agenda, &days->input, &error), EH_OUT_OF_RANGE);
        cr_expect_eq(agenda.step_count, 0);
    }
    days_free(days);
}

Test(turns, of_neighbours_are_of_different_pieces_where_that_can_be) {
    struct days *days = days_new(2);
    for (int i = 0; i < 3; i++) {
        days_run(days, 0, 7, 100, 'b'); /* rested: both of its faults ask more than the other's */
    }
    for (int i = 0; i < 2; i++) {
        days_run(days, 1, 0, 100, 'a');
    }
    days->input.minutes = 14.0;
    const struct eh_agenda agenda = days_plan(days);
    cr_assert_eq(agenda.item_count, 3);
    cr_expect_neq(agenda.items[0].piece, agenda.items[1].piece);
    cr_expect_neq(agenda.items[1].piece, agenda.items[2].piece);
    days_free(days);
}

Test(turns, do_not_make_work_of_a_warm_up) {
    struct days *days = days_new(2);
    days_warm_up(days, 1);
    days_run(days, 1, 9, 80, 'c');
    days_run(days, 0, 1, 100, 'l');
    days_run(days, 0, 1, 100, 'l');
    const struct eh_agenda agenda = days_plan(days);
    cr_assert_eq(agenda.item_count, 2);
    cr_expect_eq(agenda.items[0].kind, EH_AGENDA_WARM_UP);
    cr_expect_eq(agenda.items[0].piece, 1);
    cr_expect_eq(agenda.items[0].bpm, 60.0, "its start tempo");
    cr_expect_eq(agenda.items[1].piece, 0);
    days_free(days);
}

Test(turns, go_by_the_warm_up_where_nothing_else_was_played) {
    struct days *days = days_new(1);
    days_warm_up(days, 0);
    days_run(days, 0, 3, 80, 'c');
    const struct eh_agenda agenda = days_plan(days);
    cr_assert_eq(agenda.item_count, 1);
    cr_expect_eq(agenda.items[0].kind, EH_AGENDA_RESTED);
    days_free(days);
}

/* A bar of 4/4 at B quarters a minute takes 240/B s: arithmetic. */
Test(turns, take_as_long_as_their_bars_and_count_ins) {
    struct days *days = days_new(1);
    days_run(days, 0, 1, 100, 'l');
    days_run(days, 0, 1, 100, 'l');
    for (int32_t counted = 0; counted <= 3; counted++) {
        days->input.count_in_bars = counted;
        const struct eh_agenda agenda = days_plan(days);
        const struct eh_agenda_item *item = days_item(&agenda, EH_AGENDA_FAILS);
        cr_assert(item != NULL && item->last_bar - item->first_bar == 1);
        const double bars = 2.0 + (counted > 0 ? counted : 1);
        const double music = item->passes * bars * 240.0 / item->bpm;
        const double rests = (item->passes - 1) * EH_AGENDA_REST_PASS_S;
        cr_expect(item->seconds >= music + rests);
        cr_expect(item->seconds <= music + rests + 2.0 * item->passes, "%g", item->seconds);
    }
    days_free(days);
}
