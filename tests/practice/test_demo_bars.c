#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/demo.h"
#include "text_exercise.h"

/* Eight bars, each with what every fault needs; the last stroke of a bar is far from the next. */
static const char music[] = "16: R>R L>L 8: R>L lR>L 4: - | 16: R>R L>L 8: R>L lR>L 4: - | "
                            "16: R>R L>L 8: R>L lR>L 4: - | 16: R>R L>L 8: R>L lR>L 4: - | "
                            "16: R>R L>L 8: R>L lR>L 4: - | 16: R>R L>L 8: R>L lR>L 4: - | "
                            "16: R>R L>L 8: R>L lR>L 4: - | 16: R>R L>L 8: R>L lR>L 4: -";
static const int64_t bar_ns = 2 * EH_NS_PER_S; /* at 120 */

enum { BARS = 8 };

struct show {
    struct eh_exercise *exercise;
    struct eh_plan plan;
    struct eh_take take;
};

static void read_fault(struct eh_demo_request *request, const char *fault) {
    struct eh_error error = {0};
    cr_assert_eq(eh_demo_faults_read(request->faults, &request->fault_count, fault, &error), EH_OK,
                 "%s", error.text);
}

static void make_hits(struct show *show, const struct eh_demo_request *request) {
    struct eh_error error = {0};
    struct eh_demo demo;
    cr_assert_eq(eh_demo_init(&demo, &show->plan, request, &error), EH_OK, "%s", error.text);
    cr_assert_eq(eh_demo_hits(&demo, &show->take), EH_OK);
}

static void play_music(struct show *show, const char *bars, const char *fault) {
    struct eh_demo_request request = {.seed = 5, .exact = true, .no_click = true};
    memset(show, 0, sizeof *show);
    read_fault(&request, fault);
    show->exercise = text_exercise(NULL, bars);
    text_plan(&show->plan, show->exercise, 120, 1, 0);
    make_hits(show, &request);
}

static void put_away(struct show *show) {
    eh_take_deinit(&show->take);
    eh_plan_deinit(&show->plan);
    eh_exercise_free(show->exercise);
}

/* The bar, from 0, that a hit belongs to: half a beat before its line it is the next one's. */
static int bar_of(const struct eh_hit *hit) {
    return (int)((hit->at_ns + EH_NS_PER_S / 4) / bar_ns);
}

static size_t hits_of(const struct show *show, int bar, struct eh_hit *out) {
    size_t n = 0;
    for (size_t i = 0; i < show->take.count; i++) {
        if (bar_of(&show->take.hits[i]) == bar) {
            out[n++] = show->take.hits[i];
        }
    }
    return n;
}

/* Which bars sound otherwise with FAULT than without, as a bit set. */
static unsigned changed_by(const char *fault) {
    struct show plain;
    struct show faulty;
    unsigned changed = 0;
    play_music(&plain, music, "none");
    play_music(&faulty, music, fault);
    for (int bar = 0; bar < BARS; bar++) {
        struct eh_hit a[64];
        struct eh_hit b[64];
        const size_t n = hits_of(&plain, bar, a);
        const size_t m = hits_of(&faulty, bar, b);
        bool same = n == m;
        for (size_t i = 0; i < n && same; i++) {
            same = a[i].at_ns == b[i].at_ns && a[i].velocity == b[i].velocity &&
                   a[i].note == b[i].note;
        }
        changed |= same ? 0u : 1u << bar;
    }
    put_away(&plain);
    put_away(&faulty);
    return changed;
}

