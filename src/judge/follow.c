#include "follow_internal.h"

#include <math.h>
#include <stdlib.h>

/* A path this much dearer than the best one is given up. A step costs at most 6.1, a stroke left
 * out or a hit left over 2.5 each, a reward is 2: to come back from further behind, a path would
 * have to gain on the best one at every turn. */
static const double give_up = 12.0;

/* Plans without any main stroke do not exist (eh_plan_init refuses them). */
static int32_t count_mains(const struct eh_plan *plan) {
    int32_t mains = 0;
    for (size_t i = 0; i < plan->due_count; i++) {
        mains += plan->due[i].main == i;
    }
    return mains;
}

static void lay_mains(struct eh_follower *f) {
    const struct eh_plan *plan = f->plan;
    int32_t n = 0;
    for (size_t i = 0; i < plan->due_count; i++) {
        if (plan->due[i].main != i) {
            continue;
        }
        const struct eh_due *due = &plan->due[i];
        const struct eh_stroke *stroke = eh_plan_stroke(plan, i);
        const struct eh_plan_bar *bar = &plan->bars[due->bar];
        const eh_ticks beat = 4 * EH_TICKS_PER_QUARTER / bar->unit;
        const int64_t bar_ns = bar->end_ns - bar->at_ns;
        const eh_ticks length = bar->end - bar->at;
        struct follow_main *m = &f->mains[n++];
        m->at_ns = due->at_ns;
        m->bar_end_ns = bar->end_ns;
        m->buzz = stroke->kind == EH_KIND_BUZZ;
        m->sustain_ns =
            m->buzz ? (int64_t)((double)bar_ns * (double)stroke->length / (double)length) : 0;
        m->beat_ns = (int64_t)((double)bar_ns * (double)beat / (double)length);
        m->scale_ns = follow_unit_ns(due->spacing_ns);
        m->due = (uint32_t)i;
        m->bar = due->bar;
        m->graces = stroke->grace_count > 15 ? 15 : stroke->grace_count;
        m->hand = stroke->hand;
        m->accent = stroke->accent != 0;
        m->on_beat = stroke->in_bar % beat == 0;
    }
}

/* A first stroke may be this early even when the next one follows fast. */
static const int64_t early_most_ns = 80 * EH_NS_PER_MS;

