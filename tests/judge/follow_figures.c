/* Prints how well the follower finds strokes for many made-up players: not a test, a measurement.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/judgement.h"
#include "exercises.h"
#include "player.h"
#include "start.h"

struct figure {
    double sum, music, least;
    int runs, below, strayed;
};

enum course {
    STRAIGHT,
    STOP,
    SKIP,
    REPEAT,
    LATE_START,
    STOP_AND_GO_ON,   /* silence of whole bars, then on from where it stopped */
    STOP_AND_GO_BACK, /* breaks off in a bar and takes it again from its beginning */
    PICKS_UP_ANYWHERE,
    HAND_LOST,
    BAR_ADDED,
    COURSES
};

static void go(struct player *p, int from, int to) {
    for (int bar = from; bar < to && p->way_count < WAY_MOST; bar++) {
        p->way[p->way_count++] = (struct way_step){bar, 1.0};
    }
}

static void wait(struct player *p, int bars, int what) {
    for (int i = 0; i < bars && p->way_count < WAY_MOST; i++) {
        p->way[p->way_count++] = (struct way_step){what, 1.0};
    }
}

/* Lays the way of a course; where it happens changes with the seed. */
static void lay_course(struct player *p, const struct eh_plan *plan, enum course course) {
    const int bars = (int)plan->bar_count;
    const int at = 2 + (int)(p->seed % (uint64_t)(bars - 4));
    go(p, 0, at);
    switch (course) {
    case STOP:
        wait(p, 2, WAY_SILENT);
        go(p, at + 2, bars);
        break;
    case SKIP:
        go(p, at + 1, bars);
        break;
    case REPEAT:
        go(p, at - 1, bars);
        break;
    case STOP_AND_GO_ON:
        wait(p, 1 + (int)(p->seed % 2), WAY_SILENT);
        go(p, at, bars);
        break;
    case STOP_AND_GO_BACK:
        p->way[p->way_count - 1].share = 0.5;
        go(p, at - 1, bars);
        break;
    case PICKS_UP_ANYWHERE:
        wait(p, 1, WAY_SILENT);
        go(p, (int)(p->seed * 7 % (uint64_t)(bars - 2)), bars);
        break;
    case HAND_LOST:
        p->hand_lost_bar = at;
        go(p, at, bars);
        break;
    case BAR_ADDED:
        wait(p, 1, WAY_OTHER);
        go(p, at, bars);
        break;
    default:
        go(p, at, bars);
        break;
    }
}

struct result {
    double f, music;
    bool strayed; /* a skip or a repeat was told */
};

static struct result f_of(const struct eh_plan *plan, const struct player *player) {
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
    const double music = performance_f_music(&p, plan, matches);
    if (getenv("SHOW") != NULL && music < atof(getenv("SHOW"))) {
        printf("f %.4f same music %.4f seed %llu, way", f, music, (unsigned long long)player->seed);
        for (int i = 0; i < player->way_count; i++) {
            printf(" %d", player->way[i].bar + (player->way[i].bar >= 0));
        }
        printf("\n");
        for (size_t i = 0; i < plan->due_count; i++) {
            size_t h = 0;
            while (h < p.count && p.truth[h] != (int32_t)i) {
                h++;
            }
            const int truth = h < p.count ? (int)h : -1;
            if (truth != matches[i].hit && getenv("STROKES") != NULL) {
                printf("  due %zu at %.1f: truth %d (%.1f) found %d (%.1f)\n", i,
                       (double)plan->due[i].at_ns / 1e6, truth,
                       truth >= 0 ? (double)p.hits[truth].at_ns / 1e6 : NAN, matches[i].hit,
                       matches[i].hit >= 0 ? (double)p.hits[matches[i].hit].at_ns / 1e6 : NAN);
            }
        }
        for (size_t i = 0; i < n; i++) {
            printf("  course %s bar %d at %.1f\n", eh_course_text(c[i].kind),
                   plan->bars[plan->due[c[i].due].bar].written, (double)c[i].at_ns / 1e6);
        }
    }
    bool strayed = false;
    for (size_t i = 0; i < n; i++) {
        strayed = strayed || c[i].kind == EH_COURSE_SKIP || c[i].kind == EH_COURSE_REPEAT;
    }
    free(c);
    free(matches);
    free(fates);
    performance_free(&p);
    return (struct result){f, music, strayed};
}

static void print(const char *name, const struct figure *f) {
    printf("%-32s runs %5d  F %.5f  same music %.5f  least %.4f  below 0.99: %d  strayed %d\n",
           name, f->runs, f->sum / f->runs, f->music / f->runs, f->least, f->below, f->strayed);
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
                 {"drift +8 %", 0, 0, 0, 0.08, -10, 8, 0, STRAIGHT},
                 {"drift -8 %", 0, 0, 0, -0.08, -10, 8, 0, STRAIGHT},
                 {"stop of two bars", 0.01, 0.01, 0, 0, -10, 8, 0, STOP},
                 {"bar skipped", 0.01, 0.01, 0, 0, -10, 8, 0, SKIP},
                 {"bar repeated", 0.01, 0.01, 0, 0, -10, 8, 0, REPEAT},
                 {"late start", 0.01, 0.01, 0, 0, -10, 8, 0, LATE_START},
                 {"stop, goes on where it was", 0.01, 0.01, 0, 0, -10, 8, 0, STOP_AND_GO_ON},
                 {"breaks off, takes the bar again", 0.01, 0.01, 0, 0, -10, 8, 0, STOP_AND_GO_BACK},
                 {"stop, picks up at any bar", 0.01, 0.01, 0, 0, -10, 8, 0, PICKS_UP_ANYWHERE},
                 {"left hand lost for a bar", 0.01, 0.01, 0, 0, -10, 8, 0, HAND_LOST},
                 {"a bar of something else added", 0.01, 0.01, 0, 0, -10, 8, 0, BAR_ADDED}};
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
                    player.late_start = cases[c].what == LATE_START ? 7 : 0;
                    if (cases[c].what != STRAIGHT) {
                        lay_course(&player, &plan, (enum course)cases[c].what);
                    }
                    const struct result r = f_of(&plan, &player);
                    figure.sum += r.f;
                    figure.music += r.music;
                    figure.strayed += r.strayed;
                    figure.runs++;
                    figure.below += r.music < 0.99;
                    figure.least = fmin(figure.least, r.music);
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
            all.music += figure.music;
            all.runs += figure.runs;
            all.below += figure.below;
            all.strayed += figure.strayed;
            all.least = fmin(all.least, figure.least);
        }
        if (all.runs > 0) {
            print(cases[c].name, &all);
        }
    }
    return 0;
}
