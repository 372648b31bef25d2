/* Prints how well the tempo is found without a click: not a test, a measurement. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/free_tempo.h"
#include "evenhand/judgement.h"
#include "evenhand/settings.h"
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

/* ---- What the judge says with the true beat for a click, and without ---- */

struct verdicts {
    int runs, refused, same_runs, findings, differ;
    int told[4]; /* tempo: steady, rushing, dragging, unclear */
    int by_aspect[EH_ASPECT_COUNT];
};

static const struct eh_finding *finding(const struct eh_judgement *j,
                                        const struct eh_finding *like) {
    for (size_t i = 0; i < j->finding_count; i++) {
        if (j->findings[i].aspect == like->aspect && j->findings[i].side == like->side) {
            return &j->findings[i];
        }
    }
    return NULL;
}

static void compare(const struct eh_judgement *free_one, const struct eh_judgement *click,
                    struct verdicts *v, const char *name) {
    int differ = 0;
    for (size_t i = 0; i < click->finding_count; i++) {
        const struct eh_finding *a = &click->findings[i];
        const struct eh_finding *b = finding(free_one, a);
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
    struct eh_plan plan = plan_at(e, 120.0, 0.0, 1);
    struct performance p;
    struct eh_tempo_map truth = {0};
    free_player_play(player, &plan, &p, &truth);
    const struct eh_take take = {
        .hits = p.hits, .count = p.count, .click = truth, .resolution_ns = 1};
    struct eh_pad pad;
    struct eh_style style;
    eh_pad_init_default(&pad);
    if (eh_style_shipped(&style, eh_exercise_style(e), NULL) != EH_OK) {
        abort();
    }
    const struct eh_judge_request to_click = {0};
    const struct eh_judge_request to_none = {.no_click = true, .count_off = player->taps};
    struct eh_judgement *a = NULL;
    struct eh_judgement *b = NULL;
    v->runs++;
    if (eh_judge(&a, e, &take, &pad, &style, &to_click, NULL) != EH_OK) {
        abort();
    }
    if (eh_judge(&b, e, &take, &pad, &style, &to_none, NULL) != EH_OK) {
        v->refused++;
    } else {
        compare(b, a, v, name);
    }
    eh_judgement_free(a);
    eh_judgement_free(b);
    eh_tempo_map_deinit(&truth);
    performance_free(&p);
    eh_plan_deinit(&plan);
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
    static const double tempi[] = {50, 80, 120, 160, 180};
    for (size_t c = 0; c < sizeof ways / sizeof ways[0]; c++) {
        struct verdicts v = {0};
        if (only != NULL && strstr(ways[c].name, only) == NULL) {
            continue;
        }
        for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
            struct eh_exercise *e = read_exercise(shipped_exercises[x]);
            for (int k = 0; k < seeds * 5; k++) {
                struct free_player p =
                    free_player_default((uint64_t)(k * 7919 + (int)x), tempi[k % 5]);
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

/* ---- Other music: short, sparse, ornamented, in other metres ---- */

static const char *const small[] = {
    "metre: 4/4\n| 16:RLRL RLRL RLRL RLRL | 4:R - 2:- |",
    "metre: 4/4\n| 4:RLRL RLRL |: 4:R L R L :|x4",
    "metre: 4/4\n|: 16:RLRL RLRL RLRL RLRL :|x8",
    "metre: 4/4\n|: 4:lR rL lR rL | 8:lR L rL R 4:lR rL :|x4",
    "metre: 4/4\n|: 4:llR L rrL R | 8:R L llR L 4:rrL R :|x4",
    "metre: 4/4\n|: 8:Rz Lz Rz Lz 4:R L :|x6",
    "metre: 6/8\n|: 8:RLR LRL | 16:RLRLRL 8:RLR | 4:R 8:L 4:R 8:L :|x4",
    "metre: 3/4\n|: 4:R 8:LR LR | 4:L - R | 8:RLRLRL :|x4",
    "metre: 4/4\n| 2:R L | 4:R L 2:R | 1:L | 4:R - L - | 2:R L | 1:R |",
    "metre: 4/4\n|: 16:R/L/R/L/ 4:R> 16:L/R/L/R/ 4:L> :|x4",
    "metre: 2/4\n| 16:R/L/ 8:R> 16:L/R/ 8:L> | 4:R - |"};

static void smalls(int seeds) {
    static const double tempi[] = {50, 80, 120, 160, 180};
    for (size_t x = 0; x < sizeof small / sizeof small[0]; x++) {
        struct sums sums = {.least = 1.0, .share = 1.0};
        struct eh_exercise *e = parse_exercise(small[x]);
        if (e == NULL) {
            continue;
        }
        for (int k = 0; k < seeds * 10; k++) {
            struct free_player p = free_player_default((uint64_t)(k * 131 + 7), tempi[k % 5]);
            p.course = k % 10 < 5 ? FREE_STEADY : FREE_DRIFT;
            p.amount = k % 2 == 0 ? 0.06 : -0.06;
            p.missed = p.extra = k % 3 == 0 ? 0.03 : 0.0;
            one(e, small[x] + 11, &p, 1, &sums);
        }
        const int told = sums.runs > sums.refused ? sums.runs - sums.refused : 1;
        printf(
            "%-60.60s runs %d refused %d F %.4f least %.4f tempo off %.2f %% (worst %.2f) >10 %%: "
            "%d\n",
            small[x] + 11, sums.runs, sums.refused, sums.f / told, sums.least,
            sums.tempo_error / told, sums.worst_error, sums.octave);
        eh_exercise_free(e);
    }
}

/* ---- Stops, skips and repeats, with the click and without ---- */

struct course_sums {
    int runs, refused;
    double with, without, least;
};

static double f_on(const struct eh_tempo_map *map, eh_ticks start, const struct performance *p,
                   const struct eh_exercise *e) {
    const struct eh_take take = {.hits = p->hits, .count = p->count};
    const struct eh_plan_request request = {0};
    struct eh_plan plan;
    struct eh_pad pad;
    struct eh_course *list = NULL;
    size_t found = 0;
    eh_pad_init_default(&pad);
    double cost = 0.0;
    if (eh_plan_init(&plan, e, &request, map, start, NULL) != EH_OK) {
        abort();
    }
    struct eh_match *matches = calloc(plan.due_count, sizeof *matches);
    struct eh_fate *fates = calloc(p->count + 1, sizeof *fates);
    if (eh_follow_take(&plan, &take, &pad, matches, fates, &list, &found, &cost) != EH_OK) {
        abort();
    }
    const double f = performance_f_music(p, &plan, matches);
    if (getenv("HOW") != NULL) {
        size_t missed = 0;
        size_t extra = 0;
        for (size_t i = 0; i < plan.due_count; i++) {
            missed += matches[i].hit == EH_NO_HIT;
        }
        for (size_t i = 0; i < p->count; i++) {
            extra += fates[i].kind == EH_FATE_EXTRA;
        }
        printf("    missed %zu extra %zu cost %.1f F %.4f\n", missed, extra, cost, f);
        for (size_t i = 0; i < found; i++) {
            printf("    course %d bar %d at %.3f s\n", list[i].kind,
                   plan.bars[plan.due[list[i].due].bar].written, (double)list[i].at_ns / 1e9);
        }
    }
    free(list);
    free(matches);
    free(fates);
    eh_plan_deinit(&plan);
    return f;
}

static void course(const struct eh_exercise *e, const char *name, const struct player *player,
                   double bpm, struct course_sums *sums) {
    struct eh_plan plan = plan_at(e, bpm, 2000.0, 1);
    struct performance p;
    player_play(player, &plan, &p);
    const struct eh_take take = {.hits = p.hits, .count = p.count};
    const struct eh_free_request request = {0};
    struct eh_pad pad;
    struct eh_tempo_map click;
    struct eh_free_tempo tempo;
    eh_pad_init_default(&pad);
    if (eh_tempo_map_init(&click, 0, plan.start_ns, eh_ns_per_quarter(bpm)) != EH_OK) {
        abort();
    }
    sums->runs++;
    const double with = f_on(&click, 0, &p, e);
    sums->with += with;
    if (eh_free_tempo_find(&tempo, e, &take, &pad, &request, NULL) != EH_OK) {
        sums->refused++;
        sums->least = 0.0;
        if (getenv("SHOW") != NULL) {
            printf("  refused %s at %.0f seed %llu (with %.4f)\n", name, bpm,
                   (unsigned long long)player->seed, with);
        }
    } else {
        const double f = f_on(&tempo.map, 0, &p, e);
        sums->without += f;
        sums->least = fmin(sums->least, f);
        if (getenv("SHOW") != NULL && f < with - 0.02) {
            printf("  %s at %.0f seed %llu: with %.4f without %.4f tempo %.2f halts %zu\n", name,
                   bpm, (unsigned long long)player->seed, with, f, tempo.bpm, tempo.halt_count);
        }
        eh_free_tempo_deinit(&tempo);
    }
    eh_tempo_map_deinit(&click);
    performance_free(&p);
    eh_plan_deinit(&plan);
}

static void courses(int seeds, const char *only) {
    static const char *const names[] = {"plain", "late start", "stop of 2 bars", "skip a bar",
                                        "repeat a bar"};
    for (int what = 0; what < 5; what++) {
        struct course_sums sums = {.least = 1.0};
        if (only != NULL && strstr(names[what], only) == NULL) {
            continue;
        }
        for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
            struct eh_exercise *e = read_exercise(shipped_exercises[x]);
            for (int k = 0; k < seeds; k++) {
                struct player player = player_default((uint64_t)(k * 31 + (int)x));
                const int bar = 2 + k % 6;
                player.late_start = what == 1 ? 9 : 0;
                player.stop_bar = what == 2 ? bar : 0;
                player.stop_bars = what == 2 ? 2 : 0;
                player.skip_bar = what == 3 ? bar : -1;
                player.repeat_bar = what == 4 ? bar : -1;
                player.hand_lost_bar = -1;
                course(e, shipped_exercises[x], &player, 60.0 + 20.0 * (k % 5), &sums);
            }
            eh_exercise_free(e);
        }
        const int told = sums.runs > sums.refused ? sums.runs - sums.refused : 1;
        printf("%-20s runs %3d refused %d  F with the click %.4f, without %.4f, least %.4f\n",
               names[what], sums.runs, sums.refused, sums.with / sums.runs, sums.without / told,
               sums.least);
    }
}

int main(int argc, char **argv) {
    static const double tempi[] = {50, 80, 120, 160, 180};
    const int seeds = argc > 1 ? atoi(argv[1]) : 2;
    const char *only = argc > 2 ? argv[2] : NULL;
    const char *exercise_only = argc > 3 ? argv[3] : "";
    if (only != NULL && strcmp(only, "verdicts") == 0) {
        verdicts(seeds, argc > 3 ? argv[3] : NULL);
        return 0;
    }
    if (only != NULL && strcmp(only, "small") == 0) {
        smalls(seeds);
        return 0;
    }
    if (only != NULL && strcmp(only, "courses") == 0) {
        courses(seeds, argc > 3 ? argv[3] : NULL);
        return 0;
    }
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