static int64_t later(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/* A pass counts from half the first stroke's spacing before its first stroke to half a beat after
 * its last bar line. */
static void lay_windows(struct eh_follower *f) {
    const struct eh_plan *plan = f->plan;
    const size_t bars = plan->bar_count / (size_t)plan->passes;
    for (size_t pass = 0; pass < f->window_count; pass++) {
        const struct eh_plan_bar *first = &plan->bars[pass * bars];
        const struct eh_plan_bar *last = &plan->bars[pass * bars + bars - 1];
        const struct eh_due *due = &plan->due[first->first_due];
        const int64_t beat_ns = (last->end_ns - last->at_ns) / last->beats;
        f->windows[pass].open_ns = due->at_ns - due->spacing_ns / 2;
        f->windows[pass].look_ns = due->at_ns - later(due->spacing_ns / 2, early_most_ns);
        f->windows[pass].close_ns = last->end_ns + beat_ns / 2;
    }
}

static void begin(struct eh_follower *f) {
    for (size_t i = 0; i < f->plan->due_count; i++) {
        f->room.matches[i] = (struct eh_match){.hit = EH_NO_HIT};
    }
    const struct follow_cell start = {.main = -1, .hit = -1, .high = -1, .parent = -1};
    f->root = follow_add_cell(f, &start);
    f->live[0] = f->root;
    f->live_count = 1;
    f->checkpoint_ns = f->windows[0].look_ns;
}

enum eh_status eh_follower_new(struct eh_follower **out_follower, const struct eh_plan *plan,
                               const struct eh_pad *pad, const struct eh_follow_room *room) {
    struct eh_follower *f = calloc(1, sizeof *f);
    *out_follower = NULL;
    if (f == NULL) {
        return EH_NO_MEMORY;
    }
    f->plan = plan;
    f->pad = pad;
    f->room = *room;
    f->main_count = count_mains(plan);
    f->window_count = (size_t)plan->passes;
    f->mains = calloc((size_t)f->main_count + 1, sizeof *f->mains);
    f->windows = calloc(f->window_count, sizeof *f->windows);
    f->cells = calloc(FOLLOW_CELLS, sizeof *f->cells);
    if (f->mains == NULL || f->windows == NULL || f->cells == NULL) {
        eh_follower_free(f);
        return EH_NO_MEMORY;
    }
    lay_mains(f);
    lay_windows(f);
    begin(f);
    *out_follower = f;
    return EH_OK;
}

void eh_follower_free(struct eh_follower *follower) {
    if (follower != NULL) {
        free(follower->mains);
        free(follower->windows);
        free(follower->cells);
        free(follower);
    }
}

int64_t follow_add_cell(struct eh_follower *f, const struct follow_cell *cell) {
    const int64_t serial = f->serial++;
    *follow_cell(f, serial) = *cell;
    return serial;
}

/* The first main stroke at or after FROM that is due at or after AT_NS. */
static int32_t first_due_after(const struct eh_follower *f, int32_t from, int64_t at_ns) {
    int32_t low = from;
    int32_t high = f->main_count;
    if (low < high && f->mains[low].at_ns >= at_ns) {
        return low;
    }
    while (low < high) {
        const int32_t middle = low + (high - low) / 2;
        if (f->mains[middle].at_ns < at_ns) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The cells that the newest hit makes: for each main stroke the best one, and a second one whose
 * offset differs, since a path's offset decides what its next steps cost. */
struct fresh {
    struct follow_cell cells[FOLLOW_TARGETS][FOLLOW_KEPT];
    double likeness[FOLLOW_TARGETS];
    int32_t mains[FOLLOW_TARGETS];
    int count;
};

static int fresh_slot(const struct eh_follower *f, struct fresh *fresh, int32_t main, int32_t hit) {
    for (int i = 0; i < fresh->count; i++) {
        if (fresh->mains[i] == main) {
            return i;
        }
    }
    if (fresh->count == FOLLOW_TARGETS) {
        return -1;
    }
    const int slot = fresh->count++;
    fresh->mains[slot] = main;
    for (int k = 0; k < FOLLOW_KEPT; k++) {
        fresh->cells[slot][k] = (struct follow_cell){.cost = INFINITY};
    }
    fresh->likeness[slot] = follow_likeness_cost(f, main, hit);
    return slot;
}

/* Offsets nearer than this are one and the same. */
static const double same_place_ns = 1e6;

static void keep(struct follow_cell cells[FOLLOW_KEPT], const struct follow_cell *made) {
    if (made->cost < cells[0].cost) {
        if (fabs(made->place_ns - cells[0].place_ns) > same_place_ns) {
            cells[1] = cells[0];
        }
        cells[0] = *made;
    } else if (made->cost < cells[1].cost &&
               fabs(made->place_ns - cells[0].place_ns) > same_place_ns) {
        cells[1] = *made;
    }
}

static void try_step(struct eh_follower *f, struct fresh *fresh, int64_t serial, int32_t main,
                     int32_t hit, double step) {
    const int slot = fresh_slot(f, fresh, main, hit);
    if (slot < 0) {
        return;
    }
    const struct follow_cell *p = follow_cell(f, serial);
    struct follow_between between;
    follow_account(f, p, main, hit, &between);
    const double cost = p->cost + step + fresh->likeness[slot] + between.other + between.grace +
                        follow_extra_cost(between.extras) + follow_missed_cost(main - p->main - 1) -
                        follow_reward(main <= p->high);
    if (cost >= fresh->cells[slot][FOLLOW_KEPT - 1].cost) {
        return;
    }
    struct follow_cell made = {.main = main, .hit = hit, .parent = serial};
    follow_carry(f, p, &made);
    made.cost = cost + follow_home_cost(f, &made);
    made.shift_ns = p->shift_ns;
    made.press_ns = f->room.hits[hit].at_ns;
    made.high = main > p->high ? main : p->high;
    keep(fresh->cells[slot], &made);
}

static void extend_from(struct eh_follower *f, struct fresh *fresh, int64_t serial, int32_t hit) {
    const struct follow_cell *p = follow_cell(f, serial);
    const int64_t at_ns = f->room.hits[hit].at_ns;
    const int64_t since_ns = p->main < 0 ? 0 : at_ns - f->room.hits[p->hit].at_ns;
    const int64_t here_ns = at_ns - (int64_t)(p->place_ns + p->pace * (double)since_ns);
    int32_t from = p->main + 1;
    if (from < f->floor && !(p->high > p->main)) {
        from = f->floor;
    }
    const int64_t reach_ns = (int64_t)follow_reach_ns(f, p, at_ns);
    for (int32_t i = first_due_after(f, from, here_ns - reach_ns);
         i < f->main_count && f->mains[i].at_ns <= here_ns + reach_ns; i++) {
        const double step = follow_step_cost(f, p, i, at_ns);
        if (step < INFINITY) {
            try_step(f, fresh, serial, i, hit, step);
        }
    }
}

static double least_standing(struct eh_follower *f) {
    double best = INFINITY;
    for (int i = 0; i < f->live_count; i++) {
        best = fmin(best, follow_standing(follow_cell(f, f->live[i])));
    }
    return best;
}

static void prune(struct eh_follower *f, double best) {
    int kept = 0;
    for (int i = 0; i < f->live_count; i++) {
        if (follow_standing(follow_cell(f, f->live[i])) <= best + give_up) {
            f->live[kept++] = f->live[i];
        }
    }
    f->live_count = kept;
}

/* Makes a cell live; when there is no room, the dearest one goes. */
static void make_live(struct eh_follower *f, int64_t serial) {
    if (f->live_count < FOLLOW_LIVE) {
        f->live[f->live_count++] = serial;
        return;
    }
    int worst = 0;
    for (int i = 1; i < f->live_count; i++) {
        if (follow_standing(follow_cell(f, f->live[i])) >
            follow_standing(follow_cell(f, f->live[worst]))) {
            worst = i;
        }
    }
    if (follow_standing(follow_cell(f, serial)) < follow_standing(follow_cell(f, f->live[worst]))) {
        f->live[worst] = serial;
    }
}

static void extend(struct eh_follower *f, int32_t hit) {
    struct fresh fresh;
    fresh.count = 0;
    for (int i = 0; i < f->live_count; i++) {
        extend_from(f, &fresh, f->live[i], hit);
    }
    for (int i = 0; i < f->live_count; i++) {
        follow_trail(f, follow_cell(f, f->live[i]), hit);
    }
    double best = least_standing(f);
    for (int i = 0; i < fresh.count; i++) {
        best = fmin(best, fresh.cells[i][0].cost);
    }
    for (int i = 0; i < fresh.count * FOLLOW_KEPT; i++) {
        const struct follow_cell *c = &fresh.cells[i / FOLLOW_KEPT][i % FOLLOW_KEPT];
        if (c->cost <= best + give_up) {
            make_live(f, follow_add_cell(f, c));
        }
    }
    follow_seek_course(f, hit, best);
    best = least_standing(f);
    prune(f, best);
    f->memory[hit & (FOLLOW_MEMORY - 1)] = best;
}

/* Before the first window nothing is played yet: the start moves on. */
static void pass_over(struct eh_follower *f, int32_t hit) {
    f->room.fates[hit] = (struct eh_fate){.kind = EH_FATE_OUTSIDE};
    follow_cell(f, f->root)->hit = hit;
    f->settled_hits = hit + 1;
    f->memory[hit & (FOLLOW_MEMORY - 1)] = 0.0;
}

static bool outside(struct eh_follower *f, int64_t at_ns) {
    while (f->window < f->window_count && at_ns > f->windows[f->window].close_ns) {
        f->window++;
    }
    return f->window == f->window_count || at_ns < f->windows[f->window].open_ns;
}

bool eh_follower_feed(struct eh_follower *follower, size_t hit) {
    struct eh_follower *f = follower;
    if (hit >= f->room.hit_capacity || f->finished) {
        return false;
    }
    const int64_t at_ns = f->room.hits[hit].at_ns;
    const int32_t number = (int32_t)hit;
    follow_checkpoint(f, at_ns);
    f->hit_count = number + 1;
    if (at_ns < f->windows[0].look_ns) {
        pass_over(f, number);
        return true;
    }
    f->room.fates[hit] =
        (struct eh_fate){.kind = outside(f, at_ns) ? EH_FATE_OUTSIDE : EH_FATE_PENDING};
    follow_make_room(f);
    follow_hear(f, number);
    extend(f, number);
    follow_hear_level(f, number);
    return true;
}

void eh_follower_advance(struct eh_follower *follower, int64_t now_ns) {
    follow_checkpoint(follower, now_ns);
}

void eh_follower_finish(struct eh_follower *follower) {
    if (!follower->finished) {
        follow_settle_all(follower);
        follower->finished = true;
    }
}

size_t eh_follower_settled_due(const struct eh_follower *follower) {
    return follower->floor < follower->main_count
               ? follower->mains[follower->floor].due - follower->mains[follower->floor].graces
               : follower->plan->due_count;
}

size_t eh_follower_settled_hits(const struct eh_follower *follower) {
    return (size_t)follower->settled_hits;
}

const struct eh_course *eh_follower_courses(const struct eh_follower *follower, size_t *out_count) {
    *out_count = follower->course_count;
    return follower->courses;
}

double eh_follower_cost(const struct eh_follower *follower) {
    return follower->final_cost;
}
