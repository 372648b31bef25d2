#include "start.h"

#include <math.h>
#include <stdlib.h>

/* Every beat of the take is tried in two rounds: a quick count of how many sampled strokes have a
 * hit near them, then, for the few best, the follower itself over the whole run. */
enum {
    FINALISTS = 6,
    SAMPLED = 400,    /* strokes looked at in the first round ... */
    SAMPLED_ROW = 16, /* ... in rows of so many */
    OFFSETS = 9       /* constant offsets tried */
};
static const int64_t cell_ns = 5 * EH_NS_PER_MS;
static const int64_t near_ns = 20 * EH_NS_PER_MS;
static const int64_t offset_step_ns = 25 * EH_NS_PER_MS;
/* People begin on bar lines: one is preferred by what a stroke left out costs, so that a last
 * stroke left out is not taken for a first one left out a beat before the bar. */
static const double bar_line_worth = 4.0;
/* Less than a third of the strokes found: the exercise is not in the take. */
static const double least_share = 1.0 / 3.0;

struct presence {
    uint8_t *cells; /* whether a hit lies near, by 5 ms */
    size_t count;
    int64_t from_ns;
};

static enum eh_status mark_presence(const struct eh_take *take, struct presence *out) {
    const int64_t first = take->hits[0].at_ns;
    const int64_t span = take->hits[take->count - 1].at_ns - first;
    if (span / cell_ns > INT32_MAX / 2) {
        return EH_TOO_LARGE;
    }
    const int64_t margin = near_ns / cell_ns;
    out->from_ns = first - near_ns;
    out->count = (size_t)(span / cell_ns + 2 * margin + 1);
    out->cells = calloc(out->count, 1);
    if (out->cells == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < take->count; i++) {
        const int64_t middle = (take->hits[i].at_ns - out->from_ns) / cell_ns;
        for (int64_t k = middle - margin; k <= middle + margin; k++) {
            if (k >= 0 && k < (int64_t)out->count) {
                out->cells[k] = 1;
            }
        }
    }
    return EH_OK;
}

static bool present(const struct presence *presence, int64_t at_ns) {
    const int64_t k = (at_ns - presence->from_ns) / cell_ns;
    return at_ns >= presence->from_ns && k < (int64_t)presence->count && presence->cells[k] != 0;
}

struct place {
    eh_ticks at;
    bool bar_line;
    int count; /* sampled strokes found */
};

struct search {
    const struct eh_exercise *exercise;
    const struct eh_take *take;
    const struct eh_pad *pad;
    const struct eh_plan_request *request;
    struct presence presence;
    struct eh_plan plan; /* laid at tick 0; gives the strokes' ticks */
    struct place best[FINALISTS];
    int best_count;
};

static int count_at(const struct search *s, eh_ticks start) {
    int best = 0;
    const size_t rows = s->plan.due_count / SAMPLED_ROW + 1;
    const size_t stride = rows * SAMPLED_ROW > SAMPLED ? rows * SAMPLED_ROW / SAMPLED : 1;
    int counts[OFFSETS] = {0};
    for (size_t row = 0; row < rows; row += stride) {
        for (size_t i = row * SAMPLED_ROW; i < (row + 1) * SAMPLED_ROW && i < s->plan.due_count;
             i++) {
            const int64_t at_ns = eh_tempo_map_ns(&s->take->click, start + s->plan.due[i].at);
            for (int k = 0; k < OFFSETS; k++) {
                counts[k] += present(&s->presence, at_ns + (k - OFFSETS / 2) * offset_step_ns);
            }
        }
    }
    for (int k = 0; k < OFFSETS; k++) {
        best = counts[k] > best ? counts[k] : best;
    }
    return best;
}

