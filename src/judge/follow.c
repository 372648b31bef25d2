#include "follow_internal.h"

#include <math.h>
#include <stdlib.h>

/* A path this much dearer than the best one is given up: three strokes left out or hits left over.
 * From 5 on upwards no made-up run is followed otherwise. */
static const double give_up = 8.0;

static void begin(struct eh_follower *f) {
    for (size_t i = 0; i < f->plan->due_count; i++) {
        f->room.matches[i] = (struct eh_match){.hit = EH_NO_HIT};
    }
    const struct follow_cell start = {.main = -1, .hit = -1, .high = -1, .parent = -1};
    f->root = follow_add_cell(f, &start);
    f->live[0] = f->root;
    f->live_count = 1;
    f->level_db = NAN;
    f->window = follow_window_of(f->plan, 0);
    f->look_ns = f->window.look_ns;
    f->checkpoint_ns = f->look_ns;
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
    f->main_count = (int32_t)plan->main_count;
    f->mains = calloc(FOLLOW_MAINS, sizeof *f->mains);
    f->cells = malloc(FOLLOW_CELLS * sizeof *f->cells);
    if (f->mains == NULL || f->cells == NULL) {
        eh_follower_free(f);
        return EH_NO_MEMORY;
    }
    begin(f);
    *out_follower = f;
    return EH_OK;
}

void eh_follower_free(struct eh_follower *follower) {
    if (follower != NULL) {
        free(follower->mains);
        free(follower->cells);
        free(follower);
    }
}

int64_t follow_add_cell(struct eh_follower *f, const struct follow_cell *cell) {
    const int64_t serial = f->serial++;
    *follow_cell(f, serial) = *cell;
    return serial;
}

/* The first main stroke at or after FROM that is due at or after AT_NS. It is never far, so ever
 * longer strides lead there before the way between the last two is halved. */
