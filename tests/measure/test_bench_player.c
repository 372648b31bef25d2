/* The bench's professional against the published figures that it is made from: Groove MIDI Dataset
 * 1.0.0 (Gillick, Roberts, Engel, Eck & Bamman 2019, CC BY 4.0), measured as each line says. What
 * is allowed is the published figure's own sampling error, about two standard errors of its n. */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "kit.h"
#include "scores.h"

enum { MANY = 200000 };

struct sample {
    double *v;
    size_t n;
};

static struct sample sample_new(void) {
    struct sample s = {calloc(MANY, sizeof(double)), 0};
    cr_assert(s.v != NULL);
    return s;
}

static void put(struct sample *s, double x) {
    if (s->n < MANY) {
        s->v[s->n++] = x;
    }
}

static int rising(const void *a, const void *b) {
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

static double quantile(struct sample *s, double p) {
    qsort(s->v, s->n, sizeof *s->v, rising);
    return s->v[(size_t)(p * (double)(s->n - 1) + 0.5)];
}

/* 1.4826 median absolute deviation. */
static double smad(const struct sample *s) {
    struct sample copy = sample_new();
    copy.n = s->n;
    memcpy(copy.v, s->v, s->n * sizeof *s->v);
    const double middle = quantile(&copy, 0.5);
    for (size_t i = 0; i < copy.n; i++) {
        copy.v[i] = fabs(copy.v[i] - middle);
    }
    const double spread = 1.4826 * quantile(&copy, 0.5);
    free(copy.v);
    return spread;
}

static double sd(const struct sample *s) {
    double sum = 0.0;
    double squares = 0.0;
    for (size_t i = 0; i < s->n; i++) {
        sum += s->v[i];
        squares += s->v[i] * s->v[i];
    }
    const double n = (double)s->n;
    return sqrt(squares / n - sum / n * (sum / n));
}

static double lag1(const struct sample *s) {
    double mean = 0.0;
    double top = 0.0;
    double bottom = 0.0;
    for (size_t i = 0; i < s->n; i++) {
        mean += s->v[i] / (double)s->n;
    }
    for (size_t i = 0; i < s->n; i++) {
        bottom += (s->v[i] - mean) * (s->v[i] - mean);
        top += i > 0 ? (s->v[i] - mean) * (s->v[i - 1] - mean) : 0.0;
    }
    return top / bottom;
}

/* What is left of a run's offsets without a line and without what odd and even places are early or
 * late by. */
static void flatten(struct sample *run) {
    const double n = (double)run->n;
    double x = 0.0;
    double y = 0.0;
    double xx = 0.0;
    double xy = 0.0;
    for (size_t i = 0; i < run->n; i++) {
        x += (double)i / n;
        y += run->v[i] / n;
    }
    for (size_t i = 0; i < run->n; i++) {
        xx += ((double)i - x) * ((double)i - x);
        xy += ((double)i - x) * (run->v[i] - y);
    }
    double places[2] = {0.0, 0.0};
    for (size_t i = 0; i < run->n; i++) {
        run->v[i] -= y + xy / xx * ((double)i - x);
        places[i % 2] += run->v[i] / (0.5 * n);
    }
    for (size_t i = 0; i < run->n; i++) {
        run->v[i] -= places[i % 2];
    }
}

/* ---- A bench of one exercise ---- */

struct stage {
    struct written w;
    struct player player;
    struct intents intents;
    struct blows blows;
    struct chance chance;
};

static void open_stage(struct stage *s, enum pattern pattern, int bars, double bpm) {
    char text[SCORES_TEXT];
    memset(s, 0, sizeof *s);
    pattern_bars(pattern, bars, bpm, text);
    cr_assert(written_open(&s->w, pattern_name(pattern), text, bpm, 0));
    chance_seed(&s->chance, 7);
}

static void play(struct stage *s) {
    player_draw(&s->player, PLAYER_PROFESSIONAL, &s->w, 4.5, 12.0, &s->chance);
    s->player.missed = s->player.extra = 0.0;
    (void)course_set_out(COURSE_STRAIGHT, &s->w, NULL, &s->chance, &s->intents);
    perform(&s->w, &s->intents, &s->player, &s->chance, &s->blows);
}

static void close_stage(struct stage *s) {
    written_close(&s->w);
    intents_free(&s->intents);
    blows_free(&s->blows);
}

static void near_to(double simulated, double published, double allowed, const char *what) {
    cr_expect(fabs(simulated - published) <= allowed, "%s: %.3f, published %.3f, allowed %.3f",
              what, simulated, published, allowed);
}

/* Times between single strokes, 1 bar of 16ths. */
static double spacing_spread(double spacing_ms) {
    struct stage s;
    struct sample gaps = sample_new();
    open_stage(&s, PATTERN_SINGLES, 1, 15000.0 / spacing_ms);
    for (int run = 0; run < 2000; run++) {
        play(&s);
        for (size_t i = 1; i < 16; i++) {
            put(&gaps, s.blows.row[i].at_ms - s.blows.row[i - 1].at_ms);
        }
    }
    const double spread = smad(&gaps);
    free(gaps.v);
    close_stage(&s);
    return spread;
}

Test(bench_player, time_between_single_strokes_spreads_as_published) {
    near_to(spacing_spread(75.0), 6.1, 1.1, "60 to 90 ms apart (n 189)");
    near_to(spacing_spread(102.0), 8.4, 0.8, "90 to 115 ms apart (n 738)");
    near_to(spacing_spread(125.0), 11.2, 0.8, "115 to 135 ms apart (n 1355)");
    near_to(spacing_spread(147.0), 11.0, 1.0, "135 to 160 ms apart (n 754)");
}

Test(bench_player, offsets_from_the_click_spread_and_hang_together_as_published) {
    struct stage s;
    struct sample spread = sample_new();
    struct sample flat = sample_new();
    struct sample offsets = sample_new();
    struct sample correlation = sample_new();
    struct sample alternation = sample_new();
    struct sample run = sample_new();
    struct sample gaps = sample_new();
    open_stage(&s, PATTERN_SINGLES, 1, 120.0);
    for (int k = 0; k < 1500; k++) {
        play(&s);
        run.n = gaps.n = 0;
        for (size_t i = 0; i < 16; i++) {
            put(&run, s.blows.row[i].at_ms - written_ms(&s.w, s.w.plan.due[i].at));
        }
        for (size_t i = 1; i < 16; i++) {
            put(&gaps, run.v[i] - run.v[i - 1]);
        }
        put(&spread, smad(&run));
        put(&correlation, lag1(&run));
        put(&alternation, lag1(&gaps));
        put(&offsets, s.player.offset_ms);
        flatten(&run);
        put(&flat, smad(&run));
    }
    /* Of 103 runs of 12 strokes and more; a median of such spreads has an error of about 5 %. */
    near_to(quantile(&spread, 0.5), 11.4, 1.4, "spread against the click");
    near_to(quantile(&flat, 0.5), 9.3, 1.1, "spread without line and places");
    near_to(quantile(&correlation, 0.5), 0.39, 0.12, "lag-1 correlation of the offsets");
    near_to(quantile(&alternation, 0.5), -0.30, 0.12, "lag-1 correlation of the times between");
    cr_expect(quantile(&offsets, 0.0) >= -38.0 && quantile(&offsets, 1.0) <= 39.0);
    close_stage(&s);
    free(spread.v);
    free(flat.v);
    free(offsets.v);
    free(correlation.v);
    free(alternation.v);
    free(run.v);
    free(gaps.v);
}

/* Pairs 58 to 87 ms apart: error of the second stroke, spread of its share, level. */
Test(bench_player, second_strokes_fall_as_published) {
    struct stage s;
    struct sample error = sample_new();
    struct sample share = sample_new();
    struct sample level = sample_new();
    open_stage(&s, PATTERN_ROLL, 4, 120.0);
    for (int k = 0; k < 300; k++) {
        play(&s);
        for (size_t i = 0; i + 2 < s.blows.count; i += 2) {
            const double span = s.blows.row[i + 2].at_ms - s.blows.row[i].at_ms;
            const double e = (s.blows.row[i + 1].at_ms - s.blows.row[i].at_ms) / span;
            put(&error, (e - 0.5) * span);
            put(&share, e);
            put(&level, s.blows.row[i + 1].level_db - s.blows.row[i].level_db);
        }
    }
    near_to(smad(&error), 7.0, 1.0, "error of a second stroke, 6 to 8 ms at every tempo");
    near_to(sd(&error) / smad(&error), 1.6, 0.25, "its SD over its sMAD");
    near_to(quantile(&share, 0.5), 0.50, 0.012, "share of the span, middle");
    near_to(smad(&level), 1.8, 0.3, "second less first, 1.5 to 2.2 dB");
    near_to(quantile(&level, 0.5), -0.8, 0.5, "second less first, -1.5 to +0.2 dB by tempo");
    close_stage(&s);
    free(error.v);
    free(share.v);
    free(level.v);
}

/* March: 368 flams of one drummer. */
Test(bench_player, flams_open_as_published) {
    struct stage s;
    struct sample gap = sample_new();
    struct sample softness = sample_new();
    open_stage(&s, PATTERN_FLAMS, 4, 120.0);
    for (int k = 0; k < 400; k++) {
        play(&s);
        for (size_t i = 1; i < s.blows.count; i++) {
            if (s.blows.row[i - 1].grace) {
                put(&gap, s.blows.row[i].at_ms - s.blows.row[i - 1].at_ms);
                put(&softness, s.blows.row[i].level_db - s.blows.row[i - 1].level_db);
            }
        }
    }
    near_to(quantile(&gap, 0.25), 17.5, 1.5, "gap, lower quartile 17 to 18 ms");
    near_to(quantile(&gap, 0.5), 24.0, 1.2, "gap, middle");
    near_to(quantile(&gap, 0.75), 31.0, 2.0, "gap, upper quartile");
    near_to(quantile(&softness, 0.25), 3.9, 0.8, "softness, lower quartile 3.8 dB");
    near_to(quantile(&softness, 0.5), 5.7, 0.7, "softness, middle 5.1 dB in marches, 6.4 in all");
    close_stage(&s);
    free(gap.v);
    free(softness.v);
}

/* 1639 isolated presses. Here they are isolated: quarters. */
Test(bench_player, presses_bounce_as_published) {
    struct stage s;
    struct sample gaps[3] = {sample_new(), sample_new(), sample_new()};
    struct sample steps = sample_new();
    double notes[8] = {0};
    char text[] = "metre: 4/4\n| 4:Rz Lz Rz Lz | 4:Rz Lz Rz Lz | 4:Rz Lz Rz Lz | 4:Rz Lz Rz Lz |";
    memset(&s, 0, sizeof s);
    cr_assert(written_open(&s.w, "presses", text, 60.0, 0));
    chance_seed(&s.chance, 7);
    double presses = 0.0;
    for (int k = 0; k < 300; k++) {
        play(&s);
        size_t in_press = 0;
        for (size_t i = 0; i < s.blows.count; i++) {
            in_press = s.blows.row[i].role == ROLE_STROKE ? 0 : in_press + 1;
            const bool last = i + 1 == s.blows.count || s.blows.row[i + 1].role == ROLE_STROKE;
            if (in_press >= 1 && in_press <= 3) {
                put(&gaps[in_press - 1], s.blows.row[i].at_ms - s.blows.row[i - 1].at_ms);
            }
            if (in_press == 1) {
                put(&steps, s.blows.row[i].level_db - s.blows.row[i - 1].level_db);
            }
            notes[in_press + 1 < 8 ? in_press + 1 : 7] += last;
            presses += last;
        }
    }
    near_to(quantile(&gaps[0], 0.5), 47.0, 1.5, "first bounce, middle");
    near_to(quantile(&gaps[1], 0.5), 36.0, 1.5, "second bounce, middle");
    near_to(quantile(&gaps[2], 0.5), 33.0, 2.0, "third bounce, middle (n 749)");
    near_to(quantile(&gaps[0], 0.25), 39.0, 2.5, "first bounce, lower quartile");
    near_to(quantile(&steps, 0.5), -1.1, 0.15, "first step, dB");
    near_to(notes[3] / presses, 0.54, 0.025, "share of presses with three notes");
    near_to(notes[4] / presses, 0.31, 0.025, "with four");
    near_to(notes[5] / presses, 0.10, 0.02, "with five");
    close_stage(&s);
    for (int i = 0; i < 3; i++) {
        free(gaps[i].v);
    }
    free(steps.v);
}

/* Taps within a passage 1.5 dB; accents over them 8.4 dB in the middle of 137 two-hand passages. */
Test(bench_player, accents_stand_over_taps_as_published) {
    struct stage s;
    struct sample spread = sample_new();
    struct sample lift = sample_new();
    struct sample taps = sample_new();
    open_stage(&s, PATTERN_ACCENTS, 2, 120.0);
    for (int k = 0; k < 500; k++) {
        play(&s);
        taps.n = 0;
        for (size_t i = 0; i < s.blows.count; i++) {
            if (written_stroke(&s.w, (size_t)s.blows.row[i].due)->accent == 0) {
                put(&taps, s.blows.row[i].level_db);
            }
        }
        put(&spread, smad(&taps));
        for (size_t i = 0; i < s.blows.count; i++) {
            if (written_stroke(&s.w, (size_t)s.blows.row[i].due)->accent > 0) {
                put(&lift, s.blows.row[i].level_db - quantile(&taps, 0.5));
            }
        }
    }
    near_to(quantile(&spread, 0.5), 1.5, 0.2, "spread of the taps of a passage");
    near_to(quantile(&lift, 0.5), 8.4, 0.6, "accent over taps, middle");
    close_stage(&s);
    free(spread.v);
    free(lift.v);
    free(taps.v);
}

/* 103 of 105 hits nearer than 10 ms are 8 dB louder; from 12 to 60 ms 0.6 % of 13 167 lie below
 * 1.8 dB - 0.21 dB/ms. The simulated pad lets nothing pass that lies below. */
Test(bench_player, the_pad_hides_what_the_published_pad_hides) {
    struct stage s;
    struct reported reported = {0};
    size_t pairs = 0;
    open_stage(&s, PATTERN_BUZZ, 8, 120.0);
    play(&s);
    kit_report(kit_named("good"), &s.blows, &s.chance, &reported);
    for (size_t i = 1; i < reported.count; i++) {
        const double gap = reported.truth[i].at_ms - reported.truth[i - 1].at_ms;
        const double rise = reported.truth[i].level_db - reported.truth[i - 1].level_db;
        if (gap < 60.0) {
            pairs++;
            cr_expect(rise >= (gap < 10.0 ? 8.0 : 1.8 - 0.21 * gap));
        }
    }
    cr_expect(pairs > 200 && reported.masked > 0);
    reported_free(&reported);
    close_stage(&s);
}
