/* The plan of a day, what comes next, a pass, and the end, in words. The agenda is invented. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "evenhand/report_today.h"

static const struct eh_today_piece pieces[] = {
    {.exercise = "warm-up-eight-a-hand", .style = "rudimental", .bars = 11, .least_n = 8.0},
    {.exercise = "five-stroke-rolls", .style = "rudimental", .bars = 17, .least_n = 8.0},
    {.exercise = "an exercise with \x1b[2J in its name and no end of words in it, too many",
     .style = "concert",
     .bars = 8,
     .least_n = 8.0},
};

static struct eh_finding late_seconds(double value, double half) {
    return (struct eh_finding){.aspect = EH_ASPECT_DIDDLE_SPACING,
                               .side = EH_SIDE_LEFT,
                               .verdict = EH_VERDICT_UNEVEN,
                               .direction = EH_DIRECTION_LATE,
                               .fault = EH_FAULT_YES,
                               .value = value,
                               .low = value - half,
                               .high = value + half,
                               .limit_low = 0.45,
                               .limit_high = 0.55,
                               .unit = "share",
                               .n = 48};
}

static struct eh_finding missed(double count) {
    return (struct eh_finding){.aspect = EH_ASPECT_MISSED,
                               .side = EH_SIDE_BOTH,
                               .verdict = EH_VERDICT_SOME,
                               .fault = EH_FAULT_YES,
                               .value = count,
                               .low = count,
                               .high = count,
                               .limit_low = NAN,
                               .limit_high = 2.0,
                               .unit = "strokes",
                               .n = 120};
}

static struct eh_agenda three_items(void) {
    struct eh_agenda agenda = {.item_count = 4, .rest_item_s = 10.0, .rest_turn_s = 20.0};
    agenda.items[0] = (struct eh_agenda_item){.kind = EH_AGENDA_WARM_UP,
                                              .piece = 0,
                                              .first_bar = 1,
                                              .last_bar = 4,
                                              .bpm = 80.0,
                                              .passes = 1,
                                              .days = EH_AGENDA_NONE,
                                              .clean_bpm = NAN};
    agenda.items[1] = (struct eh_agenda_item){.kind = EH_AGENDA_FAILS,
                                              .piece = 1,
                                              .first_bar = 5,
                                              .last_bar = 8,
                                              .bpm = 92.5,
                                              .passes = 3,
                                              .days = 1,
                                              .found = late_seconds(0.62, 0.03),
                                              .shown = 3,
                                              .judged = 4,
                                              .shown_low_bpm = 100.0,
                                              .shown_high_bpm = 108.0,
                                              .clean_bpm = NAN};
    agenda.items[2] = (struct eh_agenda_item){.kind = EH_AGENDA_AGAIN,
                                              .piece = 2,
                                              .first_bar = 1,
                                              .last_bar = 8,
                                              .bpm = 70.0,
                                              .passes = 1,
                                              .no_click = true,
                                              .days = 0,
                                              .found = missed(5.0),
                                              .shown = 1,
                                              .judged = 1,
                                              .shown_low_bpm = 70.0,
                                              .shown_high_bpm = 70.0,
                                              .clean_bpm = NAN};
    agenda.items[3] = (struct eh_agenda_item){.kind = EH_AGENDA_RUN_THROUGH,
                                              .piece = 1,
                                              .first_bar = 17,
                                              .last_bar = 17,
                                              .bpm = 66.0,
                                              .passes = 1,
                                              .days = 12,
                                              .clean_bpm = 66.0};
    static const size_t order[] = {0, 1, 2, 1, 2, 3};
    static const double rests[] = {0.0, 10.0, 10.0, 20.0, 10.0, 300.0};
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
        agenda.steps[agenda.step_count++] =
            (struct eh_agenda_step){.item = order[i], .turn = i > 2 && i < 5, .rest_s = rests[i]};
    }
    agenda.seconds = 605.0;
    return agenda;
}

static bool holds(const struct eh_text *text, const char *words) {
    return strstr(eh_text_string(text), words) != NULL;
}

Test(report_today, shows_the_plan_as_a_table_with_a_reason_in_each_row) {
    const struct eh_agenda agenda = three_items();
    struct eh_text text = {0};
    cr_assert_eq(eh_report_today_plan(&agenda, pieces, 12.0, NULL, &text), EH_OK);
    cr_expect(holds(&text, "Today: about 10 of 12 minutes, rests included\n"));
    cr_expect(holds(&text, " W  warm-up-eight-a-hand   "));
    cr_expect(holds(&text, "      1-4      80        1\n"));
    cr_expect(holds(&text, " A  five-stroke-rolls      "));
    cr_expect(holds(&text, "      5-8    92.5    2 x 3\n"));
    cr_expect(holds(&text, "left seconds late at 100 to 108, in 3 of the latest 4 runs"));
    cr_expect(holds(&text, "these bars were played yesterday"));
    cr_expect(holds(&text, "missed strokes in one run; is it there again?; no click after"));
    cr_expect(holds(&text, "   bar 17      66        1\n"));
    cr_expect(holds(&text, "to end with: without a fault at 66, 12 days ago"));
    cr_expect(holds(&text, "In turn: W A B, A B, (break) R. Rests: 3 s between passes, 10 s"));
    cr_expect(holds(&text, "break of 5 minutes."));
    cr_expect(!holds(&text, "\x1b"), "what a name holds must not steer a terminal");
    eh_text_deinit(&text);
}

Test(report_today, says_what_comes_next_and_what_would_be_fine) {
    const struct eh_agenda agenda = three_items();
    struct eh_text text = {0};
    cr_assert_eq(eh_report_today_step(&agenda, 1, pieces, NULL, &text), EH_OK);
    cr_expect_str_eq(eh_text_string(&text),
                     "\nA  five-stroke-rolls, bars 5 to 8, 92.5 to the quarter, 3 passes; left "
                     "seconds\n   late (fine: 0.45 to 0.55)\n");
    eh_text_deinit(&text);
    cr_assert_eq(eh_report_today_step(&agenda, 5, pieces, NULL, &text), EH_OK);
    cr_expect(holds(&text, "A break of 5 minutes"));
    cr_expect(holds(&text, "R  five-stroke-rolls, bar 17, 66 to the quarter\n"));
    eh_text_deinit(&text);
}

Test(report_today, says_the_number_of_a_pass_that_it_is_about) {
    const struct eh_agenda agenda = three_items();
    static struct eh_judgement judgement;
    struct eh_text text = {0};
    judgement.findings[0] = missed(0.0);
    judgement.findings[1] = late_seconds(0.53, 0.02);
    judgement.findings[1].fault = EH_FAULT_NO;
    judgement.findings[1].verdict = EH_VERDICT_EVEN;
    judgement.findings[1].direction = EH_DIRECTION_NONE;
    judgement.finding_count = 2;
    cr_assert_eq(eh_report_today_pass(&agenda.items[1], 2, &judgement, NULL, &text), EH_OK);
    cr_expect_str_eq(
        eh_text_string(&text),
        "   pass 2  left seconds even in time: 0.53 of the span, 0.51 to 0.55 (n=48)\n");
    eh_text_deinit(&text);
    /* Too few strokes to tell the hands apart. */
    judgement.findings[1].side = EH_SIDE_BOTH;
    cr_assert_eq(eh_report_today_pass(&agenda.items[1], 1, &judgement, NULL, &text), EH_OK);
    cr_expect(holds(&text, "pass 1  seconds even in time: 0.53"));
    eh_text_deinit(&text);
}

