#include "follow_internal.h"

#include <math.h>

/* Looking for the place where a lost player went on.
 *
 * A player is lost when the best path has gained little over the last six hits. Then the last five
 * strokes (echoes left out) are held against the strokes from every beat of the eight bars around:
 * where they agree in rhythm, and the place lies whole beats away from where the player was, that
 * is offered as a further path. Whether it becomes the best one is for the following hits to say.
 */
enum { BARS_AROUND = 8, TROUBLE_HITS = 6 };
static const double healthy_share = 0.5;
static const double chain_most = 6.0;
static const double align_unit_ns = 40e6;
static const double bar_weight = 1.0;
static const double part_of_bar_weight = 2.0;

static bool in_trouble(const struct eh_follower *f, int32_t hit, double best) {
    if (hit - f->settled_hits < 0 || f->hit_count <= TROUBLE_HITS || f->root < 0) {
        return false;
    }
    const double then = f->memory[(hit - TROUBLE_HITS) & (FOLLOW_MEMORY - 1)];
    return best - then > -healthy_share * TROUBLE_HITS * follow_reward(false);
}

/* The last FOLLOW_CHAIN strokes, oldest first. False when there are not so many that are open. */
static bool last_strokes(const struct eh_follower *f, int32_t hit, int32_t out[FOLLOW_CHAIN]) {
    int n = FOLLOW_CHAIN;
    for (int32_t h = hit; n > 0 && h >= f->settled_hits; h--) {
        if (!follow_is_echo(f, h)) {
            out[--n] = h;
        }
    }
    return n == 0;
}

/* Where the player was before hit FIRST, by the live path that stands best there. */
static int64_t place_before(struct eh_follower *f, int32_t first) {
    int64_t place = -1;
    double least = INFINITY;
    for (int i = 0; i < f->live_count; i++) {
        int64_t serial = f->live[i];
        while (follow_cell(f, serial)->hit >= first && serial > f->root) {
            serial = follow_cell(f, serial)->parent;
        }
        const struct follow_cell *c = follow_cell(f, serial);
        const double cost = c->cost + follow_extra_cost(first - 1 - c->hit);
        if (c->hit < first && cost < least) {
            least = cost;
            place = serial;
        }
    }
    return place;
}

struct chain {
    double cost;
    int64_t moved_ns;
    int32_t main;
};

/* How well the strokes HITS fit the mains from MAIN on; INFINITY where they do not. */
static double rhythm_cost(const struct eh_follower *f, const int32_t hits[FOLLOW_CHAIN],
                          int32_t main) {
    double cost = 0.0;
    for (int k = 1; k < FOLLOW_CHAIN; k++) {
        const int64_t played = f->room.hits[hits[k]].at_ns - f->room.hits[hits[k - 1]].at_ns;
        const int64_t due = follow_due_ns(f, main + k) - follow_due_ns(f, main + k - 1);
        cost += follow_interval_cost(f, main + k - 1, played - due);
        if (cost > chain_most) {
            return INFINITY;
        }
    }
    return cost;
}

/* Players skip or repeat a bar more often than two, and whole bars more often than parts. */
static double distance_cost(const struct eh_follower *f, const struct follow_main *m,
                            int64_t moved_ns) {
    const struct eh_plan_bar *bar = &f->plan->bars[m->bar];
    const double bars = fabs((double)moved_ns / (double)(bar->end_ns - bar->at_ns));
    const double part = fabs(bars - nearbyint(bars)) > 0.01 ? part_of_bar_weight : 0.0;
    return part + bar_weight * follow_more(bars - 1.0, 0.0);
}

