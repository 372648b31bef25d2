/* Faults have the size that they say, courses are what they are called, and a seed is a run. */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <string.h>

#include "cell.h"
#include "evenhand/settings.h"

static void open_pattern(struct written *w, enum pattern pattern, int bars) {
    char text[SCORES_TEXT];
    pattern_bars(pattern, bars, 120.0, text);
    cr_assert(written_open(w, pattern_name(pattern), text, 120.0, 0));
}

static double truth_after(const char *name, double size, enum eh_side side) {
    size_t count = 0;
    double truth = NAN;
    const struct fault *faults = fault_list(&count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(faults[i].name, name) == 0) {
            struct written w;
            struct eh_style style;
            struct player player;
            struct chance chance;
            open_pattern(&w, faults[i].pattern, 8);
            cr_assert(eh_style_shipped(&style, w.style, NULL) == EH_OK);
            chance_seed(&chance, 3);
            player_draw(&player, PLAYER_PROFESSIONAL, &w, style.accent_low_db, style.accent_high_db,
                        &chance);
            cr_assert(faults[i].put(&player, &style, &w, size));
            truth = fault_truth(&player, &w, faults[i].aspect, side);
            written_close(&w);
        }
    }
    return truth;
}

/* The rudimental style's tolerances: 0.05 of a span, 3 dB, 4.5 to 12 dB, 10 ms, 2.5 %. */
Test(bench_truth, a_fault_of_twice_the_tolerance_lies_twice_as_far_off) {
    cr_expect(fabs(truth_after("seconds-late-left", 2.0, EH_SIDE_LEFT) - 0.60) < 1e-9);
    cr_expect(fabs(truth_after("seconds-early-right", 2.0, EH_SIDE_RIGHT) - 0.40) < 1e-9);
    cr_expect(fabs(truth_after("seconds-weak-left", 2.0, EH_SIDE_LEFT) - -6.0) < 1e-9);
    cr_expect(fabs(truth_after("accents-under-left", 2.0, EH_SIDE_LEFT) - 0.75) < 1e-9);
    cr_expect(fabs(truth_after("accents-under-left", 1.0, EH_SIDE_LEFT) - 4.5) < 1e-9);
    cr_expect(fabs(truth_after("hand-soft-left", 2.0, EH_SIDE_BOTH) - -6.0) < 1e-9);
    cr_expect(fabs(truth_after("hand-late-left", 2.0, EH_SIDE_BOTH) - 20.0) < 1e-9);
    cr_expect(fabs(truth_after("rushing", 2.0, EH_SIDE_BOTH) - 5.0) < 1e-9);
    cr_expect(fabs(truth_after("flams-flat-left", 2.0, EH_SIDE_LEFT) - 5.0) < 1e-9);
    cr_expect(fabs(truth_after("graces-loud-left", 1.0, EH_SIDE_LEFT) - 3.0) < 1.3,
              "the hands' own difference is in it");
}

/* Sums the time from the first to the last stroke of a player without scatter. */
Test(bench_truth, a_tempo_that_grows_ends_where_it_says) {
    struct written w;
    struct chance chance;
    struct player player;
    struct intents intents = {0};
    struct blows blows = {0};
    open_pattern(&w, PATTERN_SINGLES, 32);
    chance_seed(&chance, 5);
    player_draw(&player, PLAYER_PROFESSIONAL, &w, 4.5, 12.0, &chance);
    player.own_ms = player.wander_ms = 0.0;
    player.hand_late_ms[0] = player.hand_late_ms[1] = 0.0;
    player.end_percent = 8.0;
    (void)course_set_out(COURSE_STRAIGHT, &w, NULL, &chance, &intents);
    perform_room(&blows, intents.count);
    perform_times(&w, &intents, &player, &chance, &blows);
    const double *at = blows.at;
    const size_t n = intents.count;
    const double last = at[n - 1] - at[n - 2];
    cr_expect(fabs(125.0 / last - 1.08) < 1e-3, "the last gap is %.3f ms", last);
    cr_expect(fabs((at[1] - at[0]) - 125.0) < 0.05);
    /* Written 64 s; with p = 0.08 it takes 64 ln(1.08) / 0.08 = 61.569 s (calculus). */
    cr_expect(fabs(at[n - 1] - at[0] - 64000.0 * log(1.08) / 0.08) < 0.5);
    written_close(&w);
    intents_free(&intents);
    blows_free(&blows);
}

Test(bench_truth, courses_are_what_they_are_called) {
    struct written w;
    struct chance chance;
    struct intents in = {0};
    open_pattern(&w, PATTERN_SINGLES, 12);
    const size_t whole = w.plan.due_count;
    for (uint64_t seed = 0; seed < 50; seed++) {
        chance_seed(&chance, seed);
        cr_assert(course_set_out(COURSE_STRAIGHT, &w, NULL, &chance, &in));
        cr_expect_eq(in.count, whole);
        cr_assert(course_set_out(COURSE_SKIP, &w, NULL, &chance, &in));
        cr_expect_eq(in.count, whole - 16);
        cr_assert(course_set_out(COURSE_REPEAT, &w, NULL, &chance, &in));
        cr_expect_eq(in.count, whole + 16);
        cr_assert(course_set_out(COURSE_HAND_LOST, &w, NULL, &chance, &in));
        cr_expect_eq(in.count, whole - 8);
        cr_assert(course_set_out(COURSE_BAR_ADDED, &w, NULL, &chance, &in));
        cr_expect_eq(in.count, whole + 8, "a bar of eighths");
        for (int course = 0; course < COURSE_OTHER; course++) {
            cr_assert(course_set_out((enum course)course, &w, NULL, &chance, &in));
            for (size_t i = 1; i < in.count; i++) {
                cr_assert(in.row[i].at > in.row[i - 1].at, "%s goes back in time",
                          course_name((enum course)course));
            }
        }
    }
    written_close(&w);
    intents_free(&in);
}

Test(bench_truth, the_same_seed_gives_the_same_figures_and_another_does_not) {
    char text[SCORES_TEXT];
    pattern_bars(PATTERN_ROLL, 4, 120.0, text);
    static const struct mixture mixture = {
        .name = "mixed", .missed = 0.05, .extra = 0.05, .echoes = 0.03, .end_percent = 5.0};
    const struct spec spec = {.section = SECTION_ALIGN,
                              .mixture = &mixture,
                              .exercise = "roll",
                              .text = text,
                              .bpm = 120.0,
                              .kit = kit_named("good"),
                              .runs = 10};
    struct cell cells[3];
    memset(cells, 0, sizeof cells);
    for (int i = 0; i < 3; i++) {
        cells[i].spec = spec;
        cell_measure(&cells[i], i < 2 ? 1 : 2);
    }
    cr_expect(memcmp(&cells[0], &cells[1], sizeof cells[0]) == 0);
    cr_expect(memcmp(&cells[0].agreement, &cells[2].agreement, sizeof cells[0].agreement) != 0);
    cr_expect_eq(cells[0].played, 10);
}
