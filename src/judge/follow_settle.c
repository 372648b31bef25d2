#include "follow_internal.h"

#include <math.h>

/* Settlement happens at checkpoints, a quarter of a second apart on the take's clock, so that it
 * falls the same whether hits come one by one or all at once. A stroke is settled when no path that
 * is still kept disagrees, and at the latest one second after it or at its bar's end. */
static const int64_t checkpoint_step_ns = 250 * EH_NS_PER_MS;
static const int64_t before_end_ns = 300 * EH_NS_PER_MS;    /* a step, and what an offset may err */
static const int64_t live_patience_ns = 700 * EH_NS_PER_MS; /* a second less that */
/* A slip by one stroke of a fast row shows in what follows: how long it is waited for when the
 * whole take is there. Longer changes nothing on made-up runs. */
static const int64_t patience_ns = 12 * EH_NS_PER_S;

static int64_t patience(const struct eh_follower *f) {
    return f->room.patient ? patience_ns : live_patience_ns;
}
/* After the end two more seconds of checkpoints settle everything that can be. */
static const int64_t afterwards_ns = 2 * EH_NS_PER_S;

static void note_course(struct eh_follower *f, enum eh_course_kind kind, int32_t main,
                        int64_t at_ns) {
    if (f->course_count < FOLLOW_COURSES) {
        f->courses[f->course_count++] = (struct eh_course){
            .kind = (uint8_t)kind, .due = follow_main(f, main)->due, .at_ns = at_ns};
    }
}

/* A gap is a stop (or a late start) when it is at least three strokes and a beat long; a stop in
 * the middle lasts three quarters of a bar at least. */
static bool long_gap(const struct eh_follower *f, int32_t from, int32_t to, bool start) {
    if (to - from < 3) {
        return false;
    }
    const struct follow_main *m = follow_main(f, from);
    const struct eh_plan_bar *bar = &f->plan->bars[m->bar];
    const int64_t end_ns = to < f->main_count ? follow_due_ns(f, to) : f->plan->end_ns;
    const int64_t least_ns = start ? m->beat_ns : (bar->end_ns - bar->at_ns) * 3 / 4;
    return end_ns - m->at_ns >= least_ns;
}

static int64_t expected_at(const struct eh_follower *f, const struct follow_cell *c, int32_t main) {
    return follow_due_ns(f, main) + llround(follow_offset_ns(f, c, main));
}

static void note_step(struct eh_follower *f, const struct follow_cell *p,
                      const struct follow_cell *c) {
    const int64_t at_ns = f->room.hits[c->hit].at_ns;
    if (c->jumped) {
        const int64_t moved_ns = c->shift_ns - p->shift_ns;
        enum eh_course_kind kind = moved_ns < 0 ? EH_COURSE_SKIP : EH_COURSE_REPEAT;
        if (moved_ns > 0 && c->main > p->high && c->hit - p->hit <= 2) {
            kind = EH_COURSE_STOP;
        }
        note_course(f, kind, c->main, at_ns);
    } else if (p->main < 0 && long_gap(f, 0, c->main, true)) {
        note_course(f, EH_COURSE_LATE_START, 0, at_ns);
    } else if (p->main >= 0 && c->hit - p->hit <= (c->main - p->main) / 2 &&
               long_gap(f, p->main + 1, c->main, false)) {
        note_course(f, EH_COURSE_STOP, p->main + 1, expected_at(f, p, p->main + 1));
    }
}

/* A bounce that turns out to be something else (the next stroke's grace note) is its press's no
 * more. */
static void set_fate(struct eh_follower *f, int32_t hit, enum eh_fate_kind kind, uint32_t due) {
    const struct eh_fate *before = &f->room.fates[hit];
    if (before->kind == EH_FATE_BOUNCE) {
        f->room.matches[before->due].bounces--;
    }
    f->room.fates[hit] = (struct eh_fate){.kind = (uint8_t)kind, .due = due};
}

/* Whether the stroke of cell C is C's to take: it was not taken or given up before. */
static bool owns(const struct eh_follower *f, const struct follow_cell *c) {
    return c->main >= 0 && f->room.matches[follow_main(f, c->main)->due].hit == c->hit;
}

/* Gives their fate to the hits after cell P's, up to but without hit END. */
static void settle_trail(struct eh_follower *f, const struct follow_cell *p, int32_t end) {
    int64_t press_ns = p->hit >= 0 ? f->room.hits[p->hit].at_ns : 0;
    for (int32_t hit = p->hit + 1; hit < end; hit++) {
        enum eh_fate_kind kind = follow_trail_kind(f, p, &press_ns, hit);
        if (hit < f->settled_hits) {
            continue;
        }
        uint32_t due = 0;
        if (kind == EH_FATE_BOUNCE && owns(f, p)) {
            due = follow_main(f, p->main)->due;
            f->room.matches[due].bounces++;
        } else if (kind == EH_FATE_BOUNCE) {
            kind = EH_FATE_EXTRA;
        }
        set_fate(f, hit, kind, due);
    }
    if (end > f->settled_hits) {
        f->settled_hits = end;
    }
}

