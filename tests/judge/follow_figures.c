/* Prints how well the follower finds strokes for many made-up players: not a test, a measurement.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exercises.h"
#include "player.h"
#include "start.h"

struct figure {
    double sum, least;
    int runs, below;
};

static double f_of(const struct eh_plan *plan, const struct player *player) {
    struct performance p;
    player_play(player, plan, &p);
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    struct eh_match *matches = calloc(plan->due_count, sizeof *matches);
    struct eh_fate *fates = calloc(p.count + 1, sizeof *fates);
    const struct eh_take take = {.hits = p.hits, .count = p.count};
    struct eh_course *c = NULL;
    size_t n = 0;
    double cost = 0.0;
    if (eh_follow_take(plan, &take, &pad, matches, fates, &c, &n, &cost) != EH_OK) {
        abort();
    }
    const double f = performance_f(&p, plan, matches);
    if (getenv("SHOW") != NULL && f < atof(getenv("SHOW"))) {
        printf("f %.4f seed %llu\n", f, (unsigned long long)player->seed);
        for (size_t i = 0; i < plan->due_count; i++) {
            size_t h = 0;
            while (h < p.count && p.truth[h] != (int32_t)i) {
                h++;
            }
            const int truth = h < p.count ? (int)h : -1;
            if (truth != matches[i].hit) {
                printf("  due %zu at %.1f: truth %d (%.1f) found %d (%.1f)\n", i,
                       (double)plan->due[i].at_ns / 1e6, truth,
                       truth >= 0 ? (double)p.hits[truth].at_ns / 1e6 : NAN, matches[i].hit,
                       matches[i].hit >= 0 ? (double)p.hits[matches[i].hit].at_ns / 1e6 : NAN);
            }
        }
        for (size_t i = 0; i < n; i++) {
            printf("  course %d due %u at %.1f\n", c[i].kind, c[i].due, (double)c[i].at_ns / 1e6);
        }
    }
    free(c);
    free(matches);
    free(fates);
    performance_free(&p);
    return f;
}

static void print(const char *name, const struct figure *f) {
    printf("%-34s runs %5d  F mean %.5f  least %.4f  below 0.99: %d\n", name, f->runs,
           f->sum / f->runs, f->least, f->below);
}

int main(int argc, char **argv) {
    const int seeds = argc > 1 ? atoi(argv[1]) : 5;
    const char *only = argc > 2 ? argv[2] : NULL;
    static const struct {
        const char *name;
        double missed, extra, echoed, drift, delay, scatter, swing;
        int what;
    } cases[] = {{"clean", 0, 0, 0, 0, -10, 8, 0, 0},
                 {"learner", 0, 0, 0, 0, -10, 14, 0, 0},
                 {"late 40 ms", 0, 0, 0, 0, 40, 8, 0, 0},
                 {"seconds 24 % late", 0, 0, 0, 0, -10, 8, 0.24, 0},
                 {"missed 5 %", 0.05, 0, 0, 0, -10, 8, 0, 0},
                 {"extra 5 %", 0, 0.05, 0, 0, -10, 8, 0, 0},
                 {"echo 3 %", 0, 0, 0.03, 0, -10, 8, 0, 0},
                 {"drift +5 %", 0, 0, 0, 0.05, -10, 8, 0, 0},
                 {"drift -5 %", 0, 0, 0, -0.05, -10, 8, 0, 0},
                 {"all, faster", 0.05, 0.05, 0.03, 0.05, 40, 8, 0, 0},
                 {"all, slower", 0.05, 0.05, 0.03, -0.05, 40, 8, 0, 0},
                 {"stop of two bars", 0.01, 0.01, 0, 0, -10, 8, 0, 1},
                 {"bar skipped", 0.01, 0.01, 0, 0, -10, 8, 0, 2},
                 {"bar repeated", 0.01, 0.01, 0, 0, -10, 8, 0, 3},
                 {"late start", 0.01, 0.01, 0, 0, -10, 8, 0, 4}};
    static const double tempos[] = {50, 80, 120, 160, 180};
    for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
        struct figure all = {.least = 1.0};
        for (int e = 0; shipped_exercises[e] != NULL; e++) {
            if (only != NULL && strcmp(only, shipped_exercises[e]) != 0) {
                continue;
            }
            struct eh_exercise *exercise = read_exercise(shipped_exercises[e]);
            if (exercise == NULL) {
                continue;
            }
            struct figure figure = {.least = 1.0};
            for (size_t t = 0; t < sizeof tempos / sizeof tempos[0]; t++) {
                struct eh_plan plan = plan_at(exercise, tempos[t], 2000.0, 1);
                for (int s = 0; s < seeds; s++) {
                    struct player player = player_default((uint64_t)(s * 131 + (int)t * 7 + 1));
                    player.missed = cases[c].missed;
                    player.extra = cases[c].extra;
                    player.echoed = cases[c].echoed;
                    player.drift = cases[c].drift;
                    player.delay_ms = cases[c].delay;
                    player.scatter_ms = cases[c].scatter;
                    player.swing_seconds = cases[c].swing;
                    player.stop_bar = 3;
                    player.stop_bars = cases[c].what == 1 ? 2 : 0;
                    player.skip_bar = cases[c].what == 2 ? 3 : -1;
                    player.repeat_bar = cases[c].what == 3 ? 3 : -1;
                    player.late_start = cases[c].what == 4 ? 7 : 0;
                    const double f = f_of(&plan, &player);
                    figure.sum += f;
                    figure.runs++;
                    figure.below += f < 0.99;
                    figure.least = fmin(figure.least, f);
                }
                eh_plan_deinit(&plan);
            }
            eh_exercise_free(exercise);
            if (getenv("EACH") != NULL) {
                char name[80];
                (void)snprintf(name, sizeof name, "  %s", shipped_exercises[e]);
                print(name, &figure);
            }
            all.sum += figure.sum;
            all.runs += figure.runs;
            all.below += figure.below;
            all.least = fmin(all.least, figure.least);
        }
        if (all.runs > 0) {
            print(cases[c].name, &all);
        }
    }
    return 0;
}