/* Keeps the finalists in falling order; equal counts: bar lines first, then the earlier. */
static void enter(struct search *s, struct place place) {
    int at = s->best_count;
    while (at > 0 &&
           (s->best[at - 1].count < place.count || (s->best[at - 1].count == place.count &&
                                                    place.bar_line && !s->best[at - 1].bar_line))) {
        at--;
    }
    if (at == FINALISTS) {
        return;
    }
    if (s->best_count < FINALISTS) {
        s->best_count++;
    }
    for (int i = s->best_count - 1; i > at; i--) {
        s->best[i] = s->best[i - 1];
    }
    s->best[at] = place;
}

/* Beats from one exercise's length before the first hit to the last hit, none before tick 0. */
static void first_round(struct search *s) {
    const struct eh_take *take = s->take;
    const eh_ticks first_hit = eh_tempo_map_tick(&take->click, take->hits[0].at_ns);
    const eh_ticks end = eh_tempo_map_tick(&take->click, take->hits[take->count - 1].at_ns);
    const eh_ticks begin = first_hit > s->plan.length ? first_hit - s->plan.length : 0;
    int bar = 0;
    eh_ticks in_bar = 0;
    eh_take_locate(take, begin, &bar, &in_bar);
    eh_ticks at = begin - in_bar;
    /* The last hit may be early for its beat. */
    while (at <= end + EH_TICKS_PER_QUARTER) {
        const struct eh_metre_change metre = eh_take_metre(take, at);
        const eh_ticks beat = 4 * EH_TICKS_PER_QUARTER / metre.unit;
        for (int i = 0; i < metre.beats; i++) {
            const struct place place = {at + i * beat, i == 0, count_at(s, at + i * beat)};
            if (place.at >= begin - in_bar && place.count > 0) {
                enter(s, place);
            }
        }
        at += metre.beats * beat;
    }
}

static enum eh_status fit(const struct search *s, const struct place *place, double *out_cost,
                          size_t *out_matched, struct eh_error *error) {
    struct eh_plan plan;
    enum eh_status status =
        eh_plan_init(&plan, s->exercise, s->request, &s->take->click, place->at, error);
    if (status != EH_OK) {
        return status;
    }
    status = eh_follow_fit(&plan, s->take, s->pad, out_matched, out_cost);
    eh_plan_deinit(&plan);
    return status;
}

static enum eh_status second_round(struct search *s, eh_ticks *out_start, struct eh_error *error) {
    double least = INFINITY;
    size_t matched = 0;
    for (int i = 0; i < s->best_count; i++) {
        /* A place that found less than nine tenths of the best count cannot win any more. */
        if (s->best[i].count * 10 < s->best[0].count * 9) {
            break;
        }
        double cost = 0.0;
        size_t found = 0;
        const enum eh_status status = fit(s, &s->best[i], &cost, &found, error);
        if (status != EH_OK) {
            return status;
        }
        cost -= s->best[i].bar_line ? bar_line_worth : 0.0;
        if (cost < least - 1e-9 || (cost <= least + 1e-9 && s->best[i].at < *out_start)) {
            least = cost;
            matched = found;
            *out_start = s->best[i].at;
        }
    }
    return (double)matched >= least_share * (double)s->plan.due_count ? EH_OK : EH_NO_FIT;
}

enum eh_status eh_find_start(const struct eh_exercise *exercise, const struct eh_take *take,
                             const struct eh_pad *pad, const struct eh_plan_request *request,
                             eh_ticks *out_start, struct eh_error *error) {
    struct search s = {.exercise = exercise, .take = take, .pad = pad, .request = request};
    *out_start = 0;
    enum eh_status status = eh_plan_init(&s.plan, exercise, request, &take->click, 0, error);
    if (status == EH_OK) {
        status = mark_presence(take, &s.presence);
    }
    if (status == EH_OK) {
        first_round(&s);
        status = second_round(&s, out_start, error);
    }
    free(s.presence.cells);
    eh_plan_deinit(&s.plan);
    if (status == EH_NO_FIT) {
        return eh_fail(error, EH_NO_FIT,
                       "the exercise is not in this take: at no beat do even a third of its "
                       "strokes find a hit; check the exercise, or say where it begins with "
                       "--start BAR");
    }
    return status;
}