Test(report_today, sets_now_beside_before_and_holds_it_against_the_limits) {
    const struct eh_agenda agenda = three_items();
    struct eh_today_now now[EH_AGENDA_ITEMS_MAX] = {{.passes = 0}};
    const struct eh_finding today[] = {late_seconds(0.50, 0.02), late_seconds(0.51, 0.02)};
    struct eh_text text = {0};
    for (size_t i = 0; i < 2; i++) {
        now[1].passes++;
        cr_assert(eh_pool_add(&now[1].pool, &today[i], 0.0));
    }
    cr_assert_eq(eh_report_today_end(&agenda, pieces, now, NULL, &text), EH_OK);
    cr_expect(holds(&text, "A  five-stroke-rolls, bars 5 to 8: left seconds late (fine: 0.45"));
    cr_expect(holds(&text, "before  0.62 of the span, 0.59 to 0.65 (runs at 100 to 108, n=48)\n"));
    cr_expect(holds(&text, "now     0.5"));
    cr_expect(holds(&text, ": fine (2 passes at 92.5, n=96)\n"));
    cr_expect(holds(&text, "before  5 strokes (runs at 70, n=120)\n"), "%s", eh_text_string(&text));
    cr_expect(holds(&text, "now     not played to an answer\n"));
    cr_expect(!holds(&text, "warm-up") && !holds(&text, "bar 17"), "they had not failed");
    eh_text_deinit(&text);

    const struct eh_finding worse = late_seconds(0.63, 0.02);
    now[1] = (struct eh_today_now){.passes = 1, .both = true};
    cr_assert(eh_pool_add(&now[1].pool, &worse, 0.0));
    now[2] = (struct eh_today_now){.passes = 2};
    cr_assert_eq(eh_report_today_end(&agenda, pieces, now, NULL, &text), EH_OK);
    cr_expect(holds(&text, ": still fails (both hands, 1 pass at"));
    cr_expect(!holds(&text, "1 passes"));
    cr_expect(holds(&text, "now     not measured (2 passes at 70, n=0)\n"));
    eh_text_deinit(&text);
}

