#include <math.h>
#include <stdlib.h>

#include "course.h"
#include "follow_internal.h"

/* A path through (beat of the click, beat of the score), found by dynamic programming. After a beat
 * of the click the player has
 *   PLAYED  cell j,
 *   or been SILENT while cell j went by (a stop with the click going on),
 *   or been AWAY: waiting, or playing something else, with cell j still to come; j = cell_count
 *   once the exercise is over.
 * Each path carries the player's offset and its change a beat. */
enum state { PLAYED, SILENT, AWAY, STATES };

/* Costs on the follower's scale, where a stroke that finds its hit is worth 2. */
static const double jump_weight = 10.3;
static const double part_of_bar_weight = 2.0;
static const double bar_weight = 0.7; /* a bar's distance */
static const double silence_weight = 6.0;
static const double silent_beat_weight = 0.05;
static const double silent_hit_weight = 2.5;
static const double silent_most = 8.0;
static const double away_weight = 7.0;
static const double away_beat_weight = 0.1;
static const double away_hit_weight = 0.3;
static const double away_most = 2.5;
static const double over_hit_weight = 0.3;
static const double over_most = 1.5;
static const double back_weight = 2.0;       /* from where it was left */
static const double back_other_weight = 3.0; /* from elsewhere */
static const double left_most = 10.0;        /* strokes never come to */
static const double leave_weight = 1.5;      /* within a bar, for elsewhere */
static const double start_weight = 0.5;      /* with another bar than the first */
static const double unended_weight = 5.2;    /* a silence that lasts to the end */
static const double give_up = 45.0;

/* How a beat's mean deviation moves the offset and its pace. */
static const double place_gain = 0.6;
static const double pace_gain = 0.1;

enum { BAND = 128 }; /* cells either side of where the best path is */

struct node {
    double cost, place_ns, pace_ns;
    double tail; /* of the cost: strokes missed at the beat's end, none if the player stops there */
    int32_t from; /* state * row + cell before; -1: the start */
};

/* Where a cell may be come to from, with what that costs. */
struct source {
    double cost;
    int32_t from;
};

struct search {
    const struct course_ground *ground;
    int32_t row;           /* cell_count + 1 */
    int32_t low, high;     /* the band: cells [low, high) */
    struct node *then;     /* after the beat before: [state * row + cell] */
    struct node *now;      /* after this beat */
    struct source *played; /* by next cell: from PLAYED or SILENT */
    struct source *broken; /* the same, for who breaks off within the beat */
    struct source *jumped; /* the same, from wherever it is cheapest */
    struct source *back;   /* from AWAY, likewise */
    int32_t *path;         /* [beat][state][cell - low] */
    float *places;         /* the same: offsets in ns */
    int32_t *lows;
    size_t beat;
};

static void search_free(struct search *s) {
    free(s->then);
    free(s->now);
    free(s->played);
    free(s->jumped);
    free(s->broken);
    free(s->back);
    free(s->path);
    free(s->places);
    free(s->lows);
}

static int32_t band_width(const struct search *s) {
    return s->row < 2 * BAND + 1 ? s->row : 2 * BAND + 1;
}

static bool search_alloc(struct search *s) {
    const size_t row = (size_t)s->row;
    const size_t beats = s->ground->grid_count;
    s->then = calloc(STATES * row, sizeof *s->then);
    s->now = calloc(STATES * row, sizeof *s->now);
    s->played = calloc(row, sizeof *s->played);
    s->jumped = calloc(row, sizeof *s->jumped);
    s->broken = calloc(row, sizeof *s->broken);
    s->back = calloc(row, sizeof *s->back);
    s->path = calloc(beats * STATES * (size_t)band_width(s), sizeof *s->path);
    s->places = calloc(beats * STATES * (size_t)band_width(s), sizeof *s->places);
    s->lows = calloc(beats, sizeof *s->lows);
    return s->then != NULL && s->now != NULL && s->played != NULL && s->jumped != NULL &&
           s->back != NULL && s->path != NULL && s->places != NULL && s->lows != NULL;
}