static int32_t first_due_after(const struct eh_follower *f, int32_t from, int64_t at_ns) {
    int32_t low = from;
    int32_t high = from;
    for (int32_t stride = 1; high < f->main_count && follow_due_ns(f, high) < at_ns; stride *= 2) {
        low = high + 1;
        high = stride < f->main_count - high ? high + stride : f->main_count;
    }
    while (low < high) {
        const int32_t middle = low + (high - low) / 2;
        if (follow_due_ns(f, middle) < at_ns) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The cells that the newest hit makes of a main stroke: the best one, and a second one whose offset
 * differs, since a path's offset decides what its next steps cost. One is made in the spare place
 * and stays where it was made. */
struct target {
    struct follow_cell cells[FOLLOW_KEPT + 1];
    struct follow_cell *best, *second, *spare;
    double likeness;
    double onset; /* what it costs that a press begins here */
    int32_t main;
    bool buzz;
};

struct fresh {
    struct target targets[FOLLOW_TARGETS];
    int count;
};

static struct target *target_of(const struct eh_follower *f, struct fresh *fresh, int32_t main,
                                int32_t hit) {
    for (int i = 0; i < fresh->count; i++) {
        if (fresh->targets[i].main == main) {
            return &fresh->targets[i];
        }
    }
    if (fresh->count == FOLLOW_TARGETS) {
        return NULL;
    }
    struct target *t = &fresh->targets[fresh->count++];
    t->main = main;
    t->best = &t->cells[0];
    t->second = &t->cells[1];
    t->spare = &t->cells[2];
    t->best->cost = INFINITY;
    t->best->place_ns = 0.0;
    t->second->cost = INFINITY;
    t->likeness = follow_likeness_cost(f, main, hit);
    t->buzz = follow_main(f, main)->buzz;
    t->onset = t->buzz ? follow_onset_cost(f, hit) : 0.0;
    return t;
}

/* Offsets nearer than this are one and the same. */
static const double same_place_ns = 1e6;

/* Gives the cell in the spare place its rank. */
static void keep(struct target *t) {
    struct follow_cell *made = t->spare;
    const bool apart = fabs(made->place_ns - t->best->place_ns) > same_place_ns;
    if (made->cost < t->best->cost) {
        t->spare = apart ? t->second : t->best;
        t->second = apart ? t->best : t->second;
        t->best = made;
    } else if (made->cost < t->second->cost && apart) {
        t->spare = t->second;
        t->second = made;
    }
}

static struct follow_press press_of(const struct eh_follower *f, const struct follow_cell *p,
                                    const struct target *t, int32_t hit,
                                    const struct follow_step *step) {
    if (!t->buzz || p->main < 0) {
        return (struct follow_press){t->onset, 0.0};
    }
    const double away_ns = (double)(f->room.hits[hit].at_ns - follow_due_ns(f, t->main));
    return follow_press_step(f, hit, t->onset, away_ns - step->offset_ns);
}

static void try_step(struct eh_follower *f, struct fresh *fresh, int64_t serial, int32_t main,
                     int32_t hit, const struct follow_step *step) {
    struct target *t = target_of(f, fresh, main, hit);
    if (t == NULL) {
        return;
    }
    const struct follow_cell *p = follow_cell(f, serial);
    const struct follow_press press = press_of(f, p, t, hit, step);
    struct follow_between between;
    follow_account(f, p, main, hit, &between);
    const double cost = p->cost + step->cost + t->likeness + press.cost + between.other +
                        between.grace + follow_extra_cost(between.extras) +
                        follow_missed_cost(main - p->main - 1) - follow_reward(main <= p->high);
    if (cost >= t->second->cost) {
        return;
    }
    struct follow_cell *made = t->spare;
    made->main = main;
    made->hit = hit;
    made->parent = serial;
    made->child = 0;
    made->other = 0.0;
    made->extras = 0;
    made->jumped = false;
    made->shift_ns = p->shift_ns;
    made->press_ns = f->room.hits[hit].at_ns;
    made->high = main > p->high ? main : p->high;
    follow_carry(f, p, made, step->offset_ns, press.late_ns);
    made->cost = cost + follow_home_cost(f, made);
    keep(t);
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
         i < f->main_count && follow_due_ns(f, i) <= here_ns + reach_ns; i++) {
        const struct follow_step step = follow_step_cost(f, p, i, at_ns);
        if (step.cost < INFINITY) {
            try_step(f, fresh, serial, i, hit, &step);
        }
    }
}

static double least_standing(struct eh_follower *f) {
    double best = INFINITY;
    for (int i = 0; i < f->live_count; i++) {
        best = follow_less(best, follow_standing(follow_cell(f, f->live[i])));
    }
    return best;
}

/* Gives up the paths that are too dear; returns the least cost. */
static double prune(struct eh_follower *f) {
    double standing[FOLLOW_LIVE];
    double best = INFINITY;
    for (int i = 0; i < f->live_count; i++) {
        standing[i] = follow_standing(follow_cell(f, f->live[i]));
        best = follow_less(best, standing[i]);
    }
    int kept = 0;
    for (int i = 0; i < f->live_count; i++) {
        if (standing[i] <= best + give_up) {
            f->live[kept++] = f->live[i];
        }
    }
    f->live_count = kept;
    return best;
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
        best = follow_less(best, fresh.targets[i].best->cost);
    }
    for (int i = 0; i < fresh.count; i++) {
        const struct target *t = &fresh.targets[i];
        if (t->best->cost <= best + give_up) {
            make_live(f, follow_add_cell(f, t->best));
        }
        if (t->second->cost <= best + give_up) {
            make_live(f, follow_add_cell(f, t->second));
        }
    }
    follow_seek_course(f, hit, best);
    f->memory[hit & (FOLLOW_MEMORY - 1)] = prune(f);
}

/* Before the first window nothing is played yet: the start moves on. */
static void pass_over(struct eh_follower *f, int32_t hit) {
    f->room.fates[hit] = (struct eh_fate){.kind = EH_FATE_OUTSIDE};
    follow_cell(f, f->root)->hit = hit;
    f->settled_hits = hit + 1;
    f->memory[hit & (FOLLOW_MEMORY - 1)] = 0.0;
}

static bool outside(struct eh_follower *f, int64_t at_ns) {
    while (at_ns > f->window.close_ns && f->pass + 1 < (size_t)f->plan->passes) {
        f->window = follow_window_of(f->plan, ++f->pass);
    }
    return at_ns > f->window.close_ns || at_ns < f->window.open_ns;
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
    if (at_ns < f->look_ns) {
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
    if (follower->floor >= follower->main_count) {
        return follower->plan->due_count;
    }
    const struct follow_main *m = follow_main(follower, follower->floor);
    return m->due - m->graces;
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
