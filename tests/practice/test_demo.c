#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/demo.h"
#include "text_exercise.h"

/* Exercises that show each figure, long enough for steady statistics. */
static const char singles[] = "|: 16: RLRL RLRL RLRL RLRL :|x32";
static const char doubles[] = "|: 16: RRLL RRLL RRLL RRLL :|x32";
static const char accents[] = "|: 16: R>LRL R>LRL R>LRL R>LRL :|x32";
static const char flams[] = "|: 4: lR rL lR rL :|x32";
static const char buzzes[] = "|: 8: Rz Lz Rz Lz Rz Lz Rz Lz :|x16";

enum { MOST = 20000 };

/* One performance: its hits, and for an exercise without extra hits the row of due strokes. */
struct show {
    struct eh_exercise *exercise;
    struct eh_plan plan;
    struct eh_take take;
};

static void play(struct show *show, const char *bars, double bpm, int passes, uint64_t seed,
                 const char *fault) {
    static const bool silent[8] = {[1] = true, [5] = true}; /* matters to own-tempo only */
    struct eh_demo_request request = {.seed = seed, .silent = silent};
    struct eh_error error = {0};
    struct eh_demo demo;
    memset(show, 0, sizeof *show);
    cr_assert_eq(eh_demo_fault_read(&request.faults[0], fault, &error), EH_OK, "%s", error.text);
    request.fault_count = request.faults[0].kind != EH_DEMO_NO_FAULT;
    show->exercise = text_exercise(NULL, bars);
    text_plan(&show->plan, show->exercise, bpm, passes, EH_TICKS_PER_QUARTER * 4);
    cr_assert_eq(eh_demo_init(&demo, &show->plan, &request, &error), EH_OK, "%s", error.text);
    cr_assert_eq(eh_demo_hits(&demo, &show->take), EH_OK);
}

static void put_away(struct show *show) {
    eh_take_deinit(&show->take);
    eh_plan_deinit(&show->plan);
    eh_exercise_free(show->exercise);
}

static int compare(const void *a, const void *b) {
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *x, size_t n) {
    cr_assert_gt(n, 0);
    qsort(x, n, sizeof *x, compare);
    return (x[(n - 1) / 2] + x[n / 2]) / 2;
}

/* 1.4826 times the median of the distances from the median. */
static double spread(double *x, size_t n) {
    const double m = median(x, n);
    for (size_t i = 0; i < n; i++) {
        x[i] = fabs(x[i] - m);
    }
    return 1.4826 * median(x, n);
}

static double level_db(const struct eh_hit *hit) {
    return 20 * log10(eh_hit_velocity(hit) / 127);
}

static double offset_ms(const struct show *show, size_t i) {
    return (double)(show->take.hits[i].at_ns - show->plan.due[i].at_ns) / 1e6;
}

/* Hits of strokes of one kind, hand (-1: any) and accent (-1: any), when hit i is stroke i. */
static size_t choose(const struct show *show, int kind, int hand, int accent, size_t *out) {
    size_t n = 0;
    cr_assert_eq(show->take.count, show->plan.due_count);
    for (size_t i = 0; i < show->take.count; i++) {
        const struct eh_stroke *stroke = eh_plan_stroke(&show->plan, i);
        if ((kind < 0 || stroke->kind == kind) && (hand < 0 || stroke->hand == hand) &&
            (accent < 0 || (stroke->accent > 0) == accent)) {
            out[n++] = i;
        }
    }
    return n;
}

static double levels_of(const struct show *show, int kind, int hand, int accent,
                        double *out_spread) {
    static size_t which[MOST];
    static double levels[MOST];
    const size_t n = choose(show, kind, hand, accent, which);
    for (size_t i = 0; i < n; i++) {
        levels[i] = level_db(&show->take.hits[which[i]]);
    }
    const double m = median(levels, n);
    if (out_spread != NULL) {
        *out_spread = spread(levels, n);
    }
    return m;
}