Test(demo_bars, a_fault_with_bars_changes_these_bars_and_no_other) {
    static const char *const faults[] = {"late-left-seconds",
                                         "early-right-seconds",
                                         "scattered-left-seconds",
                                         "weak-right-seconds",
                                         "under-accents",
                                         "late-left",
                                         "late-right",
                                         "uneven-taps",
                                         "unsteady",
                                         "late",
                                         "early",
                                         "flat-flams",
                                         "wide-flams",
                                         "loud-graces",
                                         "rim:100",
                                         "missed:50",
                                         "extra:50",
                                         "double-triggers:50"};
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        char text[64];
        (void)snprintf(text, sizeof text, "%s/3-4", faults[i]);
        cr_expect_eq(changed_by(text), 0x0cu, "%s: bars %x", text, changed_by(text));
        (void)snprintf(text, sizeof text, "%s/8", faults[i]);
        cr_expect_eq(changed_by(text), 0x80u, "%s: bars %x", text, changed_by(text));
        cr_expect_eq(changed_by(faults[i]), 0xffu, "%s: bars %x", faults[i], changed_by(faults[i]));
    }
}

Test(demo_bars, two_of_a_kind_have_their_own_bars) {
    cr_expect_eq(changed_by("missed:30/2,missed:50/7-8"), 0xc2u);
    cr_expect_eq(changed_by("late-left:20/1,late-left:60/5,late-right/3"), 0x15u);
}

Test(demo_bars, a_percentage_is_one_of_the_strokes_in_these_bars) {
    struct show show;
    play_music(&show, "4: RLRL | RLRL | RLRL | RLRL", "missed:50/3-4");
    cr_expect_eq(show.plan.due_count, 16);
    cr_expect_eq(show.take.count, 12);
    put_away(&show);
}

Test(demo_bars, a_fault_in_bars_that_are_not_played_does_not_show) {
    struct eh_demo_request request = {.seed = 5};
    struct eh_error error = {0};
    struct eh_demo demo;
    struct eh_exercise *exercise = text_exercise(NULL, music);
    const struct eh_plan_request ask = {.first_bar = 1, .last_bar = 2};
    struct eh_tempo_map map = {0};
    struct eh_plan plan;
    cr_assert_eq(eh_tempo_map_init(&map, 0, 0, eh_ns_per_quarter(120)), EH_OK);
    cr_assert_eq(eh_plan_init(&plan, exercise, &ask, &map, 0, &error), EH_OK, "%s", error.text);
    cr_assert_eq(
        eh_demo_faults_read(request.faults, &request.fault_count, "late/5,stop/6,late", &error),
        EH_OK);
    cr_assert_eq(eh_demo_init(&demo, &plan, &request, &error), EH_OK, "%s", error.text);
    cr_expect_eq(demo.request.fault_count, 1);
    cr_expect_eq(demo.request.faults[0].first_bar, 0);
    eh_plan_deinit(&plan);
    eh_tempo_map_deinit(&map);
    eh_exercise_free(exercise);
}

/* When bar BAR, from 0, begins, played exactly with FAULT; by its first stroke. */
static double begins_s(const char *fault, int bar) {
    struct show show;
    play_music(&show, "4: RLRL | RLRL | RLRL | RLRL | RLRL | RLRL | RLRL | RLRL", fault);
    const double at = (double)show.take.hits[(size_t)bar * 4].at_ns / EH_NS_PER_S;
    put_away(&show);
    return at;
}

/* By hand: bars of 2 s. 25 % faster is 1.6 s a bar; a tempo that rises evenly from 1 to 1.25 over 4
 * s of music has the mean duration (1 + 0.8) / 2 of it. */
Test(demo_bars, a_tempo_of_its_own_lasts_as_long_as_its_bars) {
    cr_expect_float_eq(begins_s("faster:25/3-4", 2), 4.0, 1e-6);
    cr_expect_float_eq(begins_s("faster:25/3-4", 3), 5.6, 1e-6);
    cr_expect_float_eq(begins_s("faster:25/3-4", 4), 7.2, 1e-6);
    cr_expect_float_eq(begins_s("faster:25/3-4", 6), 11.2, 1e-6);
    cr_expect_float_eq(begins_s("slower:20/1", 1), 2.5, 1e-6);
    cr_expect_float_eq(begins_s("slower:20/1", 2), 4.5, 1e-6);
}