static void consider(const struct eh_follower *f, const struct follow_cell *p,
                     const int32_t hits[FOLLOW_CHAIN], int32_t main, struct chain *best) {
    const struct follow_main *m = follow_main(f, main);
    const int64_t delta = f->room.hits[hits[0]].at_ns - m->at_ns - (int64_t)p->place_ns;
    const int64_t beats = llround((double)delta / (double)m->beat_ns);
    const double rest = (double)(delta - beats * m->beat_ns) / align_unit_ns;
    if (beats == 0 || fabs(rest) > 2.5) {
        return;
    }
    const double rhythm = rhythm_cost(f, hits, main);
    if (rhythm == INFINITY) {
        return;
    }
    const int64_t moved_ns = beats * m->beat_ns;
    double cost = follow_jump_cost() + 0.5 * rest * rest + rhythm + distance_cost(f, m, moved_ns);
    for (int k = 0; k < FOLLOW_CHAIN; k++) {
        cost -= follow_reward(main + k <= p->high);
    }
    if (cost < best->cost) {
        *best = (struct chain){.cost = cost, .moved_ns = moved_ns, .main = main};
    }
}

static void seek(const struct eh_follower *f, const struct follow_cell *p,
                 const int32_t hits[FOLLOW_CHAIN], struct chain *best) {
    const int64_t bar = p->main < 0 ? 0 : (int64_t)follow_main(f, p->main)->bar;
    int32_t from = p->main < 0 ? 0 : p->main;
    while (from > 0 && (int64_t)follow_main(f, from - 1)->bar >= bar - BARS_AROUND) {
        from--;
    }
    for (int32_t i = from;
         i + FOLLOW_CHAIN <= f->main_count && (int64_t)follow_main(f, i)->bar <= bar + BARS_AROUND;
         i++) {
        if (follow_main(f, i)->on_beat) {
            consider(f, p, hits, i, best);
        }
    }
}

/* Adds the chain's cells to the path of PLACE; the cost of the chain is spread over them evenly,
 * which changes nothing since only the last one is live. */
static void add_chain(struct eh_follower *f, int64_t place, const int32_t hits[FOLLOW_CHAIN],
                      const struct chain *chain, double before) {
    int64_t parent = place;
    for (int k = 0; k < FOLLOW_CHAIN; k++) {
        const struct follow_cell *p = follow_cell(f, parent);
        const int32_t main = chain->main + k;
        const int64_t at_ns = f->room.hits[hits[k]].at_ns;
        struct follow_cell cell = {.cost = before + chain->cost * (k + 1) / FOLLOW_CHAIN,
                                   .shift_ns = k == 0 ? p->shift_ns + chain->moved_ns : p->shift_ns,
                                   .press_ns = at_ns,
                                   .parent = parent,
                                   .main = main,
                                   .hit = hits[k],
                                   .high = main > p->high ? main : p->high,
                                   .jumped = k == 0,
                                   .place_ns = (double)(at_ns - follow_due_ns(f, main)),
                                   .pace = p->pace,
                                   .home_ns = (double)(at_ns - follow_due_ns(f, main)),
                                   .weight = 1,
                                   .home_weight = 1};
        if (k > 0) {
            follow_carry(f, p, &cell, follow_offset_ns(f, p, main), 0.0);
        }
        parent = follow_add_cell(f, &cell);
    }
    f->live[f->live_count++] = parent;
}

static bool already_there(struct eh_follower *f, int32_t main, int32_t hit, double cost) {
    for (int i = 0; i < f->live_count; i++) {
        const struct follow_cell *c = follow_cell(f, f->live[i]);
        if (c->main == main && c->hit == hit && c->cost <= cost) {
            return true;
        }
    }
    return false;
}

void follow_seek_course(struct eh_follower *f, int32_t hit, double best) {
    int32_t hits[FOLLOW_CHAIN];
    if (f->room.straight || f->room.fates[hit].kind == EH_FATE_OUTSIDE ||
        f->live_count >= FOLLOW_LIVE || !in_trouble(f, hit, best) || !last_strokes(f, hit, hits)) {
        return;
    }
    const int64_t place = place_before(f, hits[0]);
    if (place < 0) {
        return;
    }
    const struct follow_cell *p = follow_cell(f, place);
    struct chain chain = {.cost = INFINITY};
    seek(f, p, hits, &chain);
    const double before = p->cost + follow_extra_cost(hits[0] - 1 - p->hit);
    if (chain.cost < INFINITY &&
        !already_there(f, chain.main + FOLLOW_CHAIN - 1, hit, before + chain.cost)) {
        add_chain(f, place, hits, &chain, before);
    }
}