/* Median share at which a hand's second strokes divide the span from the first to the next first;
 * SPREAD in ms of the second's own error. */
static double share_of(const struct show *show, int hand, double *out_spread_ms) {
    static size_t which[MOST];
    static double share[MOST];
    static double error[MOST];
    const size_t n = choose(show, EH_KIND_SECOND, hand, -1, which);
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        const size_t at = which[i];
        if (at + 1 >= show->take.count) {
            continue;
        }
        const struct eh_hit *hits = show->take.hits;
        const double span = (double)(hits[at + 1].at_ns - hits[at - 1].at_ns);
        share[used] = (double)(hits[at].at_ns - hits[at - 1].at_ns) / span;
        error[used] = (share[used] - 0.5) * span / 1e6;
        used++;
    }
    if (out_spread_ms != NULL) {
        *out_spread_ms = spread(error, used);
    }
    return median(share, used);
}

/* Groove MIDI Dataset 1.0.0 (CC BY 4.0): a professional's single strokes scatter by 6.6 to 21 ms
 * about the click (median 11.4), their own early offset is -38 to +2 ms (median -17), the offsets'
 * lag-1 correlation has the median 0.39; taps spread by 1.5 dB, accents by 0.8 dB. */
Test(demo, single_strokes_scatter_like_a_professionals) {
    for (uint64_t seed = 1; seed <= 10; seed++) {
        struct show show;
        static double offsets[MOST];
        static double spreads[MOST];
        play(&show, singles, 80, 1, seed, "");
        const size_t n = show.take.count;
        cr_assert_eq(n, show.plan.due_count);
        double lag = 0;
        double square = 0;
        double mean = 0;
        for (size_t i = 0; i < n; i++) {
            offsets[i] = spreads[i] = offset_ms(&show, i);
            mean += offsets[i] / (double)n;
        }
        for (size_t i = 0; i < n; i++) {
            square += (offsets[i] - mean) * (offsets[i] - mean);
            lag += i == 0 ? 0 : (offsets[i] - mean) * (offsets[i - 1] - mean);
        }
        const double width = spread(spreads, n);
        const double offset = median(offsets, n);
        cr_expect(width > 8 && width < 14, "seed %d: spread %.1f ms", (int)seed, width);
        cr_expect(offset > -25 && offset < -1, "seed %d: offset %.1f ms", (int)seed, offset);
        cr_expect(lag / square > 0.1 && lag / square < 0.6, "seed %d: lag-1 %.2f", (int)seed,
                  lag / square);
        put_away(&show);
    }
}

Test(demo, levels_are_those_of_the_style_and_do_not_saturate) {
    for (uint64_t seed = 1; seed <= 5; seed++) {
        struct show show;
        double taps = 0;
        double loud = 0;
        play(&show, accents, 80, 1, seed, "");
        const double lift = levels_of(&show, -1, -1, 1, &loud) - levels_of(&show, -1, -1, 0, &taps);
        size_t saturated = 0;
        for (size_t i = 0; i < show.take.count; i++) {
            saturated += show.take.hits[i].velocity >= EH_VELOCITY_TOP;
        }
        cr_expect(lift > 6 && lift < 8, "seed %d: lift %.1f dB", (int)seed, lift);
        cr_expect(taps > 1.0 && taps < 2.0, "seed %d: taps %.2f dB", (int)seed, taps);
        cr_expect(loud > 0.5 && loud < 1.2, "seed %d: accents %.2f dB", (int)seed, loud);
        cr_expect_lt(saturated * 200, show.take.count, "seed %d: %zu at 127", (int)seed, saturated);
        put_away(&show);
    }
}

/* The same dataset: in fast rolls (32nds at 120: 62 ms) second strokes miss the middle of their
 * neighbours by 6 to 8 ms, and are weaker than the first by about 1 dB. */
