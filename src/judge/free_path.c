/* Which hits are which strokes, and how fast, when nothing but the notes is known: a beam search
 * over paths, hit by hit. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "free_search.h"

enum {
    AHEAD = 8,      /* strokes that a path looks ahead */
    AHEAD_FIRST = 5 /* ... while its tempo is not known */
};
/* Paths this much dearer than the cheapest are given up. */
static const double wide = 17.0;
static const double missed_cost = 2.5;
static const double most_missed_cost = 10.0;
/* A jump to another beat, as in the follower; a halt is rarer than a stroke or two left out. */
static const double jump_cost = 11.0;
static const double jump_bar_cost = 1.0;
static const double jump_quarters = 32.0;
static const double first_quarters = 8.0;
/* People begin at the beginning: where bars are alike, one that is missing was skipped later. */
static const double late_cost = 3.0;
static const double late_quarters = 2.0;
static const double most_before_cost = 9.0;
/* A soft hit soon after a press is one of its bounces rather than the next press. */
static const double bounce_for_press_cost = 2.0;
static const double bounce_ms = 75.0;
static const double halt_cost = 9.0;
static const double halt_least_ms = 450.0;
/* Longer than the music by this factor, or it is no halt. */
static const double halt_factor = 1.35;
/* Paths of one stroke that differ less than this in tempo are one. */
static const double same_tempo = 0.02;
/* A reading that is dearer than the cheapest by more is not looked at again. */
static const double doubt = 7.0;
static const uint32_t no_hit = UINT32_MAX;

static double hit_ms(const struct free_search *s, size_t hit) {
    return (double)(s->hits[hit].at_ns - s->hits[0].at_ns) / 1e6;
}

static void offer(struct free_search *s, const struct free_path *path) {
    if (s->next_count < FREE_ROOM) {
        s->next[s->next_count++] = *path;
    }
}

static double cost_of_missed(uint32_t n) {
    return fmin(missed_cost * n, most_missed_cost);
}

/* ---- What a path can do with a hit ---- */

static void try_move(struct free_search *s, const struct free_path *path,
                     const struct free_move *move) {
    struct free_path go = *path;
    if (free_go(&go, s->notes, move)) {
        offer(s, &go);
    }
}

static double bounce_cost(const struct free_search *s, const struct free_path *path, uint32_t hit) {
    const struct eh_hit *hits = s->hits;
    const bool press = !path->before && s->notes->notes[path->note].buzz;
    const bool soft = hit > 0 && hits[hit].velocity < hits[hit - 1].velocity &&
                      hit_ms(s, hit) - hit_ms(s, hit - 1) < bounce_ms;
    return press && soft ? bounce_for_press_cost : 0.0;
}

static void go_on(struct free_search *s, const struct free_path *path, uint32_t hit) {
    const uint32_t first = path->before ? 0 : path->note + 1;
    const double bounce = bounce_cost(s, path, hit);
    const uint32_t ahead = path->v11 < 0.0 ? AHEAD_FIRST : AHEAD;
    const double ms = hit_ms(s, hit);
    for (uint32_t n = first; n < s->notes->count && n < first + ahead; n++) {
        const struct free_move move = {.note = n,
                                       .hit = hit,
                                       .ms = ms,
                                       .shift = path->shift,
                                       .cost = bounce + cost_of_missed(n - first)};
        try_move(s, path, &move);
    }
    /* After a long rest in the playing: on from a beat further on. */
    for (uint32_t n = first + ahead; path->v11 >= 0.0 && n < s->notes->count; n++) {
        const double beats = s->notes->notes[n].at + path->shift - path->at;
        const double early = path->ms + beats * path->quarter * 0.8;
        if (early > ms) {
            break;
        }
        const struct free_move move = {
            .note = n, .hit = hit, .ms = ms, .shift = path->shift, .cost = most_missed_cost};
        try_move(s, path, &move);
    }
}

static void halt(struct free_search *s, const struct free_path *path, uint32_t hit) {
    const uint32_t next = path->before ? 0 : path->note + 1;
    if (path->v11 < 0.0 || path->before || next >= s->notes->count) {
        return;
    }
    const double ms = hit_ms(s, hit);
    const double beats = s->notes->notes[next].at + path->shift - path->at;
    const double waited = ms - path->hit_ms;
    if (waited > halt_least_ms && waited > halt_factor * beats * path->quarter) {
        const struct free_move move = {.note = next,
                                       .hit = hit,
                                       .ms = ms,
                                       .shift = path->shift,
                                       .cost = halt_cost,
                                       .halt = true};
        try_move(s, path, &move);
    }
}

