#include "evenhand/free_follow.h"

#include <math.h>
#include <stdlib.h>

#include "free_search.h"

struct eh_free_follower {
    const struct eh_plan *plan;
    const struct eh_hit *hits;
    struct free_notes notes;
    struct free_search search;
    size_t count_off, taps; /* that are to come; that have come */
    bool uneven_taps;
};

static enum eh_status init(struct eh_free_follower *f, const struct eh_plan *plan,
                           const struct eh_pad *pad, int32_t count_off, const struct eh_hit *hits,
                           bool traced) {
    *f = (struct eh_free_follower){.plan = plan, .hits = hits, .count_off = (size_t)count_off};
    const enum eh_status status = free_notes_init(&f->notes, plan);
    return status == EH_OK ? free_search_init(&f->search, &f->notes, hits, pad, traced) : status;
}

static void deinit(struct eh_free_follower *f) {
    free_search_deinit(&f->search);
    free_notes_deinit(&f->notes);
}

/* The last tap has come: what a tap is worth is left to the notes. */
static void begin_counted(struct eh_free_follower *f, size_t hits) {
    struct free_lead taps;
    double worths[FREE_WORTHS];
    f->uneven_taps = !free_lead_read(&taps, f->hits, hits, f->count_off, f->search.pad);
    free_lead_worths(f->plan, worths);
    for (size_t i = 0; i < FREE_WORTHS && !f->uneven_taps; i++) {
        struct free_lead lead;
        if (free_lead_worth(&lead, &taps, worths[i])) {
            free_search_count_off(&f->search, &lead);
        }
    }
}

static bool feed(struct eh_free_follower *f, size_t hit) {
    if (f->taps == f->count_off) {
        return free_search_step(&f->search, (uint32_t)hit);
    }
    f->taps += !free_is_echo(f->search.pad, f->hits, hit);
    if (f->taps == f->count_off) {
        begin_counted(f, hit + 1);
    }
    return true;
}

enum eh_status eh_free_follower_new(struct eh_free_follower **out, const struct eh_plan *plan,
                                    const struct eh_pad *pad, int32_t count_off,
                                    const struct eh_hit *hits) {
    *out = NULL;
    struct eh_free_follower *f = malloc(sizeof *f);
    if (f == NULL) {
        return EH_NO_MEMORY;
    }
    const enum eh_status status = init(f, plan, pad, count_off, hits, false);
    if (status != EH_OK) {
        eh_free_follower_free(f);
        return status;
    }
    *out = f;
    return EH_OK;
}

void eh_free_follower_free(struct eh_free_follower *follower) {
    if (follower != NULL) {
        deinit(follower);
        free(follower);
    }
}

void eh_free_follower_feed(struct eh_free_follower *follower, size_t hit) {
    (void)feed(follower, hit); /* it is not traced, so that nothing can fail */
}

/* ---- Where the cheapest path is ---- */

static int64_t clock_ns(const struct eh_free_follower *f, const struct free_path *path, double at) {
    const double ms = path->ms + (at - path->at) * path->quarter;
    return f->hits[0].at_ns + (int64_t)(ms * 1e6);
}

static struct eh_free_bar bar_of(const struct free_heard *heard, double bpm) {
    return (struct eh_free_bar){.strokes = heard->strokes, .bar = heard->bar, .bpm = bpm};
}

void eh_free_follower_place(const struct eh_free_follower *follower, struct eh_free_place *out) {
    const struct free_search *s = &follower->search;
    *out = (struct eh_free_place){.uneven_taps = follower->uneven_taps};
    if (s->count == 0 || s->paths[0].before) {
        return;
    }
    const struct free_path *path = &s->paths[0];
    const struct free_note *note = &follower->notes.notes[path->note];
    out->known = path->v11 >= 0.0;
    out->due = note->due;
    out->at_ns = follower->hits[path->hit].at_ns;
    out->in = bar_of(&path->in, out->known ? 60000.0 / path->quarter : NAN);
    out->left = bar_of(&path->past, path->past.bpm);
    out->loose = path->left_over;
    const bool last = path->note + 1 == follower->notes.count;
    const double length = (double)follower->plan->length / (double)EH_TICKS_PER_QUARTER;
    out->next_ns = last ? INT64_MAX : clock_ns(follower, path, note[1].at + path->shift);
    out->end_ns = clock_ns(follower, path, length + path->shift);
}

/* ---- How far somebody got ---- */

static enum eh_status reach(struct eh_free_follower *f, size_t count, uint32_t *out_due) {
    for (size_t hit = 0; hit < count; hit++) {
        out_due[hit] = EH_FREE_NO_DUE;
        if (!feed(f, hit)) {
            return EH_NO_MEMORY;
        }
    }
    struct free_pairs pairs = {0};
    if (f->search.count == 0 || f->search.paths[0].before) {
        return EH_OK;
    }
    const enum eh_status status = free_search_trace(&f->search, &f->search.paths[0], &pairs);
    for (size_t i = 0; i < pairs.count && status == EH_OK; i++) {
        out_due[pairs.pairs[i].hit] = pairs.pairs[i].due;
    }
    free(pairs.pairs);
    return status;
}

enum eh_status eh_free_reach(const struct eh_plan *plan, const struct eh_pad *pad,
                             int32_t count_off, const struct eh_hit *hits, size_t count,
                             uint32_t *out_due) {
    struct eh_free_follower f;
    enum eh_status status = init(&f, plan, pad, count_off, hits, true);
    if (status == EH_OK) {
        status = reach(&f, count, out_due);
    }
    deinit(&f);
    return status;
}