Test(demo, diddles_are_even_within_a_professionals_scatter) {
    struct show show;
    double left_ms = 0;
    double right_ms = 0;
    play(&show, doubles, 240, 1, 3, "");
    const double left = share_of(&show, EH_HAND_LEFT, &left_ms);
    const double right = share_of(&show, EH_HAND_RIGHT, &right_ms);
    cr_expect(fabs(left - 0.5) < 0.03 && fabs(right - 0.5) < 0.03, "%.3f %.3f", left, right);
    cr_expect(left_ms > 4.5 && left_ms < 8.5, "left %.1f ms", left_ms);
    cr_expect(right_ms > 4.5 && right_ms < 8.5, "right %.1f ms", right_ms);
    const double step = levels_of(&show, EH_KIND_SECOND, -1, -1, NULL) -
                        levels_of(&show, EH_KIND_FIRST, -1, -1, NULL);
    cr_expect(step < 0.3 && step > -1.8, "second - first %.1f dB", step);
    put_away(&show);
}

struct spaced {
    const char *fault;
    double left, right; /* share */
};

Test(demo, displaced_seconds_have_the_size_and_the_hand_asked_for) {
    static const struct spaced rows[] = {
        {"late-left-seconds", 0.62, 0.5},    {"late-right-seconds:30", 0.5, 0.65},
        {"early-left-seconds:20", 0.4, 0.5}, {"early-right-seconds", 0.5, 0.38},
        {"late-left-seconds:60", 0.8, 0.5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct show show;
        play(&show, doubles, 120, 1, 11 + i, rows[i].fault);
        const double left = share_of(&show, EH_HAND_LEFT, NULL);
        const double right = share_of(&show, EH_HAND_RIGHT, NULL);
        cr_expect_lt(fabs(left - rows[i].left), 0.025, "%s: left %.3f", rows[i].fault, left);
        cr_expect_lt(fabs(right - rows[i].right), 0.025, "%s: right %.3f", rows[i].fault, right);
        put_away(&show);
    }
}

struct leveled {
    const char *fault;
    double left_second, right_second; /* over the firsts, dB */
};

Test(demo, weak_and_strong_seconds_have_the_size_and_the_hand_asked_for) {
    static const struct leveled rows[] = {
        {"weak-left-seconds", -6.7, -0.7},
        {"weak-right-seconds:4", -0.7, -4.7},
        {"strong-left-seconds:5", 4.3, -0.7},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct show show;
        play(&show, doubles, 120, 1, 21 + i, rows[i].fault);
        const double left = levels_of(&show, EH_KIND_SECOND, EH_HAND_LEFT, -1, NULL) -
                            levels_of(&show, EH_KIND_FIRST, EH_HAND_LEFT, -1, NULL);
        const double right = levels_of(&show, EH_KIND_SECOND, EH_HAND_RIGHT, -1, NULL) -
                             levels_of(&show, EH_KIND_FIRST, EH_HAND_RIGHT, -1, NULL);
        cr_expect_lt(fabs(left - rows[i].left_second), 1.0, "%s: left %.1f", rows[i].fault, left);
        cr_expect_lt(fabs(right - rows[i].right_second), 1.0, "%s: right %.1f", rows[i].fault,
                     right);
        put_away(&show);
    }
}

Test(demo, accents_and_hands_have_the_size_asked_for) {
    struct show show;
    play(&show, accents, 100, 1, 5, "under-accents:1.5");
    double lift = levels_of(&show, -1, -1, 1, NULL) - levels_of(&show, -1, -1, 0, NULL);
    cr_expect_lt(fabs(lift - 1.5), 0.6, "under: %.1f dB", lift);
    put_away(&show);
    play(&show, accents, 100, 1, 5, "overblown-accents");
    lift = levels_of(&show, -1, -1, 1, NULL) - levels_of(&show, -1, -1, 0, NULL);
    cr_expect_lt(fabs(lift - 16.2), 0.8, "overblown: %.1f dB", lift);
    put_away(&show);
    play(&show, singles, 100, 1, 5, "strong-lead");
    lift = levels_of(&show, -1, EH_HAND_RIGHT, -1, NULL) -
           levels_of(&show, -1, EH_HAND_LEFT, -1, NULL);
    cr_expect_lt(fabs(lift - 6), 1.0, "strong lead: %.1f dB", lift);
    put_away(&show);
}

/* Length of the last quarter of strokes against the first, faster positive, in percent. */
static double tempo_change(const struct show *show) {
    const size_t n = show->take.count;
    const size_t quarter = n / 8;
    const struct eh_hit *hits = show->take.hits;
    const double begin = (double)(hits[quarter].at_ns - hits[0].at_ns);
    const double end = (double)(hits[n - 1].at_ns - hits[n - 1 - quarter].at_ns);
    return (begin / end - 1) * 100;
}

Test(demo, rushing_and_dragging_change_the_tempo_by_the_size_asked_for) {
    struct show show;
    play(&show, singles, 100, 1, 1, "rushing");
    cr_expect_lt(fabs(tempo_change(&show) - 5 * 0.875), 0.7, "rushing: %.2f", tempo_change(&show));
    put_away(&show);
    play(&show, singles, 100, 1, 1, "dragging:8");
    cr_expect_lt(fabs(tempo_change(&show) + 8 * 0.875), 0.9, "dragging: %.2f", tempo_change(&show));
    put_away(&show);
    play(&show, singles, 100, 1, 1, "");
    cr_expect_lt(fabs(tempo_change(&show)), 0.5, "none: %.2f", tempo_change(&show));
    put_away(&show);
}

struct counted {
    const char *fault;
    double change; /* of the number of hits, as a share of 512 */
};

Test(demo, counts_of_missed_extra_and_echoes_are_exact) {
    static const struct counted rows[] = {
        {"none", 0},     {"missed", -0.06},         {"missed:20", -0.2},
        {"extra", 0.05}, {"double-triggers", 0.03}, {"missed:0.1", -1.0 / 512}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct show show;
        play(&show, singles, 100, 1, 31 + i, rows[i].fault);
        const long expected = (long)show.plan.due_count + lround(512 * rows[i].change);
        cr_expect_eq((long)show.take.count, expected, "%s: %zu hits", rows[i].fault,
                     show.take.count);
        put_away(&show);
    }
}

static size_t hits_between(const struct show *show, double from_s, double to_s) {
    size_t n = 0;
    for (size_t i = 0; i < show->take.count; i++) {
        const double at = (double)show->take.hits[i].at_ns / 1e9;
        n += at >= from_s && at < to_s;
    }
    return n;
}

Test(demo, faults_of_course_happen_where_they_should) {
    /* Four bars of 2.4 s with 16 strokes each at 100. */
    static const char bars[] = "4: RLRL | 16: RLRL RLRL RLRL RLRL | 8: RLRL RLRL | 2: R L";
    struct show show;
    play(&show, bars, 100, 1, 2, "late-start:2");
    cr_expect_eq(hits_between(&show, -1, 1.1), 0);
    cr_expect_eq(show.take.count, 28);
    put_away(&show);
    play(&show, bars, 100, 1, 2, "stop");
    cr_expect_eq(hits_between(&show, 4.7, 7.1), 0, "the third bar is left out");
    cr_expect_eq(show.take.count, 22);
    put_away(&show);
    play(&show, bars, 100, 1, 2, "skip");
    cr_expect_eq(hits_between(&show, 4.7, 7.1), 2, "the fourth bar comes a bar early");
    cr_expect_eq(show.take.count, 22);
    put_away(&show);
    play(&show, bars, 100, 1, 2, "repeat");
    cr_expect_eq(hits_between(&show, 4.7, 7.1), 16, "the second bar comes again");
    cr_expect_eq(hits_between(&show, 9.5, 12), 2, "and the last one a bar late");
    put_away(&show);
}

/* Groove MIDI Dataset: flams of a march 12 to 40 ms wide (median 24), softness median 5 to 6 dB;
 * gaps in presses 47, 36, 33, 31 ms (medians). */
Test(demo, flams_and_presses_are_shaped_like_a_professionals) {
    struct show show;
    static double gaps[MOST];
    static double steps[MOST];
    play(&show, flams, 80, 1, 4, "");
    const size_t n = show.take.count / 2;
    cr_assert_eq(show.take.count, show.plan.due_count);
    for (size_t i = 0; i < n; i++) {
        const struct eh_hit *pair = &show.take.hits[2 * i];
        gaps[i] = (double)(pair[1].at_ns - pair[0].at_ns) / 1e6;
        steps[i] = level_db(&pair[1]) - level_db(&pair[0]);
    }
    const double gap = median(gaps, n);
    const double step = median(steps, n);
    cr_expect(gap > 21 && gap < 28, "gap %.1f ms", gap);
    cr_expect(step > 5 && step < 8, "softer by %.1f dB", step);
    cr_expect(gaps[0] > 8 && gaps[n - 1] < 70, "%.1f to %.1f ms", gaps[0], gaps[n - 1]);
    put_away(&show);
    play(&show, buzzes, 90, 1, 4, "");
    const double notes = (double)show.take.count / (double)show.plan.due_count;
    cr_expect(notes > 6 && notes < 9, "%.1f notes a press of 333 ms", notes);
    put_away(&show);
    play(&show, buzzes, 90, 1, 4, "thin-buzz");
    cr_expect_eq(show.take.count, 2 * show.plan.due_count);
    put_away(&show);
}

Test(demo, a_seed_repeats_itself_and_other_seeds_differ) {
    struct show a;
    struct show b;
    play(&a, doubles, 120, 2, 7, "late-left-seconds");
    play(&b, doubles, 120, 2, 7, "late-left-seconds");
    cr_assert_eq(a.take.count, b.take.count);
    for (size_t i = 0; i < a.take.count; i++) {
        cr_assert_eq(a.take.hits[i].at_ns, b.take.hits[i].at_ns);
        cr_assert_eq(a.take.hits[i].velocity, b.take.hits[i].velocity);
    }
    put_away(&b);
    play(&b, doubles, 120, 2, 8, "late-left-seconds");
    size_t same = 0;
    for (size_t i = 0; i < a.take.count; i++) {
        same += a.take.hits[i].at_ns == b.take.hits[i].at_ns;
    }
    cr_expect_lt(same, 3);
    put_away(&a);
    put_away(&b);
}

/* The digest of one performance, so that a change of compiler, machine or code that moves a single
 * hit is noticed (FNV-1a, 64 bits). */
Test(demo, a_performance_is_the_same_on_every_machine) {
    struct show show;
    uint64_t digest = UINT64_C(0xcbf29ce484222325);
    play(&show, doubles, 120, 1, 2024, "weak-left-seconds");
    for (size_t i = 0; i < show.take.count; i++) {
        const uint64_t words[] = {(uint64_t)show.take.hits[i].at_ns, show.take.hits[i].velocity};
        for (size_t k = 0; k < 16; k++) {
            digest = (digest ^ (words[k / 8] >> (8 * (k % 8)) & 0xff)) * UINT64_C(0x100000001b3);
        }
    }
    cr_expect_eq(digest, UINT64_C(0x38e76038f1ab9905), "0x%016llx", (unsigned long long)digest);
    put_away(&show);
}

Test(demo, an_exact_player_plays_what_is_written) {
    struct eh_exercise *exercise = text_exercise(NULL, "16: p R>LRL mf RRLL f lRLRL ff RLRL");
    struct eh_plan plan;
    text_plan(&plan, exercise, 120, 1, 0);
    const struct eh_demo_request request = {.exact = true};
    struct eh_demo demo;
    struct eh_take take = {0};
    cr_assert_eq(eh_demo_init(&demo, &plan, &request, NULL), EH_OK);
    cr_assert_eq(eh_demo_hits(&demo, &take), EH_OK);
    cr_assert_eq(take.count, plan.due_count);
    for (size_t i = 0; i < take.count; i++) {
        cr_expect_eq(take.hits[i].at_ns, plan.due[i].at_ns, "stroke %zu", i);
    }
    cr_expect_lt(take.hits[1].velocity, take.hits[4].velocity, "p < mf");
    cr_expect_lt(take.hits[4].velocity, take.hits[take.count - 1].velocity, "mf < ff");
    cr_expect_lt(take.hits[1].velocity, take.hits[0].velocity, "tap < accent");
    eh_take_deinit(&take);
    eh_plan_deinit(&plan);
    eh_exercise_free(exercise);
}

struct word {
    const char *text;
    enum eh_status status;
    const char *says; /* part of the message */
};

Test(demo, fault_names_are_read_and_wrong_ones_explained) {
    static const struct word rows[] = {
        {"", EH_OK, ""},
        {"none", EH_OK, ""},
        {"late-left-seconds", EH_OK, ""},
        {"late-left-seconds:24.5", EH_OK, ""},
        {"loud-graces:-3", EH_OK, ""},
        {"late-left-second", EH_NOT_FOUND, "late-left-seconds"},
        {"accents", EH_NOT_FOUND, "under-accents"},
        {"late-left-seconds:", EH_OUT_OF_RANGE, "from 1 to 80"},
        {"late-left-seconds:81", EH_OUT_OF_RANGE, "from 1 to 80"},
        {"late-left-seconds:1e2", EH_OUT_OF_RANGE, "number"},
        {"late-left-seconds:nan", EH_OUT_OF_RANGE, "number"},
        {"missed:6%", EH_OUT_OF_RANGE, "number"},
        {"missed:0", EH_OUT_OF_RANGE, "number"},
        {":5", EH_NOT_FOUND, "no fault"},
        {"a-name-that-is-far-longer-than-any-name-of-a-fault-could-ever-be-and-then-some",
         EH_NOT_FOUND, "no fault"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_demo_fault fault;
        struct eh_error error = {0};
        const enum eh_status status = eh_demo_fault_read(&fault, rows[i].text, &error);
        cr_expect_eq(status, rows[i].status, "'%s': %d", rows[i].text, status);
        cr_expect(strstr(error.text, rows[i].says) != NULL, "'%s': %s", rows[i].text, error.text);
    }
}

Test(demo, every_fault_of_the_list_plays_and_changes_something) {
    static const char all[] =
        "16: mf R>RLL lR>LRL f RzLzRzLz RRLL | 16: p cresc RLRL RRLL R>LRL RRLL f "
        "| 16: p RLRL RRLL R>LRL RRLL | 16: RLRL RRLL R>LRL lRRLL";
    size_t count = 0;
    const struct eh_demo_name *names = eh_demo_names(&count);
    struct show plain;
    play(&plain, all, 100, 2, 9, "");
    for (size_t i = 0; i < count; i++) {
        struct show show;
        play(&show, all, 100, 2, 9, names[i].name);
        bool differs = show.take.count != plain.take.count;
        for (size_t k = 0; k < show.take.count; k++) {
            differs = differs || show.take.hits[k].at_ns != plain.take.hits[k].at_ns ||
                      show.take.hits[k].velocity != plain.take.hits[k].velocity ||
                      show.take.hits[k].note != plain.take.hits[k].note;
            cr_expect(k == 0 || show.take.hits[k].at_ns >= show.take.hits[k - 1].at_ns);
        }
        cr_expect(differs, "%s changes nothing", names[i].name);
        put_away(&show);
    }
    put_away(&plain);
}