static double place_of(const struct search *s, int32_t cell) {
    const struct course_ground *g = s->ground;
    if (cell < (int32_t)g->cell_count) {
        return g->cells[cell].place;
    }
    return g->cells[g->cell_count - 1].place + 1.0;
}

/* The cheapest way from any source to each cell when a bar's distance costs bar_weight. */
static void spread(const struct search *s, struct source *sources) {
    for (int32_t j = 1; j < s->row; j++) {
        const double cost =
            sources[j - 1].cost + bar_weight * (place_of(s, j) - place_of(s, j - 1));
        if (cost < sources[j].cost) {
            sources[j] = (struct source){cost, sources[j - 1].from};
        }
    }
    for (int32_t j = s->row - 2; j >= 0; j--) {
        const double cost =
            sources[j + 1].cost + bar_weight * (place_of(s, j + 1) - place_of(s, j));
        if (cost < sources[j].cost) {
            sources[j] = (struct source){cost, sources[j + 1].from};
        }
    }
}

static void take_cheaper(struct source *best, double cost, int32_t from) {
    if (cost < best->cost) {
        *best = (struct source){cost, from};
    }
}

/* What is more to leave the exercise before cell J within a bar. */
static double leave_cost(const struct search *s, int32_t j) {
    return j == s->row - 1 || s->ground->cells[j].bar_line ? 0.0 : leave_weight;
}

static void gather(struct search *s) {
    for (int32_t j = 0; j < s->row; j++) {
        s->played[j] = (struct source){INFINITY, -1};
        s->broken[j] = (struct source){INFINITY, -1};
        s->back[j] =
            (struct source){s->then[AWAY * s->row + j].cost + leave_cost(s, j), AWAY * s->row + j};
        for (int state = PLAYED; j > 0 && state <= SILENT; state++) {
            const int32_t from = state * s->row + j - 1;
            const double cost = s->then[from].cost;
            const bool unended = state == SILENT && j == s->row - 1;
            take_cheaper(&s->played[j], cost + (unended ? unended_weight : 0.0), from);
            take_cheaper(&s->broken[j], cost - s->then[from].tail, from);
        }
    }
    if (s->beat == 0) {
        s->played[0] = (struct source){0.0, -1};
        s->broken[0] = (struct source){0.0, -1};
    }
    for (int32_t j = 0; j < s->row; j++) {
        s->jumped[j] = s->played[j];
        s->jumped[j].cost += leave_cost(s, j);
    }
    s->jumped[0].cost += start_weight;
    spread(s, s->jumped);
    spread(s, s->back);
}

/* The band moves with the best path. */
static void move_band(struct search *s) {
    int32_t best = 0;
    for (int32_t j = 1; j < s->row; j++) {
        const double here = fmin(s->played[j].cost, s->then[AWAY * s->row + j].cost);
        if (here < fmin(s->played[best].cost, s->then[AWAY * s->row + best].cost)) {
            best = j;
        }
    }
    const int32_t width = band_width(s);
    int32_t low = best - BAND;
    low = low + width > s->row ? s->row - width : low;
    s->low = low < 0 ? 0 : low;
    s->high = s->low + width;
    s->lows[s->beat] = s->low;
}

static struct node carried(const struct search *s, struct source source) {
    struct node node = {.cost = source.cost, .from = source.from, .place_ns = s->ground->place_ns};
    if (source.from >= 0) {
        const struct node *before = &s->then[source.from];
        node.pace_ns = before->pace_ns;
        node.place_ns = before->place_ns;
    }
    return node;
}

/* Plays the cell coming from SOURCE. Who comes back does so with a stroke, and may do it within the
 * beat. */
