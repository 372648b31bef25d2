/* Prints how well a tempo is found and judged without a click: not a test, a measurement.
 *
 *   free_figures SEEDS [PART [NAME]]    PART: found, verdicts, small, others, random, courses
 *
 * With SHOW=0.98 in the environment runs below that F are named, with SAY=1 what is said of the
 * tempo. */
#include "free_figures.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exercises.h"
#include "free_run.h"

static const double tempi[] = {50, 80, 120, 160, 180};

/* ---- How well strokes and tempo are found ---- */

struct sums {
    int runs, refused, octave, below;
    double f, least, tempo_error, worst_error, share;
};

static void note(struct sums *sums, const struct free_run *run, const struct free_player *player,
                 const struct eh_free_tempo *tempo, const char *name) {
    const double f = free_run_f(run, tempo);
    const double truth = free_run_bpm(run, player->halt_bar > 0 ? player->halt_ms : 0.0);
    const double error = 100.0 * fabs(tempo->bpm / truth - 1.0);
    sums->f += f;
    sums->least = fmin(sums->least, f);
    sums->share = fmin(sums->share, fmin(tempo->strokes_share, tempo->hits_share));
    sums->octave += error > 10.0;
    sums->below += f < 0.99;
    sums->tempo_error += error;
    sums->worst_error = fmax(sums->worst_error, error);
    const char *show = getenv("SHOW");
    if (show != NULL && f < atof(show)) {
        struct eh_free_tempo exact = {.map = run->truth};
        printf(
            "  %s at %.0f seed %llu: F %.4f, with the click %.4f; tempo %.2f for %.2f halts %zu\n",
            name, player->bpm, (unsigned long long)player->seed, f, free_run_f(run, &exact),
            tempo->bpm, truth, tempo->halt_count);
    }
}

static void one(const struct eh_exercise *e, const char *name, const struct free_player *player,
                struct sums *sums) {
    struct free_run run;
    struct eh_free_tempo tempo;
    struct eh_error error;
    free_run_play(&run, e, player);
    sums->runs++;
    if (free_run_find(&run, player->taps, &tempo, &error) != EH_OK) {
        sums->refused++;
    } else {
        note(sums, &run, player, &tempo, name);
        eh_free_tempo_deinit(&tempo);
    }
    free_run_drop(&run);
}

static void print_sums(const char *name, const struct sums *s) {
    const int told = s->runs > s->refused ? s->runs - s->refused : 1;
    printf("%-34.34s runs %4d refused %d  F %.5f least %.4f <0.99: %d  tempo off %.3f %% "
           "(worst %.2f) >10 %%: %d  share %.2f\n",
           name, s->runs, s->refused, s->f / told, s->least, s->below, s->tempo_error / told,
           s->worst_error, s->octave, s->share);
}

static const struct {
    const char *name;
    int course, taps;
    double amount, missed, extra, echoed, halt_ms, scatter_ms;
} cases[] = {{"learner, 10 % missed, 10 % extra", FREE_DRIFT, 0, 0.04, 0.1, 0.1, 0.03, 0, 14},
             {"plain", FREE_STEADY, 0, 0, 0, 0, 0, 0, 0},
             {"plain, counted off", FREE_STEADY, 4, 0, 0, 0, 0, 0, 0},
             {"5 % missed, 5 % extra", FREE_STEADY, 0, 0, 0.05, 0.05, 0, 0, 0},
             {"drift +8 %", FREE_DRIFT, 0, 0.08, 0, 0, 0, 0, 0},
             {"drift -8 %", FREE_DRIFT, 0, -0.08, 0, 0, 0, 0, 0},
             {"drift +8 %, 5 % missed, extra", FREE_DRIFT, 0, 0.08, 0.05, 0.05, 0, 0, 0},
             {"drift -8 %, 5 % m., e., 3 % echo", FREE_DRIFT, 0, -0.08, 0.05, 0.05, 0.03, 0, 0},
             {"step +4 %", FREE_STEP, 0, 0.04, 0, 0, 0, 0, 0},
             {"step -4 %", FREE_STEP, 0, -0.04, 0, 0, 0, 0, 0},
             {"rubato 4 %, 8 bars", FREE_RUBATO, 0, 0.04, 0, 0, 0, 0, 0},
             {"halt of 0.7 s", FREE_STEADY, 0, 0, 0, 0, 0, 700, 0},
             {"halt of 2.3 s, 3 % missed, extra", FREE_STEADY, 0, 0, 0.03, 0.03, 0, 2300, 0}};