Test(report_today, where_nothing_had_failed_says_that_only) {
    struct eh_agenda agenda = three_items();
    const struct eh_today_now now[EH_AGENDA_ITEMS_MAX] = {{.passes = 0}};
    struct eh_text text = {0};
    agenda.items[1].shown = 0;
    agenda.items[2].shown = 0;
    cr_assert_eq(eh_report_today_end(&agenda, pieces, now, NULL, &text), EH_OK);
    cr_expect_str_eq(eh_text_string(&text), "\nNothing in this plan had failed before.\n");
    eh_text_deinit(&text);
}

/* The longest line's. */
static size_t width_of(const struct eh_text *text) {
    const char *line = eh_text_string(text);
    size_t most = 0;
    while (*line != '\0') {
        const size_t length = strcspn(line, "\n");
        most = length > most ? length : most;
        line += length + (line[length] == '\n');
    }
    return most;
}

Test(report_today, keeps_every_line_within_its_width) {
    const struct eh_agenda agenda = three_items();
    struct eh_today_now now[EH_AGENDA_ITEMS_MAX] = {{.passes = 0}};
    now[2] = (struct eh_today_now){.passes = 2, .both = true};
    for (int width = EH_REPORT_WIDTH_LEAST; width <= 130; width++) {
        const struct eh_report_look look = {.width = width};
        struct eh_text text = {0};
        cr_assert_eq(eh_report_today_plan(&agenda, pieces, 12.0, &look, &text), EH_OK);
        for (size_t step = 0; step < agenda.step_count; step++) {
            cr_assert_eq(eh_report_today_step(&agenda, step, pieces, &look, &text), EH_OK);
        }
        cr_assert_eq(eh_report_today_end(&agenda, pieces, now, &look, &text), EH_OK);
        cr_expect(width_of(&text) <= (size_t)width, "%d: %zu", width, width_of(&text));
        eh_text_deinit(&text);
    }
}
