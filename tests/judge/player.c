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
                           .repeat_bar = -1};
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
};

static void note(struct stage *s, int64_t at_ns, uint16_t velocity, int32_t due) {
    s->notes[s->count++] = (struct played){
        .hit = {.at_ns = at_ns, .velocity = velocity, .note = 38, .channel = 9}, .due = due};
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

static void play_stroke(struct stage *s, size_t due, int64_t moved_ns, bool again) {
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
    }
    if (stroke->kind == EH_KIND_SECOND) {
        ms += p->swing_seconds * (double)d->spacing_ns / 1e6;
    }
    at_ns += (int64_t)(ms * 1e6);
    const uint16_t velocity = velocity_of(stroke, &s->state);
    note(s, at_ns, velocity, again ? PLAYED_EXTRA : (int32_t)due);
    if (random_unit(&s->state) < p->echoed) {
        note(s, at_ns + (int64_t)(2e6 + 7e6 * random_unit(&s->state)),
             (uint16_t)(velocity / 2 > EH_VELOCITY_UNIT ? velocity / 2 : EH_VELOCITY_UNIT),
             PLAYED_ECHO);
    }
    if (random_unit(&s->state) < p->extra) {
        const double gap = (double)d->spacing_ns * (0.3 + 0.4 * random_unit(&s->state));
        note(s, at_ns + (int64_t)gap, velocity_of(stroke, &s->state), PLAYED_EXTRA);
    }
}

static void play_bar(struct stage *s, size_t bar, int64_t moved_ns, bool again) {
    const struct eh_plan_bar *b = &s->plan->bars[bar];
    for (size_t i = b->first_due; i < b->first_due + b->due_count; i++) {
        if ((int)i >= s->player->late_start) {
            play_stroke(s, i, moved_ns, again);
        }
    }
}

static int by_time(const void *a, const void *b) {
    const int64_t x = ((const struct played *)a)->hit.at_ns;
    const int64_t y = ((const struct played *)b)->hit.at_ns;
    return (x > y) - (x < y);
}

void player_play(const struct player *player, const struct eh_plan *plan, struct performance *out) {
    struct stage s = {.player = player, .plan = plan, .state = player->seed};
    s.notes = calloc(plan->due_count * 6 + 16, sizeof *s.notes);
    int64_t moved_ns = 0;
    for (size_t bar = 0; bar < plan->bar_count; bar++) {
        const int64_t length = plan->bars[bar].end_ns - plan->bars[bar].at_ns;
        if (player->skip_bar == (int)bar) {
            moved_ns -= length;
            continue;
        }
        if (player->stop_bars > 0 && (int)bar >= player->stop_bar &&
            (int)bar < player->stop_bar + player->stop_bars) {
            continue;
        }
        play_bar(&s, bar, moved_ns, false);
        if (player->repeat_bar == (int)bar) {
            moved_ns += length;
            play_bar(&s, bar, moved_ns, true);
        }
    }
    qsort(s.notes, s.count, sizeof *s.notes, by_time);
    out->hits = calloc(s.count + 1, sizeof *out->hits);
    out->truth = calloc(s.count + 1, sizeof *out->truth);
    out->count = s.count;
    for (size_t i = 0; i < s.count; i++) {
        out->hits[i] = s.notes[i].hit;
        out->truth[i] = s.notes[i].due;
    }
    free(s.notes);
}

void performance_free(struct performance *performance) {
    free(performance->hits);
    free(performance->truth);
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