static struct free_player player_of(size_t c, uint64_t seed, double bpm) {
    struct free_player p = free_player_default(seed, bpm);
    p.course = cases[c].course;
    p.amount = cases[c].amount;
    p.missed = cases[c].missed;
    p.extra = cases[c].extra;
    p.echoed = cases[c].echoed;
    p.taps = cases[c].taps;
    p.halt_ms = cases[c].halt_ms;
    p.halt_bar = p.halt_ms > 0 ? 4 : -1;
    p.scatter_ms = cases[c].scatter_ms > 0.0 ? cases[c].scatter_ms : p.scatter_ms;
    return p;
}

static void found(int seeds, const char *only) {
    for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
        struct sums sums = {.least = 1.0, .share = 1.0};
        if (strstr(cases[c].name, only) == NULL) {
            continue;
        }
        for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
            struct eh_exercise *e = read_exercise(shipped_exercises[x]);
            for (int k = 0; k < seeds * 5; k++) {
                const struct free_player p =
                    player_of(c, (uint64_t)k / 5 * 977 + 13 * x, tempi[k % 5]);
                one(e, shipped_exercises[x], &p, &sums);
            }
            eh_exercise_free(e);
        }
        print_sums(cases[c].name, &sums);
    }
}

/* ---- Other music: short, sparse, ornamented, in other metres ---- */

static const char *const small[] = {
    "metre: 4/4\n| 16:RLRL RLRL RLRL RLRL | 4:R - 2:- |",
    "metre: 4/4\n|: 4:RLRL :|x6",
    "metre: 4/4\n|: 16:RLRL RLRL RLRL RLRL :|x8",
    "metre: 4/4\n|: 4:lR rL lR rL | 8:lR L rL R 4:lR rL :|x4",
    "metre: 4/4\n|: 4:llR L rrL R | 8:R L llR L 4:rrL R :|x4",
    "metre: 4/4\n|: 8:Rz Lz Rz Lz 4:R L :|x6",
    "metre: 6/8\n|: 8:RLR LRL | 16:RLRLRL 8:RLR | 4:R 8:L 4:R 8:L :|x4",
    "metre: 3/4\n|: 4:R 8:LR LR | 4:L - R | 8:RLRLRL :|x4",
    "metre: 4/4\n| 2:R L | 4:R L 2:R | 1:L | 4:R - L - | 2:R L | 1:R |",
    "metre: 4/4\n|: 16:R/L/R/L/ 4:R> 16:L/R/L/R/ 4:L> :|x4",
    "metre: 2/4\n| 16:R/L/ 8:R> 16:L/R/ 8:L> | 4:R - |"};

static void other_music(int seeds) {
    for (size_t x = 0; x < sizeof small / sizeof small[0]; x++) {
        struct sums sums = {.least = 1.0, .share = 1.0};
        struct eh_exercise *e = parse_exercise(small[x]);
        if (e == NULL) {
            abort();
        }
        for (int k = 0; k < seeds * 10; k++) {
            struct free_player p = free_player_default((uint64_t)k * 131 + 7, tempi[k % 5]);
            p.course = k % 10 < 5 ? FREE_STEADY : FREE_DRIFT;
            p.amount = k % 2 == 0 ? 0.06 : -0.06;
            p.missed = p.extra = k % 3 == 0 ? 0.03 : 0.0;
            one(e, small[x], &p, &sums);
        }
        print_sums(small[x] + strlen("metre: 4/4\n"), &sums);
        eh_exercise_free(e);
    }
}

/* ---- What the judge says with the true beat for a click, and without ---- */

struct verdicts {
    int runs, refused, same_runs, findings, differ;
    int told[4]; /* tempo: steady, rushing, dragging, unclear */
    int by_aspect[EH_ASPECT_COUNT];
};

