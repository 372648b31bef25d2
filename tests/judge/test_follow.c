/* What the follower promises, on made-up players whose truth is known. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "exercises.h"
#include "following.h"

static int count_fates(const struct outcome *o, enum eh_fate_kind kind) {
    int n = 0;
    for (size_t i = 0; i < o->hit_count; i++) {
        n += o->fates[i].kind == kind;
    }
    return n;
}

/* Performances written by hand: ms and velocity, due times from the plan. */
struct note {
    double ms;
    int velocity;
};

static struct performance hand_made(const struct note *notes, size_t count) {
    struct performance p = {.count = count};
    p.hits = calloc(count + 1, sizeof *p.hits);
    p.truth = calloc(count + 1, sizeof *p.truth);
    for (size_t i = 0; i < count; i++) {
        p.hits[i] = (struct eh_hit){.at_ns = (int64_t)(notes[i].ms * 1e6),
                                    .velocity = (uint16_t)(notes[i].velocity * EH_VELOCITY_UNIT),
                                    .note = 38};
    }
    return p;
}

static void expect(const char *text, const struct note *notes, size_t count, const int *expected,
                   size_t dues, const char *what) {
    struct eh_exercise *exercise = parse_exercise(text);
    cr_assert_not_null(exercise);
    struct eh_plan plan = plan_at(exercise, 120.0, 1000.0, 1);
    cr_assert_eq(plan.due_count, dues, "%s: %zu strokes", what, plan.due_count);
    struct performance p = hand_made(notes, count);
    struct outcome o = follow(&plan, &p, AT_ONCE);
    for (size_t i = 0; i < dues; i++) {
        cr_expect_eq(o.matches[i].hit, expected[i], "%s: stroke %zu found %d, not %d", what, i,
                     o.matches[i].hit, expected[i]);
    }
    drop(&o);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

#define EXPECT(text, notes, expected, what)                                                        \
    expect(text, notes, sizeof(notes) / sizeof(notes)[0], expected,                                \
           sizeof(expected) / sizeof(expected)[0], what)

static const char eighths[] = "metre: 4/4\n| 8:RLRL RLRL |\n"; /* 250 ms apart from 1000 ms */

Test(follow, reports_an_unplayed_stroke_as_missing) {
    const struct note notes[] = {{1002, 60}, {1251, 60}, {1750, 60}, {1999, 60},
                                 {2252, 60}, {2500, 60}, {2749, 60}};
    const int expected[] = {0, 1, -1, 2, 3, 4, 5, 6};
    EXPECT(eighths, notes, expected, "third stroke left out");
}

Test(follow, reports_a_hit_that_belongs_to_nothing_as_extra) {
    const struct note notes[] = {{1002, 60}, {1251, 60}, {1500, 60}, {1630, 60}, {1750, 60},
                                 {1999, 60}, {2252, 60}, {2500, 60}, {2749, 60}};
    const int expected[] = {0, 1, 2, 4, 5, 6, 7, 8};
    EXPECT(eighths, notes, expected, "one added");
}

Test(follow, takes_the_first_stroke_up_to_half_its_spacing_early) {
    const struct note at_edge[] = {{876, 60}, {1250, 60}, {1500, 60}, {1750, 60}};
    const int all[] = {0, 1, 2, 3, -1, -1, -1, -1};
    EXPECT(eighths, at_edge, all, "124 ms early of 250");
    const struct note beyond[] = {{860, 60}, {1250, 60}, {1500, 60}, {1750, 60}};
    const int without[] = {-1, 1, 2, 3, -1, -1, -1, -1};
    EXPECT(eighths, beyond, without, "140 ms early of 250");
    static const char quarters[] = "metre: 4/4\n| 4:RLRL |\n";
    const struct note wide[] = {{755, 60}, {1500, 60}, {2000, 60}, {2500, 60}};
    const int four[] = {0, 1, 2, 3};
    EXPECT(quarters, wide, four, "245 ms early of 500");
}

Test(follow, keeps_grace_notes_with_their_main_strokes) {
    static const char flams[] = "metre: 4/4\n| 4:lR rL lR llR |\n";
    const struct note both[] = {{978, 30},  {1001, 80}, {1470, 28}, {1500, 85},
                                {1999, 80}, {2430, 25}, {2466, 25}, {2502, 80}};
    const int expected[] = {0, 1, 2, 3, -1, 4, 5, 6, 7};
    EXPECT(flams, both, expected, "third flam without its grace note");
    const struct note wide[] = {{890, 30},  {1001, 80}, {1405, 28}, {1500, 85}, {1930, 30},
                                {1999, 80}, {2390, 25}, {2446, 25}, {2502, 80}};
    const int all[] = {0, 1, 2, 3, 4, 5, 6, 7, 8};
    EXPECT(flams, wide, all, "wide flams and an open drag");
}

Test(follow, takes_the_pads_echo_for_what_it_is) {
    const struct note notes[] = {{1000, 90}, {1006, 40}, {1250, 90}, {1500, 90}, {1507, 30},
                                 {1750, 90}, {2000, 90}, {2250, 90}, {2500, 90}, {2750, 90}};
    const int expected[] = {0, 2, 3, 5, 6, 7, 8, 9};
    EXPECT(eighths, notes, expected, "two echoes");
}

Test(follow, gathers_the_bounces_of_a_press) {
    struct eh_exercise *exercise = parse_exercise("metre: 2/4\n| 16:RzLzRzLz 4:R |\n");
    cr_assert_not_null(exercise);
    struct eh_plan plan = plan_at(exercise, 100.0, 1000.0, 1); /* 150 ms apart */
    const struct note notes[] = {{1000, 60}, {1046, 52}, {1083, 44}, {1151, 60},
                                 {1197, 50}, {1300, 62}, {1347, 52}, {1384, 44},
                                 {1415, 36}, {1449, 61}, {1497, 50}, {1600, 60}};
    struct performance p = hand_made(notes, sizeof notes / sizeof notes[0]);
    struct outcome o = follow(&plan, &p, AT_ONCE);
    const int hits[] = {0, 3, 5, 9, 11};
    const int bounces[] = {2, 1, 3, 1, 0};
    for (int i = 0; i < 5; i++) {
        cr_expect_eq(o.matches[i].hit, hits[i], "press %d at %d", i, o.matches[i].hit);
        cr_expect_eq(o.matches[i].bounces, bounces[i], "press %d: %d bounces", i,
                     o.matches[i].bounces);
    }
    cr_expect_eq(count_fates(&o, EH_FATE_BOUNCE), 7);
    drop(&o);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

static const char presses[] = "metre: 2/4\n| 16:RzLzRzLz 4:R |\n"; /* 125 ms apart from 1000 ms */

/* Bounces after 47, 36 and 33 ms, each 1 to 2 dB softer: what is common in presses of the Groove
 * MIDI Dataset 1.0.0 (Gillick et al. 2019, CC BY 4.0). */
Test(follow, takes_no_last_bounce_for_a_press_left_out) {
    const struct note notes[] = {{1000, 70}, {1047, 62}, {1083, 52}, {1116, 43},
                                 {1250, 70}, {1297, 62}, {1333, 52}, {1375, 70},
                                 {1422, 62}, {1458, 52}, {1500, 70}};
    const int expected[] = {0, -1, 4, 7, 10};
    EXPECT(presses, notes, expected, "second press left out");
}

Test(follow, takes_no_bounce_behind_an_echo_for_a_press) {
    const struct note notes[] = {{1000, 70}, {1047, 62}, {1083, 54}, {1095, 20}, {1122, 48},
                                 {1155, 70}, {1202, 62}, {1250, 70}, {1297, 62}, {1333, 52},
                                 {1375, 70}, {1422, 62}, {1458, 52}, {1500, 70}};
    const int expected[] = {0, 5, 7, 10, 13};
    EXPECT(presses, notes, expected, "a bounce of the first press echoed");
}

/* 40 ms early is a bounce, even if it is louder than the one before; the onset does not even rise.
 */
Test(follow, takes_no_early_bounce_for_the_press_that_comes_in_time) {
    const struct note notes[] = {{1000, 70}, {1045, 58}, {1087, 66}, {1127, 62}, {1172, 56},
                                 {1210, 50}, {1250, 70}, {1297, 62}, {1333, 52}, {1375, 70},
                                 {1422, 62}, {1458, 52}, {1500, 70}};
    const int expected[] = {0, 3, 6, 9, 12};
    EXPECT(presses, notes, expected, "a bounce as loud as an onset");
}

/* The pad hides the second press's onset, due 14 ms after a bounce: what is heard of it is its
 * first bounce 40 ms later, not the bounce before. */
Test(follow, finds_a_press_whose_onset_was_hidden_by_its_first_bounce) {
    const struct note notes[] = {{1000, 70}, {1047, 66}, {1083, 60}, {1111, 40}, {1165, 35},
                                 {1203, 30}, {1250, 70}, {1297, 62}, {1333, 52}, {1375, 70},
                                 {1422, 62}, {1458, 52}, {1500, 70}};
    const int expected[] = {0, 4, 6, 9, 12};
    EXPECT(presses, notes, expected, "an onset hidden");
}

/* As programs play an unmeasured tremolo: 32nds of one velocity. */
Test(follow, follows_presses_and_bounces_of_one_velocity) {
    const struct note notes[] = {{1000, 80}, {1062, 80}, {1125, 80}, {1187, 80}, {1250, 80},
                                 {1312, 80}, {1375, 80}, {1437, 80}, {1500, 80}};
    const int expected[] = {0, 2, 4, 6, 8};
    EXPECT(presses, notes, expected, "all notes alike");
}

static bool same(const struct outcome *a, const struct outcome *b) {
    for (size_t i = 0; i < a->due_count; i++) {
        if (a->matches[i].hit != b->matches[i].hit ||
            a->matches[i].bounces != b->matches[i].bounces ||
            a->matches[i].shift_ns != b->matches[i].shift_ns) {
            return false;
        }
    }
    for (size_t i = 0; i < a->hit_count; i++) {
        if (a->fates[i].kind != b->fates[i].kind) {
            return false;
        }
    }
    return a->course_count == b->course_count;
}

static struct player random_player(uint64_t seed) {
    struct player player = player_default(seed * 2654435761u + 17);
    uint64_t state = seed;
    player.missed = 0.1 * random_unit(&state);
    player.extra = 0.1 * random_unit(&state);
    player.echoed = 0.05 * random_unit(&state);
    player.drift = 0.1 * (random_unit(&state) - 0.5);
    player.delay_ms = 60.0 * (random_unit(&state) - 0.5);
    player.scatter_ms = 4.0 + 12.0 * random_unit(&state);
    const int course = (int)(random_next(&state) % 5);
    player.stop_bar = 3;
    player.stop_bars = course == 1 ? 2 : 0;
    player.skip_bar = course == 2 ? 4 : -1;
    player.repeat_bar = course == 3 ? 5 : -1;
    return player;
}

Test(follow, answers_alike_whether_time_passes_between_the_hits_or_not) {
    for (int e = 0; shipped_exercises[e] != NULL; e++) {
        struct eh_exercise *exercise = read_exercise(shipped_exercises[e]);
        cr_assert_not_null(exercise);
        for (uint64_t seed = 1; seed <= 60; seed++) {
            struct eh_plan plan = plan_at(exercise, 50.0 + (double)(seed % 14) * 10.0, 2000.0, 1);
            const struct player player = random_player(seed);
            struct performance p;
            player_play(&player, &plan, &p);
            struct outcome a = follow(&plan, &p, AT_ONCE);
            struct outcome b = follow(&plan, &p, WITH_TIME);
            cr_expect(same(&a, &b), "%s seed %d", shipped_exercises[e], (int)seed);
            drop(&a);
            drop(&b);
            performance_free(&p);
            eh_plan_deinit(&plan);
        }
        eh_exercise_free(exercise);
    }
}

Test(follow, gives_every_hit_one_place_and_every_stroke_one_hit) {
    for (int e = 0; shipped_exercises[e] != NULL; e++) {
        struct eh_exercise *exercise = read_exercise(shipped_exercises[e]);
        for (uint64_t seed = 1; seed <= 60; seed++) {
            struct eh_plan plan = plan_at(exercise, 50.0 + (double)(seed % 14) * 10.0, 2000.0, 1);
            const struct player player = random_player(seed + 1000);
            struct performance p;
            player_play(&player, &plan, &p);
            struct outcome o = follow(&plan, &p, AT_ONCE);
            int strokes = 0;
            int32_t last = -1;
            for (size_t i = 0; i < plan.due_count; i++) {
                if (o.matches[i].hit == EH_NO_HIT) {
                    continue;
                }
                strokes++;
                cr_expect_gt(o.matches[i].hit, last, "order is kept");
                last = o.matches[i].hit;
                cr_expect_eq(o.fates[last].kind, EH_FATE_STROKE);
                cr_expect_eq(o.fates[last].due, i);
            }
            cr_expect_eq(count_fates(&o, EH_FATE_STROKE), strokes);
            cr_expect_eq(count_fates(&o, EH_FATE_PENDING), 0);
            drop(&o);
            performance_free(&p);
            eh_plan_deinit(&plan);
        }
        eh_exercise_free(exercise);
    }
}

Test(follow, finds_the_strokes_of_imperfect_players_at_every_tempo, .timeout = 100) {
    static const struct {
        const char *what;
        double missed, extra, echoed, drift, delay, scatter, seconds, least;
    } rows[] = {
        {"plain", 0, 0, 0, 0, -10, 8, 0, 0.999},
        {"wide scatter", 0, 0, 0, 0, -10, 14, 0, 0.999},
        {"40 ms late", 0, 0, 0, 0, 40, 8, 0, 0.999},
        {"second strokes 24 % late", 0, 0, 0, 0, -10, 8, 0.24, 0.998},
        {"5 % left out", 0.05, 0, 0, 0, -10, 8, 0, 0.998},
        {"5 % added", 0, 0.05, 0, 0, -10, 8, 0, 0.997},
        {"3 % echoed", 0, 0, 0.03, 0, -10, 8, 0, 0.999},
        {"5 % faster at the end", 0, 0, 0, 0.05, -10, 8, 0, 0.998},
        {"5 % slower at the end", 0, 0, 0, -0.05, -10, 8, 0, 0.998},
        {"all at once, faster", 0.05, 0.05, 0.03, 0.05, 40, 8, 0, 0.99},
        {"all at once, slower", 0.05, 0.05, 0.03, -0.05, 40, 8, 0, 0.99},
    };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        struct player player = player_default(1);
        player.missed = rows[r].missed;
        player.extra = rows[r].extra;
        player.echoed = rows[r].echoed;
        player.drift = rows[r].drift;
        player.delay_ms = rows[r].delay;
        player.scatter_ms = rows[r].scatter;
        player.swing_seconds = rows[r].seconds;
        const struct figure figure = figure_of(player, 4);
        cr_expect_geq(figure.sum / figure.runs, rows[r].least, "%s: F %.5f", rows[r].what,
                      figure.sum / figure.runs);
    }
}

Test(follow, settles_no_later_than_a_second_or_the_end_of_the_bar) {
    struct eh_exercise *exercise = read_exercise("five-stroke-rolls");
    struct eh_plan plan = plan_at(exercise, 90.0, 2000.0, 1);
    struct player player = player_default(3);
    player.missed = 0.1;
    player.extra = 0.1;
    struct performance p;
    player_play(&player, &plan, &p);
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    struct eh_match *matches = calloc(plan.due_count, sizeof *matches);
    struct eh_fate *fates = calloc(p.count, sizeof *fates);
    const struct eh_follow_room room = {
        .hits = p.hits, .matches = matches, .fates = fates, .hit_capacity = p.count};
    struct eh_follower *f = NULL;
    cr_assert_eq(eh_follower_new(&f, &plan, &pad, &room), EH_OK);
    size_t next = 0;
    for (int64_t t = 0; t < plan.end_ns + 2 * EH_NS_PER_S; t += 10 * EH_NS_PER_MS) {
        while (next < p.count && p.hits[next].at_ns <= t) {
            cr_assert(eh_follower_feed(f, next++));
        }
        eh_follower_advance(f, t);
        const size_t settled = eh_follower_settled_due(f);
        if (settled < plan.due_count) {
            const struct eh_due *due = &plan.due[settled];
            /* The player's own offset of up to 60 ms comes on top. */
            const int64_t second = due->at_ns + EH_NS_PER_S + 60 * EH_NS_PER_MS;
            const int64_t bar = plan.bars[due->bar].end_ns + 310 * EH_NS_PER_MS;
            cr_assert_lt(t, second > bar ? second : bar, "stroke %zu unsettled at %lld ms", settled,
                         (long long)(t / EH_NS_PER_MS));
        }
    }
    eh_follower_free(f);
    free(matches);
    free(fates);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

Test(follow, survives_a_flood_of_hits_in_fixed_memory) {
    struct eh_exercise *exercise = read_exercise("double-strokes");
    struct eh_plan plan = plan_at(exercise, 120.0, 0.0, 1);
    struct performance p = {.count = 30000};
    p.hits = calloc(p.count, sizeof *p.hits);
    p.truth = calloc(p.count, sizeof *p.truth);
    for (size_t i = 0; i < p.count; i++) {
        p.hits[i] = (struct eh_hit){.at_ns = (int64_t)i * EH_NS_PER_MS,
                                    .velocity = (uint16_t)((20 + i * 37 % 90) * 512),
                                    .note = 38};
    }
    struct outcome o = follow(&plan, &p, AT_ONCE);
    cr_expect_eq(count_fates(&o, EH_FATE_PENDING), 0);
    drop(&o);
    performance_free(&p);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}