static struct node play_from(const struct search *s, int32_t cell, struct source source,
                             bool comes_back) {
    struct node node = carried(s, source);
    node.place_ns += node.pace_ns; /* while playing, not while silent: the click goes on */
    if (node.cost < INFINITY) {
        const struct course_fit fit = course_fit(s->ground, s->beat, (size_t)cell, node.place_ns);
        node.cost += fit.cost - (comes_back ? fit.head : 0.0);
        node.tail = fit.tail;
        node.place_ns += place_gain * fit.off_ns;
        node.pace_ns += pace_gain * fit.off_ns;
        if (comes_back && fit.found == 0) {
            node.cost = INFINITY;
        }
    }
    return node;
}

/* The cheapest way to come to the cell other than from the one before it. */
static struct source come_back(const struct search *s, int32_t cell) {
    const double part = s->ground->cells[cell].bar_line ? 0.0 : part_of_bar_weight;
    const int32_t away = AWAY * s->row + cell;
    struct source best = {s->then[away].cost + back_weight, away};
    take_cheaper(&best, s->back[cell].cost + back_other_weight + part, s->back[cell].from);
    take_cheaper(&best, s->jumped[cell].cost + jump_weight + part, s->jumped[cell].from);
    if (cell > 0) {
        const int32_t silent = SILENT * s->row + cell - 1;
        take_cheaper(&best, s->then[silent].cost, silent);
    }
    return best;
}

static struct node play(const struct search *s, int32_t cell) {
    struct source on = {INFINITY, -1};
    if (cell > 0) {
        on.from = PLAYED * s->row + cell - 1;
        on.cost = s->then[on.from].cost;
    } else if (s->beat == 0) {
        on.cost = 0.0;
    }
    const struct node straight = play_from(s, cell, on, false);
    const struct source back = come_back(s, cell);
    if (back.cost >= on.cost) {
        return straight;
    }
    const struct node returned = play_from(s, cell, back, true);
    return returned.cost < straight.cost ? returned : straight;
}

static struct node be_silent(const struct search *s, int32_t cell) {
    struct source best = {INFINITY, -1};
    if (cell > 0) {
        const int32_t played = PLAYED * s->row + cell - 1;
        const int32_t silent = SILENT * s->row + cell - 1;
        take_cheaper(&best, s->then[played].cost - s->then[played].tail + silence_weight, played);
        take_cheaper(&best, s->then[silent].cost, silent);
    } else if (s->beat == 0) {
        best = (struct source){silence_weight, -1};
    }
    struct node node = carried(s, best);
    if (node.cost < INFINITY) {
        const int hits = course_hits_within(s->ground, s->beat, node.place_ns);
        node.cost += silent_beat_weight + fmin(silent_hit_weight * hits, silent_most);
    }
    return node;
}

static struct node be_away(const struct search *s, int32_t cell) {
    const bool over = cell == s->row - 1;
    struct source best = over ? s->played[cell] : s->broken[cell];
    best.cost += over ? 0.0 : away_weight;
    const int32_t away = AWAY * s->row + cell;
    take_cheaper(&best, s->then[away].cost, away);
    struct node node = carried(s, best);
    if (node.cost < INFINITY) {
        const int hits = course_hits_within(s->ground, s->beat, node.place_ns);
        node.cost += over ? fmin(over_hit_weight * hits, over_most)
                          : away_beat_weight + fmin(away_hit_weight * hits, away_most);
    }
    return node;
}

static void forget(const struct search *s, struct node *nodes) {
    for (int32_t k = 0; k < STATES * s->row; k++) {
        nodes[k] = (struct node){.cost = INFINITY, .from = -1};
    }
}

