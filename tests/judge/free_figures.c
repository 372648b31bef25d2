/* Prints how well the tempo is found without a click: not a test, a measurement. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/free_tempo.h"
#include "exercises.h"
#include "free_player.h"
#include "start.h"

struct sums {
    int runs, refused, octave, below;
    double f, least, tempo_error, worst_error, share;
};

static double f_against_truth(const struct performance *p, const struct eh_plan *plan,
                              const struct eh_free_tempo *tempo, const struct eh_exercise *e) {
    struct eh_take take = {.hits = p->hits, .count = p->count};
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    struct eh_plan laid;
    const struct eh_plan_request request = {.passes = plan->passes};
    struct eh_match *matches = calloc(plan->due_count, sizeof *matches);
    struct eh_fate *fates = calloc(p->count + 1, sizeof *fates);
    double cost = 0.0;
    if (eh_plan_init(&laid, e, &request, &tempo->map, 0, NULL) != EH_OK ||
        eh_follow_take(&laid, &take, &pad, matches, fates, NULL, NULL, &cost) != EH_OK) {
        abort();
    }
    const double f = performance_f(p, &laid, matches);
    free(matches);
    free(fates);
    eh_plan_deinit(&laid);
    return f;
}

static double true_bpm(const struct eh_tempo_map *map, const struct eh_plan *plan,
                       const struct free_player *player) {
    const eh_ticks last = plan->due[plan->due_count - 1].at;
    const double ms = (double)(eh_tempo_map_ns(map, last) - eh_tempo_map_ns(map, 0)) / 1e6 -
                      (player->halt_bar > 0 ? player->halt_ms : 0.0);
    return 60000.0 * (double)last / (double)EH_TICKS_PER_QUARTER / ms;
}

static void one(const struct eh_exercise *e, const char *name, const struct free_player *player,
                int passes, struct sums *sums) {
    struct eh_plan plan = plan_at(e, 120.0, 0.0, passes);
    struct performance p;
    struct eh_tempo_map truth = {0};
    free_player_play(player, &plan, &p, &truth);
    const struct eh_take take = {.hits = p.hits, .count = p.count};
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    const struct eh_free_request request = {.plan = {.passes = passes}, .count_off = player->taps};
    struct eh_free_tempo tempo;
    struct eh_error error;
    sums->runs++;
    if (eh_free_tempo_find(&tempo, e, &take, &pad, &request, &error) != EH_OK) {
        sums->refused++;
        sums->least = 0.0;
        if (getenv("SHOW") != NULL) {
            printf("  refused %s at %.0f seed %llu: %s\n", name, player->bpm,
                   (unsigned long long)player->seed, error.text);
        }
    } else {
        const double f = f_against_truth(&p, &plan, &tempo, e);
        const double error_percent =
            100.0 * fabs(tempo.bpm / true_bpm(&truth, &plan, player) - 1.0);
        sums->f += f;
        sums->least = fmin(sums->least, f);
        sums->share = fmin(sums->share, fmin(tempo.strokes_share, tempo.hits_share));
        sums->octave += error_percent > 10.0;
        sums->below += f < 0.99;
        sums->tempo_error += error_percent;
        sums->worst_error = fmax(sums->worst_error, error_percent);
        if (getenv("SHOW") != NULL && f < atof(getenv("SHOW"))) {
            printf(
                "  %s at %.0f seed %llu: f %.4f tempo %.2f for %.2f shares %.3f %.3f halts %zu\n",
                name, player->bpm, (unsigned long long)player->seed, f, tempo.bpm,
                true_bpm(&truth, &plan, player), tempo.strokes_share, tempo.hits_share,
                tempo.halt_count);
        }
        if (getenv("DRIFT") != NULL) {
            printf("  %s at %.0f: change %.1f rise %.1f fall %.1f wander %.1f\n", name, player->bpm,
                   tempo.change_percent, tempo.rise_percent, tempo.fall_percent,
                   tempo.wander_percent);
        }
        eh_free_tempo_deinit(&tempo);
    }
    eh_tempo_map_deinit(&truth);
    performance_free(&p);
    eh_plan_deinit(&plan);
}

static const struct {
    const char *name;
    int course;
    double amount, missed, extra, echoed;
    int taps;
    double halt_ms;
    double scatter_ms;
} cases[] = {{"learner, 10 % missed, 10 % extra", FREE_DRIFT, 0.04, 0.1, 0.1, 0.03, 0, 0, 14},
             {"plain", FREE_STEADY, 0, 0, 0, 0, 0, 0, 0},
             {"plain, counted off", FREE_STEADY, 0, 0, 0, 0, 4, 0, 0},
             {"5 % missed, 5 % extra", FREE_STEADY, 0, 0.05, 0.05, 0, 0, 0, 0},
             {"drift +8 %", FREE_DRIFT, 0.08, 0, 0, 0, 0, 0, 0},
             {"drift -8 %", FREE_DRIFT, -0.08, 0, 0, 0, 0, 0, 0},
             {"drift +8 %, 5 % missed, extra", FREE_DRIFT, 0.08, 0.05, 0.05, 0, 0, 0, 0},
             {"drift -8 %, 5 % m., e., 3 % echo", FREE_DRIFT, -0.08, 0.05, 0.05, 0.03, 0, 0, 0},
             {"step +4 %", FREE_STEP, 0.04, 0, 0, 0, 0, 0, 0},
             {"step -4 %", FREE_STEP, -0.04, 0, 0, 0, 0, 0, 0},
             {"rubato 4 %, 8 bars", FREE_RUBATO, 0.04, 0, 0, 0, 0, 0, 0},
             {"halt of 0.7 s", FREE_STEADY, 0, 0, 0, 0, 0, 700, 0},
             {"halt of 2.3 s, 3 % missed, extra", FREE_STEADY, 0, 0.03, 0.03, 0, 0, 2300, 0}};

/* Every exercise played, every exercise asked for: how much of it seems to agree. */
static void others(double bpm, int seed) {
    for (size_t a = 0; shipped_exercises[a] != NULL; a++) {
        struct eh_exercise *played = read_exercise(shipped_exercises[a]);
        struct eh_plan plan = plan_at(played, 120.0, 0.0, 1);
        struct performance p;
        struct eh_tempo_map truth = {0};
        const struct free_player player = free_player_default((uint64_t)seed, bpm);
        free_player_play(&player, &plan, &p, &truth);
        for (size_t b = 0; shipped_exercises[b] != NULL; b++) {
            struct eh_exercise *e = read_exercise(shipped_exercises[b]);
            const struct eh_take take = {.hits = p.hits, .count = p.count};
            struct eh_pad pad;
            eh_pad_init_default(&pad);
            const struct eh_free_request request = {0};
            struct eh_free_tempo tempo = {0};
            const enum eh_status status =
                eh_free_tempo_find(&tempo, e, &take, &pad, &request, NULL);
            printf("%-26s as %-26s %s strokes %.2f hits %.2f at %.1f\n", shipped_exercises[a],
                   shipped_exercises[b], status == EH_OK ? "judged " : "refused",
                   tempo.strokes_share, tempo.hits_share, tempo.bpm);
            eh_free_tempo_deinit(&tempo);
            eh_exercise_free(e);
        }
        eh_tempo_map_deinit(&truth);
        performance_free(&p);
        eh_plan_deinit(&plan);
        eh_exercise_free(played);
    }
}