static void compare(const struct eh_judgement *free_one, const struct eh_judgement *click,
                    struct verdicts *v, const char *name) {
    int differ = 0;
    for (size_t i = 0; i < click->finding_count; i++) {
        const struct eh_finding *a = &click->findings[i];
        const struct eh_finding *b = free_run_finding(free_one, a->aspect, a->side);
        if (a->aspect == EH_ASPECT_TEMPO) {
            const int way = b->direction == EH_DIRECTION_RUSHING    ? 1
                            : b->direction == EH_DIRECTION_DRAGGING ? 2
                            : b->fault == EH_FAULT_UNCLEAR          ? 3
                                                                    : 0;
            v->told[way]++;
            if (getenv("SAY") != NULL) {
                printf("  %s: %s\n", name, b->text);
            }
            continue;
        }
        v->findings++;
        if (b == NULL || a->verdict != b->verdict || a->direction != b->direction) {
            differ++;
            v->by_aspect[a->aspect]++;
            if (getenv("SHOW") != NULL) {
                printf("  %s: %s\n    but %s\n", name, a->text, b == NULL ? "nothing" : b->text);
            }
        }
    }
    v->differ += differ;
    v->same_runs += differ == 0;
}

static void judge_both(const struct eh_exercise *e, const char *name,
                       const struct free_player *player, struct verdicts *v) {
    struct free_run run;
    free_run_play(&run, e, player);
    struct eh_judgement *to_truth = free_run_judge_to_truth(&run);
    struct eh_judgement *free_one = free_run_judge(&run, player->taps);
    v->runs++;
    if (free_one == NULL || to_truth == NULL) {
        v->refused++;
    } else {
        compare(free_one, to_truth, v, name);
    }
    eh_judgement_free(to_truth);
    eh_judgement_free(free_one);
    free_run_drop(&run);
}

static void print_verdicts(const char *name, const struct verdicts *v) {
    printf("%-30s runs %4d refused %d  all verdicts the same in %.3f of runs (%d of %d differ)  "
           "tempo: steady %d rushing %d dragging %d unclear %d\n",
           name, v->runs, v->refused, (double)v->same_runs / v->runs, v->differ, v->findings,
           v->told[0], v->told[1], v->told[2], v->told[3]);
    for (int i = 0; i < EH_ASPECT_COUNT; i++) {
        if (v->by_aspect[i] > 0) {
            printf("    %s %d\n", eh_aspect_text((enum eh_aspect)i), v->by_aspect[i]);
        }
    }
}

static void verdicts(int seeds, const char *only) {
    static const struct {
        const char *name;
        int course;
        double amount, phase, late;
    } ways[] = {{"steady", FREE_STEADY, 0, 0, 0},
                {"left seconds late", FREE_STEADY, 0, 0, 0.25},
                {"drift +8 %", FREE_DRIFT, 0.08, 0, 0},
                {"drift -8 %", FREE_DRIFT, -0.08, 0, 0.25},
                {"drift +5 %", FREE_DRIFT, 0.05, 0, 0},
                {"step +4 %", FREE_STEP, 0.04, 0, 0},
                {"rubato 4 %, sine", FREE_RUBATO, 0.04, 0.0, 0},
                {"rubato 4 %, cosine, seconds", FREE_RUBATO, 0.04, 0.25, 0.25},
                {"rubato 4 %, against", FREE_RUBATO, 0.04, 0.5, 0}};
    for (size_t c = 0; c < sizeof ways / sizeof ways[0]; c++) {
        struct verdicts v = {0};
        if (strstr(ways[c].name, only) == NULL) {
            continue;
        }
        for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
            struct eh_exercise *e = read_exercise(shipped_exercises[x]);
            for (int k = 0; k < seeds * 5; k++) {
                struct free_player p = free_player_default((uint64_t)k * 7919 + x, tempi[k % 5]);
                p.course = ways[c].course;
                p.amount = ways[c].amount;
                p.wave_phase = ways[c].phase;
                p.second_late[0] = ways[c].late;
                judge_both(e, shipped_exercises[x], &p, &v);
            }
            eh_exercise_free(e);
        }
        print_verdicts(ways[c].name, &v);
    }
}

int main(int argc, char **argv) {
    const int seeds = argc > 1 ? atoi(argv[1]) : 2;
    const char *part = argc > 2 ? argv[2] : "";
    const char *only = argc > 3 ? argv[3] : "";
    const bool all = part[0] == '\0';
    if (all || strcmp(part, "found") == 0) {
        found(seeds, only);
    }
    if (all || strcmp(part, "verdicts") == 0) {
        verdicts(seeds, only);
    }
    if (all || strcmp(part, "small") == 0) {
        other_music(seeds);
    }
    if (all || strcmp(part, "courses") == 0) {
        free_courses(seeds, only);
    }
    if (all || strcmp(part, "others") == 0) {
        free_others(seeds);
    }
    if (all || strcmp(part, "random") == 0) {
        free_random(seeds);
    }
    return 0;
}