Test(demo_bars, a_tempo_that_rises_in_its_bars_stays_where_it_came_to) {
    cr_expect_float_eq(begins_s("rushing:25/3-4", 2), 4.0, 1e-6);
    cr_expect_float_eq(begins_s("rushing:25/3-4", 4), 4.0 + 4.0 * 0.9, 1e-6);
    cr_expect_float_eq(begins_s("rushing:25/3-4", 5), 7.6 + 1.6, 1e-6);
    cr_expect_float_eq(begins_s("dragging:20/7", 7), 12.0 + 2.0 * 1.125, 1e-6);
    cr_expect_float_eq(begins_s("rushing:25/1,dragging:20/2", 1), 2.0 * 0.9, 1e-6);
}

Test(demo_bars, a_halt_is_at_the_bar_line_that_it_names) {
    cr_expect_float_eq(begins_s("wait:2/6", 4), 8.0, 1e-6);
    cr_expect_float_eq(begins_s("wait:2/6", 5), 10.0 + 1.0, 1e-6);
    cr_expect_float_eq(begins_s("skip:4/3", 2), 4.0, 1e-6);
    cr_expect_eq(changed_by("stop:4/6"), 0x20u);
}

Test(demo_bars, reads_the_bars_behind_name_size_and_tempo) {
    static const struct {
        const char *text;
        double size, above;
        int32_t first, last;
    } rows[] = {{"late-left", 25, 0, 0, 0},
                {"late-left/5", 25, 0, 5, 5},
                {"late-left/5-8", 25, 0, 5, 8},
                {"late-left:30/13-16", 30, 0, 13, 16},
                {"late-left:30@92.5/1-1", 30, 92.5, 1, 1}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_demo_fault fault;
        struct eh_error error = {0};
        cr_assert_eq(eh_demo_fault_read(&fault, rows[i].text, &error), EH_OK, "%s", error.text);
        cr_expect_eq(fault.size, rows[i].size, "%s", rows[i].text);
        cr_expect_eq(fault.above_bpm, rows[i].above, "%s", rows[i].text);
        cr_expect_eq(fault.first_bar, rows[i].first, "%s", rows[i].text);
        cr_expect_eq(fault.last_bar, rows[i].last, "%s", rows[i].text);
    }
}

Test(demo_bars, says_what_is_wrong_with_bars) {
    static const struct {
        const char *text, *part;
    } rows[] = {{"late-left/", "5 or 5-8, not ''"},      {"late-left/0", "not '0'"},
                {"late-left/8-5", "not '8-5'"},          {"late-left/5-", "not '5-'"},
                {"late-left/5-8-9", "not '5-8-9'"},      {"late-left/x", "not 'x'"},
                {"late-left/99999999999", "not '99999"}, {"late-left/5@92", "not '5@92'"},
                {"late-start/5", "late-start has its"},  {"rubato:3/5-8", "takes no bars"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_demo_fault fault;
        struct eh_error error = {0};
        cr_expect_eq(eh_demo_fault_read(&fault, rows[i].text, &error), EH_OUT_OF_RANGE, "%s",
                     rows[i].text);
        cr_expect(strstr(error.text, rows[i].part) != NULL, "%s: %s", rows[i].text, error.text);
    }
}

Test(demo_bars, says_that_the_exercise_has_no_such_bars) {
    struct eh_exercise *exercise = text_exercise(NULL, music);
    struct eh_demo_request request = {.seed = 5};
    struct eh_error error = {0};
    struct eh_plan plan;
    struct eh_demo demo;
    text_plan(&plan, exercise, 120, 1, 0);
    cr_assert_eq(eh_demo_faults_read(request.faults, &request.fault_count, "late/8-9", &error),
                 EH_OK);
    cr_expect_eq(eh_demo_init(&demo, &plan, &request, &error), EH_OUT_OF_RANGE);
    cr_expect_str_eq(error.text, "a fault is to show up to bar 9, but the exercise has 8 bars");
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}