/* To another beat of the music, without losing the player's own. */
static void jump(struct free_search *s, const struct free_path *path, uint32_t hit) {
    if (path->v11 < 0.0 || path->before) {
        return;
    }
    const double ms = hit_ms(s, hit);
    const double now = path->at + (ms - path->ms) / path->quarter;
    for (uint32_t n = 0; n < s->notes->count; n++) {
        const struct free_note *note = &s->notes->notes[n];
        const double shift = note->beat * round((now - note->at) / note->beat);
        const double moved = fabs(shift - path->shift);
        if (!note->on_beat || moved < 0.5 * note->beat || moved > jump_quarters ||
            note->at + shift <= path->at) {
            continue;
        }
        const double bars = floor(moved / 4.0);
        const struct free_move move = {.note = n,
                                       .hit = hit,
                                       .ms = ms,
                                       .shift = shift,
                                       .cost = jump_cost + jump_bar_cost * bars};
        try_move(s, path, &move);
    }
}

/* ---- Beginning ---- */

static struct free_path new_path(void) {
    return (struct free_path){.v11 = -1.0, .node = FREE_NO_NODE, .hit = no_hit};
}

/* At any hit the music may begin, or be joined: anywhere in its first bars, else at a beat. */
static void begin(struct free_search *s, uint32_t hit) {
    for (uint32_t n = 0; n < s->notes->count; n++) {
        const struct free_note *note = &s->notes->notes[n];
        const double cost = cost_of_missed(n) + (note->at >= late_quarters ? late_cost : 0.0);
        if (!note->on_beat && note->at > first_quarters) {
            continue;
        }
        if (s->count > 0 && cost > s->paths[0].cost + wide) {
            break;
        }
        struct free_path path = new_path();
        path.cost = cost + fmin(FREE_OUTSIDE_COST * hit, most_before_cost);
        path.at = note->at;
        path.ms = path.hit_ms = hit_ms(s, hit);
        path.note = n;
        path.hit = hit;
        path.lag = (int64_t)n - (int64_t)hit;
        path.fresh = true;
        path.in =
            (struct free_heard){.bar = note->bar, .strokes = 1, .at = note->at, .ms = path.ms};
        offer(s, &path);
    }
}

void free_search_count_off(struct free_search *s, const struct free_lead *lead) {
    struct free_path path = new_path();
    const double quarter = lead->quarter_ms;
    path.before = true;
    path.at = -lead->beat;
    path.ms = path.hit_ms = lead->last_ms;
    path.quarter = quarter;
    path.v00 = 15.0 * 15.0;
    path.v11 = 0.04 * 0.04 * quarter * quarter;
    s->paths[s->count++] = path;
    s->counted = true;
}

/* ---- Keeping the best ---- */

/* A strict order; of equal ones the one that was offered first. */
static bool goes_before(const struct free_path *x, const struct free_path *y) {
    if (x->cost != y->cost) {
        return x->cost < y->cost;
    }
    if (x->note != y->note) {
        return x->note < y->note;
    }
    if (x->hit != y->hit) {
        return x->hit < y->hit;
    }
    return x->quarter != y->quarter ? x->quarter < y->quarter : x < y;
}

/* The paths that were offered as a heap, the best at its top: a few of many are wanted in order,
 * and nothing is allocated while a player is followed. */
static void sink(struct free_path **heap, size_t count, size_t i) {
    struct free_path *path = heap[i];
    for (size_t child = 2 * i + 1; child < count; child = 2 * i + 1) {
        if (child + 1 < count && goes_before(heap[child + 1], heap[child])) {
            child++;
        }
        if (!goes_before(heap[child], path)) {
            break;
        }
        heap[i] = heap[child];
        i = child;
    }
    heap[i] = path;
}

static void pile(struct free_search *s) {
    for (size_t i = 0; i < s->next_count; i++) {
        s->heap[i] = &s->next[i];
    }
    for (size_t i = s->next_count / 2; i > 0; i--) {
        sink(s->heap, s->next_count, i - 1);
    }
}

static const struct free_path *take_best(struct free_search *s) {
    const struct free_path *best = s->heap[0];
    s->heap[0] = s->heap[--s->next_count];
    sink(s->heap, s->next_count, 0);
    return best;
}

static bool alike(const struct free_path *a, const struct free_path *b) {
    return a->note == b->note && a->hit == b->hit && a->before == b->before &&
           a->shift == b->shift && (a->v11 < 0.0) == (b->v11 < 0.0) &&
           (a->v11 < 0.0 || fabs(a->quarter - b->quarter) < same_tempo * b->quarter);
}