/* A grace note's hit below SETTLED was settled as something else before, and stays so. */
static void take_stroke(struct eh_follower *f, const struct follow_cell *c,
                        const struct follow_between *between, int32_t settled) {
    const struct follow_main *m = follow_main(f, c->main);
    f->room.matches[m->due] = (struct eh_match){.hit = c->hit, .shift_ns = c->shift_ns};
    set_fate(f, c->hit, EH_FATE_STROKE, m->due);
    for (int rank = 1; rank <= m->graces; rank++) {
        const int32_t hit = between->grace_hits[rank - 1];
        if (hit == EH_NO_HIT || hit < settled) {
            continue;
        }
        const uint32_t due = m->due - (uint32_t)rank;
        f->room.matches[due] = (struct eh_match){.hit = hit, .shift_ns = c->shift_ns};
        set_fate(f, hit, EH_FATE_STROKE, due);
    }
    f->floor = c->main + 1;
}

static void settle_step(struct eh_follower *f, const struct follow_cell *p,
                        const struct follow_cell *c) {
    struct follow_between between;
    const struct follow_cell before = {.main = p->main, .hit = p->hit, .extras = 1};
    follow_account(f, &before, c->main, c->hit, &between);
    const bool forerunner = follow_main(f, c->main)->graces == 0 && between.extras == 0;
    const int32_t settled = f->settled_hits;
    settle_trail(f, p, c->hit);
    if (forerunner && c->hit - 1 >= settled) {
        set_fate(f, c->hit - 1, EH_FATE_DOUBLE_TRIGGER, 0);
    }
    if (c->main >= f->floor) {
        take_stroke(f, c, &between, settled);
    } else if (f->room.fates[c->hit].kind != EH_FATE_OUTSIDE) {
        set_fate(f, c->hit, EH_FATE_EXTRA, 0);
    }
    if (c->hit + 1 > f->settled_hits) {
        f->settled_hits = c->hit + 1;
    }
    note_step(f, p, c);
}

/* Settles the path from the root to TARGET, which becomes the root. */
static void settle_path(struct eh_follower *f, int64_t target) {
    for (int64_t serial = target; serial != f->root;) {
        const int64_t parent = follow_cell(f, serial)->parent;
        follow_cell(f, parent)->child = serial;
        serial = parent;
    }
    while (f->root != target) {
        const struct follow_cell *p = follow_cell(f, f->root);
        const int64_t next = p->child;
        settle_step(f, p, follow_cell(f, next));
        f->root = next;
    }
}

/* The cell after the root on the path of SERIAL; the root itself where SERIAL is the root; -1 when
 * SERIAL does not descend from the root. */
static int64_t first_step(struct eh_follower *f, int64_t serial) {
    int64_t step = serial;
    while (serial > f->root) {
        step = serial;
        serial = follow_cell(f, serial)->parent;
    }
    return serial == f->root ? step : -1;
}

/* Whether the first step C after the root leaves alone what is settled. Going over strokes again
 * (after a jump back) is no contradiction. */
static bool agrees(struct eh_follower *f, const struct follow_cell *c) {
    const bool again = c->jumped || c->main <= follow_cell(f, f->root)->high;
    return c->hit >= f->settled_hits && (again || c->main >= f->floor);
}

/* Gives up the live paths that contradict what is settled. */
static void drop_contradicting(struct eh_follower *f) {
    int kept = 0;
    for (int i = 0; i < f->live_count; i++) {
        const int64_t step = first_step(f, f->live[i]);
        if (step < 0) {
            continue;
        }
        if (step == f->root || agrees(f, follow_cell(f, step))) {
            f->live[kept++] = f->live[i];
        }
    }
    if (kept == 0) {
        f->live[kept++] = f->root;
    }
    f->live_count = kept;
}

/* How many main strokes after MAIN should have sounded by NOW_NS for a player who is DEV_NS off, as
 * far as more of them cost more. */
static int32_t overdue(const struct eh_follower *f, int32_t main, int64_t dev_ns, int64_t now_ns) {
    int32_t count = 0;
    while (count < FOLLOW_FULL_PRICE && main + 1 + count < f->main_count) {
        const struct eh_due *due = &f->plan->due[f->plan->mains[main + 1 + count]];
        if (due->at_ns + dev_ns + due->spacing_ns / 2 >= now_ns) {
            break;
        }
        count++;
    }
    return count;
}

/* The offset of the path that stands best, without the whole beats of a change of course: one for
 * all, so that a stroke becomes overdue on all paths at the same moment. */
static int64_t usual_offset(struct eh_follower *f) {
    const struct follow_cell *best = follow_cell(f, f->live[0]);
    for (int i = 1; i < f->live_count; i++) {
        const struct follow_cell *c = follow_cell(f, f->live[i]);
        best = follow_standing(c) < follow_standing(best) ? c : best;
    }
    return (int64_t)best->place_ns - best->shift_ns;
}

