#include "free_player.h"

#include <math.h>
#include <stdlib.h>

enum { TAP = -3, BOUNCE = -4 };

struct free_player free_player_default(uint64_t seed, double bpm) {
    return (struct free_player){.seed = seed,
                                .bpm = bpm,
                                .course = FREE_STEADY,
                                .wave_bars = 8.0,
                                .scatter_ms = 8.0,
                                .wander_ms = 6.0,
                                .begin_ms = 1500.0,
                                .halt_bar = -1};
}

/* How much faster than at the beginning, at a place of the run. */
static double factor(const struct free_player *p, double quarter, double length) {
    const double part = quarter / length;
    const double turns = quarter / (4.0 * p->wave_bars) + p->wave_phase;
    switch (p->course) {
    case FREE_DRIFT:
        return 1.0 + p->amount * part;
    case FREE_STEP:
        return part < 0.5 ? 1.0 : 1.0 + p->amount;
    case FREE_RUBATO:
        return 1.0 + p->amount * sin(6.283185307179586 * turns);
    default:
        return 1.0;
    }
}

/* The true beat: a segment every 16th. */
static void lay_map(const struct free_player *p, const struct eh_plan *plan,
                    struct eh_tempo_map *map) {
    const eh_ticks piece = EH_TICKS_PER_QUARTER / 4;
    const double length = (double)plan->length / (double)EH_TICKS_PER_QUARTER;
    double ms = p->begin_ms + p->taps * 60000.0 / p->bpm;
    for (eh_ticks at = 0; at < plan->length; at += piece) {
        const double quarter = (double)at / (double)EH_TICKS_PER_QUARTER;
        const double each = 60000.0 / p->bpm / factor(p, quarter, length);
        const bool halted = p->halt_bar > 0 && at + piece == plan->bars[p->halt_bar].at;
        const double stretched = each + (halted ? 4.0 * p->halt_ms : 0.0);
        const int64_t ns = llround(ms * 1e6);
        const enum eh_status status =
            at == 0 ? eh_tempo_map_init(map, 0, ns, llround(stretched * 1e6))
                    : eh_tempo_map_append(map, at, ns, llround(stretched * 1e6));
        if (status != EH_OK) {
            abort();
        }
        ms += stretched / 4.0;
    }
}

struct stage {
    const struct free_player *player;
    const struct eh_plan *plan;
    const struct eh_tempo_map *map;
    struct played *notes;
    size_t count;
    uint64_t state;
    double wander_ms;
    double last_ms;
};

static void note(struct stage *s, double ms, double velocity, int32_t due) {
    const long whole = lround(fmin(fmax(velocity, 5.0), 126.0));
    s->notes[s->count++] = (struct played){.hit = {.at_ns = llround(ms * 1e6),
                                                   .velocity = (uint16_t)(whole * EH_VELOCITY_UNIT),
                                                   .note = 38,
                                                   .channel = 9},
                                           .due = due};
}

static double level(struct stage *s, const struct eh_stroke *stroke) {
    const double v = stroke->kind == EH_KIND_GRACE ? 28.0 : stroke->accent ? 100.0 : 45.0;
    return v * pow(10.0, random_normal(&s->state) * 1.5 / 20.0);
}

/* Presses of professionals: 3 notes and more, 47, 36, 33 ms apart, each a decibel or two softer
 * (medians on the Groove MIDI Dataset 1.0.0, CC BY 4.0). */
static void play_press(struct stage *s, double ms, double velocity) {
    static const double gaps_ms[] = {47.0, 36.0, 33.0, 30.0};
    const int bounces = 2 + (int)(3.0 * random_unit(&s->state));
    for (int i = 0; i < bounces; i++) {
        ms += gaps_ms[i] * (1.0 + 0.15 * random_normal(&s->state));
        velocity *= 0.87;
        note(s, ms, velocity, BOUNCE);
    }
}

static void play_stroke(struct stage *s, size_t i) {
    const struct free_player *p = s->player;
    const struct eh_due *due = &s->plan->due[i];
    const struct eh_stroke *stroke = eh_plan_stroke(s->plan, i);
    const double spacing_ms =
        (double)due->spacing_ns / 5e8 * (double)eh_tempo_map_ns_per_quarter(s->map, due->at) / 1e6;
    double ms = (double)eh_tempo_map_ns(s->map, due->at) / 1e6;
    const double keep = exp(-fmax(ms - s->last_ms, 0.0) / 2000.0);
    s->wander_ms =
        keep * s->wander_ms + sqrt(1.0 - keep * keep) * p->wander_ms * random_normal(&s->state);
    s->last_ms = ms;
    ms += s->wander_ms + fmin(p->scatter_ms, 0.19 * spacing_ms) * random_normal(&s->state);
    if (stroke->kind == EH_KIND_GRACE) {
        ms -= (double)(s->plan->due[due->main].at_ns - due->at_ns) / 1e6;
    }
    if (stroke->kind == EH_KIND_SECOND) {
        ms += p->second_late[stroke->hand == EH_HAND_RIGHT] * spacing_ms;
    }
    const double velocity = level(s, stroke);
    if (stroke->kind == EH_KIND_BUZZ) {
        play_press(s, ms, velocity);
    }
    if (random_unit(&s->state) >= p->missed) {
        note(s, ms, velocity, (int32_t)i);
        if (random_unit(&s->state) < p->echoed) {
            note(s, ms + 2.0 + 7.0 * random_unit(&s->state), velocity / 2.2, PLAYED_ECHO);
        }
    }
    if (random_unit(&s->state) < p->extra) {
        note(s, ms + spacing_ms * (0.3 + 0.4 * random_unit(&s->state)), level(s, stroke),
             PLAYED_EXTRA);
    }
}

static int by_time(const void *a, const void *b) {
    const int64_t x = ((const struct played *)a)->hit.at_ns;
    const int64_t y = ((const struct played *)b)->hit.at_ns;
    return (x > y) - (x < y);
}

void free_player_play(const struct free_player *player, const struct eh_plan *plan,
                      struct performance *out, struct eh_tempo_map *out_map) {
    lay_map(player, plan, out_map);
    struct stage s = {.player = player, .plan = plan, .map = out_map, .state = player->seed};
    s.notes = calloc(plan->due_count * 7 + 64, sizeof *s.notes);
    if (s.notes == NULL) {
        abort();
    }
    for (int tap = 0; tap < player->taps; tap++) {
        const double ms = player->begin_ms + tap * 60000.0 / player->bpm;
        note(&s, ms + 8.0 * random_normal(&s.state), 60.0, TAP);
    }
    for (size_t i = 0; i < plan->due_count; i++) {
        play_stroke(&s, i);
    }
    qsort(s.notes, s.count, sizeof *s.notes, by_time);
    *out = (struct performance){0};
    out->hits = calloc(s.count + 1, sizeof *out->hits);
    out->truth = calloc(s.count + 1, sizeof *out->truth);
    out->count = s.count;
    for (size_t i = 0; i < s.count; i++) {
        out->hits[i] = s.notes[i].hit;
        out->truth[i] = s.notes[i].due;
    }
    free(s.notes);
}
