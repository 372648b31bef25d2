#include <math.h>
#include <stdlib.h>

#include "course.h"
#include "follow_internal.h"

/* Most who leave the written way do so once: they stop, wait, leave something out or play something
 * again, and then go on to the end. A path of least cost may make several leaps of that, each for
 * what lies around it. So the place of one move is looked for too: the written way up to cell E,
 * then from bar line C on to the end, by so many whole bars later than written. What either part
 * costs is known from two rows of fits, so that a place costs a sum. */
enum { BARS_BACK = 3 }; /* how long before going on the first part may end */
static const double leap_weight = 10.0;

struct shift {
    const struct course_ground *ground;
    const struct course_way *way;
    int64_t by;     /* beats */
    double *before; /* by cell: what the cells before it cost on the written way */
    double *after;  /* what it and those after cost when they are moved */
    int32_t *hits;  /* by beat of the click: how many came before it */
};

/* A move: the first part ends before cell END, the second begins with cell GO. */
struct move {
    double cost;
    int64_t end, go;
};

/* The offset from the click of whoever has not moved yet, and of whoever has. */
static double place_before(const struct course_way *way, int64_t beat) {
    const int64_t last = (int64_t)way->stretches[0].count - 1;
    return way->place_ns[beat < last ? beat : last];
}

static double place_after(const struct course_way *way, int64_t beat) {
    const int64_t first = way->stretches[way->count - 1].first_beat;
    return way->place_ns[beat > first ? beat : first];
}

static void cost_parts(struct shift *s) {
    const struct course_ground *g = s->ground;
    const int64_t cells = (int64_t)g->cell_count;
    for (int64_t j = 0; j < cells; j++) {
        const double place_ns = place_before(s->way, j);
        s->before[j + 1] = s->before[j] + course_fit(g, (size_t)j, (size_t)j, place_ns).cost;
    }
    for (int64_t j = cells; j-- > 0;) {
        const int64_t beat = j + s->by;
        const bool inside = beat >= 0 && beat < (int64_t)g->grid_count;
        const double cost =
            inside ? course_fit(g, (size_t)beat, (size_t)j, place_after(s->way, beat)).cost : 0.0;
        s->after[j] = s->after[j + 1] + cost;
    }
    for (int64_t i = 0; i < (int64_t)g->grid_count; i++) {
        s->hits[i + 1] = s->hits[i] + course_hits_within(g, (size_t)i, place_before(s->way, i));
    }
}

static int32_t mains_between(const struct course_ground *g, int64_t from, int64_t to) {
    return to > from ? (int32_t)(g->cells[to].first_main - g->cells[from].first_main) : 0;
}

static void consider(const struct shift *s, int64_t end, int64_t go, struct move *best) {
    const double cost = leap_weight + s->before[end] + s->after[go] +
                        follow_extra_cost(s->hits[go + s->by] - s->hits[end]) +
                        follow_missed_cost(mains_between(s->ground, end, go));
    if (cost < best->cost) {
        *best = (struct move){cost, end, go};
    }
}

/* The cheapest move: WAITED where nothing is left out and nothing played again. */
static struct move find_move(const struct shift *s, bool waited) {
    const struct course_ground *g = s->ground;
    struct move best = {.cost = INFINITY};
    int64_t bar = 0; /* beats of the bar before */
    int64_t line = 0;
    for (int64_t go = 0; go < (int64_t)g->cell_count; go++) {
        if (!g->cells[go].bar_line) {
            continue;
        }
        bar = go > line ? go - line : bar;
        line = go;
        const int64_t on = go + s->by;
        if (on >= (int64_t)g->grid_count) {
            break;
        }
        const int64_t least = waited ? go : on - BARS_BACK * (bar > 0 ? bar : 4);
        for (int64_t end = waited ? go : on; end >= least && end > 0; end--) {
            if (end <= on && end <= (int64_t)g->cell_count) {
                consider(s, end, go, &best);
            }
        }
    }
    return best;
}

static enum eh_status lay_move(struct course_way *out, const struct shift *s,
                               const struct move *move) {
    const struct course_ground *g = s->ground;
    *out = (struct course_way){.stretches = calloc(2, sizeof *out->stretches),
                               .place_ns = calloc(g->grid_count + 1, sizeof *out->place_ns),
                               .cost = move->cost};
    if (out->stretches == NULL || out->place_ns == NULL) {
        course_way_deinit(out);
        return EH_NO_MEMORY;
    }
    const int64_t on = move->go + s->by;
    const int64_t left = (int64_t)g->grid_count - on;
    const int64_t cells = (int64_t)g->cell_count - move->go;
    out->stretches[0] = (struct course_stretch){.count = (uint32_t)move->end};
    out->stretches[1] = (struct course_stretch){(uint32_t)on, (uint32_t)move->go,
                                                (uint32_t)(cells < left ? cells : left)};
    out->count = 2;
    for (int64_t beat = 0; beat < (int64_t)g->grid_count; beat++) {
        out->place_ns[beat] = beat < on ? place_before(s->way, beat) : place_after(s->way, beat);
    }
    return EH_OK;
}

enum eh_status course_shift_find(struct course_way *out_way, const struct course_ground *ground,
                                 const struct course_way *way, int64_t by, bool waited) {
    *out_way = (struct course_way){0};
    struct shift s = {.ground = ground, .way = way, .by = by};
    s.before = calloc(ground->cell_count + 1, sizeof *s.before);
    s.after = calloc(ground->cell_count + 1, sizeof *s.after);
    s.hits = calloc(ground->grid_count + 1, sizeof *s.hits);
    const bool room = s.before != NULL && s.after != NULL && s.hits != NULL;
    enum eh_status status = room ? EH_OK : EH_NO_MEMORY;
    if (status == EH_OK) {
        cost_parts(&s);
        const struct move move = find_move(&s, waited);
        if (move.cost < INFINITY) {
            status = lay_move(out_way, &s, &move);
        }
    }
    free(s.before);
    free(s.after);
    free(s.hits);
    return status;
}