static void step(struct search *s) {
    gather(s);
    move_band(s);
    forget(s, s->now);
    double least = INFINITY;
    for (int32_t j = s->low; j < s->high; j++) {
        const bool cell = j < s->row - 1;
        if (cell) {
            s->now[PLAYED * s->row + j] = play(s, j);
            s->now[SILENT * s->row + j] = be_silent(s, j);
        }
        s->now[AWAY * s->row + j] = be_away(s, j);
        for (int state = 0; state < STATES; state++) {
            least = fmin(least, s->now[state * s->row + j].cost);
        }
    }
    const int32_t width = band_width(s);
    int32_t *path = &s->path[s->beat * STATES * (size_t)width];
    float *places = &s->places[s->beat * STATES * (size_t)width];
    for (int32_t j = s->low; j < s->high; j++) {
        for (int state = 0; state < STATES; state++) {
            struct node *node = &s->now[state * s->row + j];
            path[state * width + j - s->low] = node->from;
            places[state * width + j - s->low] = (float)node->place_ns;
            node->cost = node->cost > least + give_up ? INFINITY : node->cost;
        }
    }
    struct node *swap = s->then;
    s->then = s->now;
    s->now = swap;
}

static double left_cost(const struct search *s, int32_t cell) {
    const struct course_ground *g = s->ground;
    size_t left = 0;
    if (cell < (int32_t)g->cell_count) {
        left = g->main_count - g->cells[cell].first_main;
    }
    return fmin(follow_missed_cost(1) * (double)left, left_most);
}

/* The cheapest end: state * row + cell. */
static int32_t best_end(const struct search *s, double *out_cost) {
    int32_t best = AWAY * s->row;
    double least = INFINITY;
    for (int32_t k = 0; k < STATES * s->row; k++) {
        const int32_t cell = k % s->row;
        double cost = s->then[k].cost + left_cost(s, k < AWAY * s->row ? cell + 1 : cell);
        cost += k / s->row == SILENT ? unended_weight : 0.0;
        if (cost < least) {
            least = cost;
            best = k;
        }
    }
    *out_cost = least;
    return best;
}

/* Walks the path back and joins its beats to stretches, last first. */
static void trace(const struct search *s, struct course_way *way) {
    const int32_t width = band_width(s);
    int32_t k = best_end(s, &way->cost);
    for (size_t beat = s->ground->grid_count; beat-- > 0 && k >= 0;) {
        const int32_t state = k / s->row;
        const int32_t cell = k % s->row;
        struct course_stretch *last = way->count > 0 ? &way->stretches[way->count - 1] : NULL;
        if (state != AWAY && last != NULL && last->first_beat == beat + 1 &&
            last->first_cell == (uint32_t)cell + 1) {
            last->first_beat--;
            last->first_cell--;
            last->count++;
        } else if (state != AWAY && way->stretches != NULL) {
            way->stretches[way->count++] = (struct course_stretch){
                .first_beat = (uint32_t)beat, .first_cell = (uint32_t)cell, .count = 1};
        }
        const size_t at =
            beat * STATES * (size_t)width + (size_t)(state * width + cell - s->lows[beat]);
        way->place_ns[beat] = s->places[at];
        k = s->path[at];
    }
}

void course_way_deinit(struct course_way *way) {
    free(way->stretches);
    free(way->place_ns);
    *way = (struct course_way){0};
}

static void turn_round(struct course_way *way) {
    for (size_t i = 0; i < way->count / 2; i++) {
        const struct course_stretch swap = way->stretches[i];
        way->stretches[i] = way->stretches[way->count - 1 - i];
        way->stretches[way->count - 1 - i] = swap;
    }
}

enum eh_status course_way_find(struct course_way *out_way, const struct course_ground *ground) {
    struct search s = {.ground = ground, .row = (int32_t)ground->cell_count + 1};
    out_way->count = 0;
    out_way->stretches = calloc(ground->grid_count + 1, sizeof *out_way->stretches);
    out_way->place_ns = calloc(ground->grid_count + 1, sizeof *out_way->place_ns);
    if (out_way->stretches == NULL || out_way->place_ns == NULL || !search_alloc(&s)) {
        course_way_deinit(out_way);
        search_free(&s);
        return EH_NO_MEMORY;
    }
    forget(&s, s.then);
    for (s.beat = 0; s.beat < ground->grid_count; s.beat++) {
        step(&s);
    }
    trace(&s, out_way);
    turn_round(out_way);
    search_free(&s);
    return EH_OK;
}