/* Hits that come at random: at all times alike, or at distances of 60 to 600 ms. */
static void nonsense(int seeds) {
    for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
        struct eh_exercise *e = read_exercise(shipped_exercises[x]);
        for (int seed = 0; seed < seeds; seed++) {
            struct eh_hit hits[300];
            uint64_t state = (uint64_t)seed;
            double ms = 0.0;
            for (size_t i = 0; i < 300; i++) {
                const double u = random_unit(&state);
                ms += seed % 2 == 0 ? -150.0 * log(1.0 - u) : 60.0 * pow(10.0, u);
                hits[i] = (struct eh_hit){llround(ms * 1e6), 60 * EH_VELOCITY_UNIT, 38, 9};
            }
            const struct eh_take take = {.hits = hits, .count = 300};
            struct eh_pad pad;
            eh_pad_init_default(&pad);
            const struct eh_free_request request = {0};
            struct eh_free_tempo tempo = {0};
            const enum eh_status status =
                eh_free_tempo_find(&tempo, e, &take, &pad, &request, NULL);
            printf("random %d as %-26s %s strokes %.2f hits %.2f at %.1f\n", seed,
                   shipped_exercises[x], status == EH_OK ? "judged " : "refused",
                   tempo.strokes_share, tempo.hits_share, tempo.bpm);
            eh_free_tempo_deinit(&tempo);
        }
        eh_exercise_free(e);
    }
}

int main(int argc, char **argv) {
    static const double tempi[] = {50, 80, 120, 160, 180};
    const int seeds = argc > 1 ? atoi(argv[1]) : 2;
    const char *only = argc > 2 ? argv[2] : NULL;
    const char *exercise_only = argc > 3 ? argv[3] : "";
    if (only != NULL && strcmp(only, "others") == 0) {
        others(100.0, seeds);
        return 0;
    }
    if (only != NULL && strcmp(only, "nonsense") == 0) {
        nonsense(seeds);
        return 0;
    }
    for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
        struct sums sums = {.least = 1.0, .share = 1.0};
        for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
            struct eh_exercise *e = read_exercise(shipped_exercises[x]);
            for (size_t t = 0; t < sizeof tempi / sizeof tempi[0]; t++) {
                for (int seed = 0; seed < seeds; seed++) {
                    struct free_player p =
                        free_player_default((uint64_t)(seed * 977 + 13 * (int)x), tempi[t]);
                    p.course = cases[c].course;
                    p.amount = cases[c].amount;
                    p.missed = cases[c].missed;
                    p.extra = cases[c].extra;
                    p.echoed = cases[c].echoed;
                    p.taps = cases[c].taps;
                    p.halt_ms = cases[c].halt_ms;
                    p.scatter_ms = cases[c].scatter_ms > 0.0 ? cases[c].scatter_ms : p.scatter_ms;
                    p.halt_bar = p.halt_ms > 0 ? 4 : -1;
                    if ((only == NULL || strstr(cases[c].name, only) != NULL) &&
                        strstr(shipped_exercises[x], exercise_only) != NULL) {
                        one(e, shipped_exercises[x], &p, 1, &sums);
                    }
                }
            }
            eh_exercise_free(e);
        }
        if (sums.runs > 0) {
            const int told = sums.runs - sums.refused > 0 ? sums.runs - sums.refused : 1;
            printf("%-34s runs %4d refused %d  F %.5f least %.4f <0.99: %d  tempo off %.3f %% "
                   "(worst %.2f) >10 %%: %d  share %.2f\n",
                   cases[c].name, sums.runs, sums.refused, sums.f / told, sums.least, sums.below,
                   sums.tempo_error / told, sums.worst_error, sums.octave, sums.share);
        }
    }
    return 0;
}
