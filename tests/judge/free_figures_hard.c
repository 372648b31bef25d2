/* The hard part of free_figures: other ways through the music, other music, no music. */
#include "free_figures.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exercises.h"
#include "free_run.h"
#include "start.h"

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
    eh_pad_init_default(&pad);
    double cost = 0.0;
    if (eh_plan_init(&plan, e, &request, map, start, NULL) != EH_OK) {
        abort();
    }
    struct eh_match *matches = calloc(plan.due_count, sizeof *matches);
    struct eh_fate *fates = calloc(p->count + 1, sizeof *fates);
    if (eh_follow_take(&plan, &take, &pad, matches, fates, NULL, NULL, &cost) != EH_OK) {
        abort();
    }
    const double f = performance_f_music(p, &plan, matches);
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

void free_courses(int seeds, const char *only) {
    static const char *const names[] = {"plain", "late start", "stop of 2 bars", "skip a bar",
                                        "repeat a bar"};
    for (int what = 0; what < 5; what++) {
        struct course_sums sums = {.least = 1.0};
        if (strstr(names[what], only) == NULL) {
            continue;
        }
        for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
            struct eh_exercise *e = read_exercise(shipped_exercises[x]);
            for (int k = 0; k < seeds; k++) {
                struct player player = player_default((uint64_t)k * 31 + x);
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

/* ---- Another exercise, and none ---- */

static bool ask(const char *asked, const struct eh_hit *hits, size_t count, const char *played) {
    struct eh_exercise *e = read_exercise(asked);
    const struct eh_take take = {.hits = (struct eh_hit *)hits, .count = count};
    const struct eh_free_request request = {0};
    struct eh_pad pad;
    struct eh_free_tempo tempo = {0};
    eh_pad_init_default(&pad);
    const bool judged = eh_free_tempo_find(&tempo, e, &take, &pad, &request, NULL) == EH_OK;
    if (judged && strcmp(asked, played) != 0) {
        printf("  %s as %s: judged, strokes %.2f hits %.2f at %.1f\n", played, asked,
               tempo.strokes_share, tempo.hits_share, tempo.bpm);
    }
    eh_free_tempo_deinit(&tempo);
    eh_exercise_free(e);
    return judged;
}

void free_others(int seeds) {
    int judged[2] = {0, 0};
    int asked[2] = {0, 0};
    for (size_t a = 0; shipped_exercises[a] != NULL; a++) {
        struct eh_exercise *played = read_exercise(shipped_exercises[a]);
        for (int seed = 0; seed < seeds; seed++) {
            const struct free_player player =
                free_player_default((uint64_t)seed, 60.0 + 30.0 * (seed % 4));
            struct free_run run;
            free_run_play(&run, played, &player);
            for (size_t b = 0; shipped_exercises[b] != NULL; b++) {
                asked[a == b]++;
                judged[a == b] +=
                    ask(shipped_exercises[b], run.p.hits, run.p.count, shipped_exercises[a]);
            }
            free_run_drop(&run);
        }
        eh_exercise_free(played);
    }
    printf("the exercise that was played: %d of %d judged; another one: %d of %d judged\n",
           judged[1], asked[1], judged[0], asked[0]);
}

/* Hits at all times alike, or at distances of 60 to 600 ms. */
void free_random(int seeds) {
    int judged = 0;
    int asked = 0;
    for (size_t x = 0; shipped_exercises[x] != NULL; x++) {
        for (int seed = 0; seed < seeds * 2; seed++) {
            struct eh_hit hits[300];
            uint64_t state = (uint64_t)seed;
            double ms = 0.0;
            for (size_t i = 0; i < 300; i++) {
                const double u = random_unit(&state);
                ms += seed % 2 == 0 ? -150.0 * log(1.0 - u) : 60.0 * pow(10.0, u);
                hits[i] = (struct eh_hit){llround(ms * 1e6), 60 * EH_VELOCITY_UNIT, 38, 9};
            }
            asked++;
            judged += ask(shipped_exercises[x], hits, 300, "random");
        }
    }
    printf("hits at random: %d of %d judged\n", judged, asked);
}
