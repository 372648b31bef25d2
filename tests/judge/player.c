#include "player.h"

#include <math.h>
#include <stdlib.h>

/* splitmix64, public domain algorithm by Sebastiano Vigna. */
uint64_t random_next(uint64_t *state) {
    uint64_t z = (*state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

double random_unit(uint64_t *state) {
    return (double)(random_next(state) >> 11) * 0x1.0p-53;
}

double random_normal(uint64_t *state) {
    const double u = 1.0 - random_unit(state);
    const double v = random_unit(state);
    return sqrt(-2.0 * log(u)) * cos(6.283185307179586 * v);
}

struct player player_default(uint64_t seed) {
    return (struct player){.seed = seed,
                           .scatter_ms = 8.0,
                           .wander_ms = 6.0,
                           .delay_ms = -10.0,
                           .skip_bar = -1,
                           .repeat_bar = -1,
                           .hand_lost_bar = -1};
}

static uint16_t velocity_of(const struct eh_stroke *stroke, uint64_t *state) {
    double v = stroke->accent ? 95.0 : 50.0;
    if (stroke->kind == EH_KIND_GRACE) {
        v = 28.0;
    }
    v *= pow(10.0, random_normal(state) * 1.2 / 20.0);
    v = fmin(fmax(v, 5.0), 127.0);
    return (uint16_t)(lround(v) * EH_VELOCITY_UNIT);
}

struct stage {
    const struct player *player;
    const struct eh_plan *plan;
    struct played *notes;
    size_t count;
    uint64_t state;
    double wander_ms;
    int64_t wander_at_ns;
    double figure_ms;
    bool left_out, in_figure;
    bool *played; /* by due: not the first time */
};

static void note(struct stage *s, int64_t at_ns, uint16_t velocity, int32_t due, int32_t music) {
    s->notes[s->count++] =
        (struct played){.hit = {.at_ns = at_ns, .velocity = velocity, .note = 38, .channel = 9},
                        .due = due,
                        .music = music};
}

/* Where a due time lands on the player's own clock. */
static int64_t drifted(const struct stage *s, int64_t at_ns) {
    const double span = (double)(s->plan->end_ns - s->plan->start_ns);
    const double u = (double)(at_ns - s->plan->start_ns) / span;
    return at_ns - (int64_t)(0.5 * s->player->drift * u * u * span);
}

static void wander(struct stage *s, int64_t at_ns) {
    const double dt = (double)(at_ns - s->wander_at_ns) / 1e9;
    const double keep = exp(-fmax(dt, 0.0) / 2.0);
    s->wander_ms = keep * s->wander_ms +
                   sqrt(1.0 - keep * keep) * s->player->wander_ms * random_normal(&s->state);
    s->wander_at_ns = at_ns;
}

/* A main stroke and its grace notes come early or late, or are left out, together. Nobody's strokes
 * overtake each other: fast strokes scatter less. */
static void begin_figure(struct stage *s, uint32_t main, int64_t moved_ns) {
    const struct eh_due *d = &s->plan->due[main];
    wander(s, d->at_ns + moved_ns);
    s->left_out = random_unit(&s->state) < s->player->missed;
    s->figure_ms =
        fmin(s->player->scatter_ms, 0.19e-6 * (double)d->spacing_ns) * random_normal(&s->state);
}

static void play_stroke(struct stage *s, size_t due, int64_t moved_ns) {
    const struct player *p = s->player;
    const struct eh_due *d = &s->plan->due[due];
    const struct eh_stroke *stroke = eh_plan_stroke(s->plan, due);
    if (d->main != due && !s->in_figure) {
        begin_figure(s, d->main, moved_ns);
    } else if (d->main == due && !s->in_figure) {
        begin_figure(s, (uint32_t)due, moved_ns);
    }
    s->in_figure = d->main != due;
    if (s->left_out) {
        return;
    }
    int64_t at_ns = drifted(s, d->at_ns + moved_ns);
    double ms = p->delay_ms + s->wander_ms + s->figure_ms;
    if (stroke->kind == EH_KIND_GRACE) {
        ms += 4.0 * random_normal(&s->state);
        if (p->wide_ms > 0.0 && eh_plan_stroke(s->plan, d->main)->hand == EH_HAND_RIGHT) {
            const double usual_ms = (double)(s->plan->due[d->main].at_ns - d->at_ns) / 1e6;
            ms += usual_ms - p->wide_ms * (double)(d->main - due);
        }
    }
    if (stroke->kind == EH_KIND_SECOND) {
        ms += p->swing_seconds * (double)d->spacing_ns / 1e6;
    }
    at_ns += (int64_t)(ms * 1e6);
    const uint16_t velocity = velocity_of(stroke, &s->state);
    note(s, at_ns, velocity, s->played[due] ? PLAYED_EXTRA : (int32_t)due, (int32_t)due);
    s->played[due] = true;
    if (random_unit(&s->state) < p->echoed) {
        note(s, at_ns + (int64_t)(2e6 + 7e6 * random_unit(&s->state)),
             (uint16_t)(velocity / 2 > EH_VELOCITY_UNIT ? velocity / 2 : EH_VELOCITY_UNIT),
             PLAYED_ECHO, PLAYED_ECHO);
    }
    if (random_unit(&s->state) < p->extra) {
        const double gap = (double)d->spacing_ns * (0.3 + 0.4 * random_unit(&s->state));
        note(s, at_ns + (int64_t)gap, velocity_of(stroke, &s->state), PLAYED_EXTRA, PLAYED_EXTRA);
    }
}

static void play_bar(struct stage *s, size_t bar, int64_t moved_ns, double share) {
    const struct eh_plan_bar *b = &s->plan->bars[bar];
    const int64_t until_ns = b->at_ns + (int64_t)((double)(b->end_ns - b->at_ns) * share);
    for (size_t i = b->first_due; i < b->first_due + b->due_count; i++) {
        const bool lost = s->player->hand_lost_bar == (int)bar &&
                          eh_plan_stroke(s->plan, i)->hand == EH_HAND_LEFT;
        if ((int)i >= s->player->late_start && !lost &&
            s->plan->due[s->plan->due[i].main].at_ns < until_ns - EH_NS_PER_MS) {
            play_stroke(s, i, moved_ns);
        }
    }
}

/* A bar of something else: strokes at random, neither the written ones nor evenly spaced. */
static void play_other(struct stage *s, int64_t at_ns, int64_t length_ns) {
    const int64_t end_ns = at_ns + length_ns - 60 * EH_NS_PER_MS;
    for (int64_t t = at_ns; t < end_ns;) {
        note(s, t, (uint16_t)(60 * EH_VELOCITY_UNIT), PLAYED_EXTRA, PLAYED_EXTRA);
        t += (int64_t)((90.0 + 260.0 * random_unit(&s->state)) * 1e6);
    }
}

static void add_step(struct player *p, int bar) {
    p->way[p->way_count++] = (struct way_step){bar, 1.0};
}

/* The way by stop, skip and repeat. */
static void lay_way(struct player *p, const struct eh_plan *plan) {
    for (int bar = 0; bar < (int)plan->bar_count && p->way_count < WAY_MOST - 1; bar++) {
        const bool stopped = bar >= p->stop_bar && bar < p->stop_bar + p->stop_bars;
        if (bar == p->skip_bar) {
            continue;
        }
        add_step(p, stopped ? WAY_SILENT : bar);
        if (bar == p->repeat_bar) {
            add_step(p, bar);
        }
    }
}

static void walk(struct stage *s) {
    const struct eh_plan *plan = s->plan;
    int64_t at_ns = plan->start_ns;
    int64_t length_ns = 0;
    for (int i = 0; i < s->player->way_count; i++) {
        const struct way_step step = s->player->way[i];
        if (step.bar >= 0) {
            const struct eh_plan_bar *b = &plan->bars[step.bar];
            play_bar(s, (size_t)step.bar, at_ns - b->at_ns, step.share);
            length_ns = b->end_ns - b->at_ns;
            at_ns += (int64_t)((double)length_ns * step.share);
            continue;
        }
        if (step.bar == WAY_OTHER) {
            play_other(s, at_ns, length_ns);
        }
        at_ns += length_ns;
    }
}

static int by_time(const void *a, const void *b) {
    const int64_t x = ((const struct played *)a)->hit.at_ns;
    const int64_t y = ((const struct played *)b)->hit.at_ns;
    return (x > y) - (x < y);
}

void player_play(const struct player *player, const struct eh_plan *plan, struct performance *out) {
    struct player laid = *player;
    if (laid.way_count == 0) {
        lay_way(&laid, plan);
    }
    struct stage s = {.player = &laid, .plan = plan, .state = player->seed};
    s.notes = calloc(plan->due_count * 6 * 3 + 1024, sizeof *s.notes);
    s.played = calloc(plan->due_count, sizeof *s.played);
    walk(&s);
    qsort(s.notes, s.count, sizeof *s.notes, by_time);
    out->hits = calloc(s.count + 1, sizeof *out->hits);
    out->truth = calloc(s.count + 1, sizeof *out->truth);
    out->music = calloc(s.count + 1, sizeof *out->music);
    out->count = s.count;
    for (size_t i = 0; i < s.count; i++) {
        out->hits[i] = s.notes[i].hit;
        out->truth[i] = s.notes[i].due;
        out->music[i] = s.notes[i].music;
    }
    free(s.played);
    free(s.notes);
}

void performance_free(struct performance *performance) {
    free(performance->hits);
    free(performance->truth);
    free(performance->music);
    *performance = (struct performance){0};
}

double performance_f(const struct performance *performance, const struct eh_plan *plan,
                     const struct eh_match *matches) {
    size_t right = 0;
    size_t found = 0;
    size_t real = 0;
    for (size_t i = 0; i < plan->due_count; i++) {
        if (matches[i].hit != EH_NO_HIT) {
            found++;
            right += performance->truth[matches[i].hit] == (int32_t)i;
        }
    }
    for (size_t i = 0; i < performance->count; i++) {
        real += performance->truth[i] >= 0;
    }
    return found + real == 0 ? 1.0 : 2.0 * (double)right / (double)(found + real);
}

static bool same_stroke(const struct eh_plan *plan, size_t a, size_t b) {
    const struct eh_stroke *x = eh_plan_stroke(plan, a);
    const struct eh_stroke *y = eh_plan_stroke(plan, b);
    return x->in_bar == y->in_bar && x->hand == y->hand && x->kind == y->kind &&
           x->accent == y->accent;
}

/* Whether two dues stand at the same place of bars that are the same. */
static bool same_music(const struct eh_plan *plan, size_t a, size_t b) {
    const struct eh_plan_bar *x = &plan->bars[plan->due[a].bar];
    const struct eh_plan_bar *y = &plan->bars[plan->due[b].bar];
    if (a - x->first_due != b - y->first_due || x->due_count != y->due_count) {
        return a == b;
    }
    for (size_t i = 0; i < x->due_count; i++) {
        if (!same_stroke(plan, x->first_due + i, y->first_due + i)) {
            return false;
        }
    }
    return true;
}

double performance_f_music(const struct performance *performance, const struct eh_plan *plan,
                           const struct eh_match *matches) {
    size_t right = 0;
    size_t found = 0;
    size_t real = 0;
    for (size_t i = 0; i < plan->due_count; i++) {
        if (matches[i].hit != EH_NO_HIT) {
            found++;
            const int32_t music = performance->music[matches[i].hit];
            right += music >= 0 && same_music(plan, (size_t)music, i);
        }
    }
    for (size_t i = 0; i < performance->count; i++) {
        real += performance->truth[i] >= 0;
    }
    return found + real == 0 ? 1.0 : 2.0 * (double)right / (double)(found + real);
}