static int64_t best_path(struct eh_follower *f, int64_t now_ns) {
    const int64_t offset_ns = usual_offset(f);
    int64_t best = f->live[0];
    double least = INFINITY;
    for (int i = 0; i < f->live_count; i++) {
        const struct follow_cell *c = follow_cell(f, f->live[i]);
        const int32_t missed = overdue(f, c->main, offset_ns + c->shift_ns, now_ns);
        const double cost = follow_standing(c) + follow_missed_cost(missed);
        if (cost < least) {
            least = cost;
            best = f->live[i];
        }
    }
    f->final_cost = least;
    return best;
}

static int64_t common_ancestor(struct eh_follower *f) {
    int64_t at = f->live[0];
    for (int i = 1; i < f->live_count; i++) {
        int64_t other = f->live[i];
        while (at != other) {
            if (at > other) {
                at = follow_cell(f, at)->parent;
            } else {
                other = follow_cell(f, other)->parent;
            }
        }
    }
    return at;
}

static int64_t later(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/* The newest cell on the path of BEST that must be settled by NOW_NS. */
static int64_t due_for_settlement(struct eh_follower *f, int64_t best, int64_t now_ns) {
    int64_t serial = best;
    while (serial != f->root) {
        const struct follow_cell *c = follow_cell(f, serial);
        const struct follow_main *m = follow_main(f, c->main);
        const int64_t deadline_ns =
            later(m->at_ns + patience(f), m->bar_end_ns - before_end_ns) + (int64_t)c->place_ns;
        if (deadline_ns <= now_ns) {
            break;
        }
        serial = c->parent;
    }
    return serial;
}

/* The first hit that the step from cell P to cell C takes: a grace note, a softer forerunner of the
 * same stroke, or C's own. */
static int32_t first_hit_of(const struct eh_follower *f, const struct follow_cell *p,
                            const struct follow_cell *c) {
    struct follow_between between;
    const struct follow_cell before = {.main = p->main, .hit = p->hit, .extras = 1};
    follow_account(f, &before, c->main, c->hit, &between);
    const int graces = follow_main(f, c->main)->graces;
    int32_t first = graces == 0 && between.extras == 0 ? c->hit - 1 : c->hit;
    for (int i = 0; i < graces; i++) {
        if (between.grace_hits[i] != EH_NO_HIT && between.grace_hits[i] < first) {
            first = between.grace_hits[i];
        }
    }
    return first;
}

/* Between the root and the next cell of the best path: strokes left out and hits left over whose
 * time has come are settled as such. */
static void settle_gap(struct eh_follower *f, int64_t best, int64_t now_ns) {
    const struct follow_cell *root = follow_cell(f, f->root);
    const int64_t step = first_step(f, best);
    const bool open = step == f->root;
    const int32_t next_main = open ? f->main_count : follow_cell(f, step)->main;
    const int32_t next_hit = open ? f->hit_count : first_hit_of(f, root, follow_cell(f, step));
    while (f->floor < next_main) {
        const struct follow_main *m = follow_main(f, f->floor);
        if (later(m->at_ns + patience(f), m->bar_end_ns - before_end_ns) + (int64_t)root->place_ns >
            now_ns) {
            break;
        }
        f->floor++;
    }
    int32_t end = f->settled_hits;
    while (end < next_hit && f->room.hits[end].at_ns + patience(f) <= now_ns) {
        end++;
    }
    settle_trail(f, root, end);
}

static void settle_at(struct eh_follower *f, int64_t now_ns) {
    settle_path(f, common_ancestor(f));
    const int64_t best = best_path(f, now_ns);
    settle_path(f, due_for_settlement(f, best, now_ns));
    settle_gap(f, best, now_ns);
    drop_contradicting(f);
}

void follow_checkpoint(struct eh_follower *f, int64_t now_ns) {
    const int64_t last_ns = f->plan->end_ns + afterwards_ns;
    while (f->checkpoint_ns <= now_ns && f->checkpoint_ns <= last_ns) {
        settle_at(f, f->checkpoint_ns);
        f->checkpoint_ns += checkpoint_step_ns;
    }
}

void follow_settle_all(struct eh_follower *f) {
    follow_checkpoint(f, INT64_MAX);
    const int64_t best = best_path(f, INT64_MAX / 4);
    settle_path(f, best);
    const struct follow_cell *root = follow_cell(f, f->root);
    if (root->main >= 0 && long_gap(f, root->main + 1, f->main_count, false)) {
        note_course(f, EH_COURSE_STOP, root->main + 1, expected_at(f, root, root->main + 1));
    }
    settle_trail(f, root, f->hit_count);
    f->floor = f->main_count;
    f->live[0] = f->root;
    f->live_count = 1;
}

/* When the ring of cells is nearly full (a flood of hits), the best path is settled whole. */
void follow_make_room(struct eh_follower *f) {
    if (f->serial - f->root < FOLLOW_CELLS - 4 * FOLLOW_TARGETS * FOLLOW_KEPT) {
        return;
    }
    const int64_t best = best_path(f, f->room.hits[f->hit_count - 1].at_ns);
    settle_path(f, best);
    struct follow_cell copy = *follow_cell(f, f->root);
    f->root = follow_add_cell(f, &copy);
    f->live[0] = f->root;
    f->live_count = 1;
}