static bool grow(struct free_search *s) {
    if (s->nodes != NULL && s->node_count < s->node_capacity) {
        return true;
    }
    const size_t capacity = s->node_capacity * 2 + 4096;
    struct free_node *nodes =
        capacity < UINT32_MAX ? realloc(s->nodes, capacity * sizeof *nodes) : NULL;
    if (nodes == NULL) {
        return false;
    }
    s->nodes = nodes;
    s->node_capacity = capacity;
    return true;
}

static bool keep(struct free_search *s, const struct free_path *path) {
    for (size_t i = 0; i < s->count; i++) {
        if (alike(&s->paths[i], path)) {
            return true;
        }
    }
    struct free_path *kept = &s->paths[s->count];
    *kept = *path;
    if (kept->fresh && s->traced) {
        if (!grow(s)) {
            return false;
        }
        s->nodes[s->node_count] =
            (struct free_node){path->node, path->note, path->hit, (float)path->shift, path->halted};
        kept->node = (uint32_t)s->node_count++;
    }
    s->count++;
    return true;
}

static bool prune(struct free_search *s) {
    pile(s);
    s->count = 0;
    const double most = s->next_count > 0 ? s->heap[0]->cost + wide : 0.0;
    while (s->next_count > 0 && s->count < FREE_BEAM) {
        const struct free_path *best = take_best(s);
        if (best->cost > most) {
            break;
        }
        if (!keep(s, best)) {
            return false;
        }
    }
    return true;
}

/* ---- The whole ---- */

static void take_ways(struct free_search *s, const struct free_path *path, uint32_t hit) {
    struct free_path left = *path;
    free_leave_over(&left, s->notes, hit_ms(s, hit), free_is_echo(s->pad, s->hits, hit));
    offer(s, &left);
    go_on(s, path, hit);
    halt(s, path, hit);
}

bool free_search_step(struct free_search *s, uint32_t hit) {
    s->next_count = 0;
    for (size_t i = 0; i < s->count; i++) {
        take_ways(s, &s->paths[i], hit);
    }
    if (s->count > 0) {
        jump(s, &s->paths[0], hit);
    }
    if (!s->counted) {
        begin(s, hit);
    }
    return prune(s);
}

static double end_cost(const struct free_search *s, const struct free_path *path) {
    return path->cost + cost_of_missed((uint32_t)s->notes->count - 1 - path->note);
}

/* The cheapest end whose reading is not told yet; NULL when it is too dear. */
static const struct free_path *next_end(const struct free_search *s, const int64_t *lags,
                                        size_t count, double most) {
    const struct free_path *best = NULL;
    for (size_t i = 0; i < s->count; i++) {
        const struct free_path *path = &s->paths[i];
        bool told = path->v11 < 0.0 || path->before;
        for (size_t k = 0; k < count; k++) {
            told = told || lags[k] == path->lag;
        }
        if (!told && end_cost(s, path) <= most) {
            best = path;
            most = end_cost(s, path);
        }
    }
    return best;
}

static enum eh_status give(const struct free_search *s, struct free_readings *out) {
    int64_t lags[FREE_READINGS] = {0};
    while (out->count < FREE_READINGS) {
        const double most = out->count == 0 ? INFINITY : out->cost[0] + doubt;
        const struct free_path *end = next_end(s, lags, out->count, most);
        if (end == NULL || s->nodes == NULL) {
            break;
        }
        lags[out->count] = end->lag;
        out->cost[out->count] = end_cost(s, end);
        const enum eh_status status = free_search_trace(s, end, &out->pairs[out->count]);
        if (status != EH_OK) {
            return status;
        }
        out->count++;
    }
    return out->count == 0 ? EH_NO_FIT : EH_OK;
}

enum eh_status free_path_find(struct free_readings *out, const struct free_notes *notes,
                              const struct eh_take *take, const struct eh_pad *pad,
                              const struct free_lead *lead) {
    *out = (struct free_readings){0};
    struct free_search s;
    enum eh_status status = free_search_init(&s, notes, take->hits, pad, true);
    if (status != EH_OK) {
        return status;
    }
    if (lead->known) {
        free_search_count_off(&s, lead);
    }
    for (size_t hit = lead->known ? lead->first_hit : 0; hit < take->count && status == EH_OK;
         hit++) {
        status = free_search_step(&s, (uint32_t)hit) ? EH_OK : EH_NO_MEMORY;
    }
    status = status == EH_OK ? give(&s, out) : status;
    free_search_deinit(&s);
    if (status != EH_OK) {
        free_readings_deinit(out);
    }
    return status;
}
