#include "course.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const names[COURSE_COUNT] = {
    "straight",       "late-start",   "break-off",     "gap",  "resume",
    "resume-earlier", "resume-later", "restart",       "skip", "repeat",
    "hand-lost",      "bar-added",    "other-exercise"};

const char *course_name(enum course course) {
    return names[course];
}

void intents_free(struct intents *intents) {
    free(intents->row);
    memset(intents, 0, sizeof *intents);
}

static void append(struct intents *out, struct intent intent) {
    if (out->count == out->capacity) {
        out->capacity = out->capacity * 2 + 256;
        struct intent *row = realloc(out->row, out->capacity * sizeof *row);
        if (row == NULL) {
            (void)fprintf(stderr, "no memory for %zu strokes\n", out->capacity);
            abort();
        }
        out->row = row;
    }
    out->row[out->count++] = intent;
}

static struct intent intent_of(const struct written *w, size_t due, eh_ticks at) {
    const struct eh_stroke *s = written_stroke(w, due);
    return (struct intent){.due = (int32_t)due,
                           .at = at,
                           .hand = s->hand,
                           .kind = s->kind,
                           .accent = s->accent,
                           .step = s->step_milli,
                           .graces = s->grace_count,
                           .rank = s->grace_rank,
                           .hairpin = s->hairpin,
                           .in_bar = s->in_bar,
                           .length = s->length,
                           .dynamic = s->dynamic,
                           .played_bar = s->played_bar};
}

/* Plays bars [FROM, TO) of the plan so that the first of them begins at tick AT; the tick after
 * the last. */
static eh_ticks play_bars(struct intents *out, const struct written *w, size_t from, size_t to,
                          eh_ticks at) {
    if (from >= to) {
        return at;
    }
    const eh_ticks moved = at - w->plan.bars[from].at;
    for (size_t bar = from; bar < to; bar++) {
        const struct eh_plan_bar *b = &w->plan.bars[bar];
        for (uint32_t i = b->first_due; i < b->first_due + b->due_count; i++) {
            append(out, intent_of(w, i, w->plan.due[i].at + moved));
        }
    }
    return w->plan.bars[to - 1].end + moved;
}

/* Takes back strokes from the row's end down to COUNT, and grace notes left without their main
 * stroke. */
static void cut(struct intents *out, size_t count) {
    while (count > 0 && out->row[count - 1].kind == EH_KIND_GRACE) {
        count--;
    }
    out->count = count;
}

/* Eighths hand to hand, a bar long: what somebody plays who has lost the place or adds a bar. */
static eh_ticks play_filler(struct intents *out, eh_ticks at, eh_ticks length) {
    const eh_ticks step = EH_TICKS_PER_QUARTER / 2;
    for (eh_ticks t = 0; t < length; t += step) {
        append(out, (struct intent){.due = NOT_WRITTEN,
                                    .at = at + t,
                                    .hand = (t / step) % 2 == 0 ? EH_HAND_RIGHT : EH_HAND_LEFT,
                                    .kind = EH_KIND_SINGLE,
                                    .step = 4000,
                                    .hairpin = -1,
                                    .in_bar = t,
                                    .length = step,
                                    .dynamic = EH_DYNAMIC_MF,
                                    .played_bar = -1});
    }
    return at + length;
}

struct place {
    size_t bar;   /* from 1 to the last but one */
    size_t bars;  /* of the plan */
    eh_ticks end; /* of the bar */
    eh_ticks length;
};

/* Plays up to somewhere inside bar P->bar (at least one stroke of it). */
static void play_into(struct intents *out, const struct written *w, const struct place *p,
                      struct chance *chance) {
    play_bars(out, w, 0, p->bar, 0);
    const size_t before = out->count;
    play_bars(out, w, p->bar, p->bar + 1, w->plan.bars[p->bar].at);
    const int in_bar = (int)(out->count - before);
    if (in_bar > 1) {
        cut(out, before + (size_t)chance_pick(chance, 1, in_bar - 1));
    }
}

static size_t least_size(size_t a, size_t b) {
    return a < b ? a : b;
}

static void lay_stop(enum course course, const struct written *w, const struct place *p,
                     struct chance *chance, struct intents *out) {
    play_into(out, w, p, chance);
    const size_t rest = (size_t)chance_pick(chance, 0, 2);
    const eh_ticks again = p->end + (eh_ticks)rest * p->length;
    size_t from = p->bars;
    if (course == COURSE_GAP) {
        from = p->bar + 1 + rest;
    } else if (course == COURSE_RESUME) {
        from = p->bar;
    } else if (course == COURSE_RESUME_EARLIER) {
        from = p->bar - least_size(p->bar, (size_t)chance_pick(chance, 1, 3));
    } else if (course == COURSE_RESUME_LATER) {
        from = p->bar + 1 + rest + (size_t)chance_pick(chance, 1, 2);
    } else if (course == COURSE_RESTART) {
        from = 0;
    }
    play_bars(out, w, least_size(from, p->bars), p->bars, again);
}

static void lay_hand_lost(const struct written *w, const struct place *p, struct chance *chance,
                          struct intents *out) {
    const int hand = chance_pick(chance, 0, 1);
    const struct eh_plan_bar *bar = &w->plan.bars[p->bar];
    play_bars(out, w, 0, p->bars, 0);
    size_t kept = 0;
    for (size_t i = 0; i < out->count; i++) {
        const size_t due = (size_t)out->row[i].due;
        const size_t main = w->plan.due[due].main;
        const bool inside = due >= bar->first_due && due < bar->first_due + bar->due_count;
        if (!inside || written_stroke(w, main)->hand != hand) {
            out->row[kept++] = out->row[i];
        }
    }
    out->count = kept;
}

static void lay_other(const struct written *other, struct intents *out) {
    play_bars(out, other, 0, other->plan.bar_count, 0);
    for (size_t i = 0; i < out->count; i++) {
        out->row[i].due = NOT_WRITTEN;
    }
}

static void lay_jump(enum course course, const struct written *w, const struct place *p,
                     struct intents *out) {
    eh_ticks at = play_bars(out, w, 0, p->bar, 0);
    size_t from = p->bar;
    if (course == COURSE_SKIP) {
        from = p->bar + 1;
    } else if (course == COURSE_REPEAT) {
        at = play_bars(out, w, p->bar, p->bar + 1, at);
    } else {
        at = play_filler(out, at, p->length);
    }
    play_bars(out, w, from, p->bars, at);
}

/* Up to a bar and a half of strokes are left out, cut before a main stroke and its grace notes. */
static void lay_late_start(const struct written *w, const struct place *p, struct chance *chance,
                           struct intents *out) {
    play_bars(out, w, 0, p->bars, 0);
    const int most = (int)(w->plan.bars[0].due_count + w->plan.bars[1].due_count / 2);
    size_t left_out = (size_t)chance_pick(chance, 1, most > 1 ? most : 1);
    while (left_out > 1 && out->row[left_out - 1].kind == EH_KIND_GRACE) {
        left_out--;
    }
    memmove(out->row, out->row + left_out, (out->count - left_out) * sizeof *out->row);
    out->count -= left_out;
}

/* A bar between the second and the last but one that holds strokes. */
static bool find_place(const struct written *w, struct chance *chance, struct place *out) {
    const size_t bars = w->plan.bar_count;
    if (bars < 4) {
        return false;
    }
    do {
        out->bar = (size_t)chance_pick(chance, 1, (int)bars - 3);
    } while (w->plan.bars[out->bar].due_count == 0);
    out->bars = bars;
    out->end = w->plan.bars[out->bar].end;
    out->length = out->end - w->plan.bars[out->bar].at;
    return true;
}

bool course_set_out(enum course course, const struct written *w, const struct written *other,
                    struct chance *chance, struct intents *out) {
    struct place place;
    out->count = 0;
    if (course == COURSE_OTHER) {
        lay_other(other, out);
        return true;
    }
    if (course == COURSE_STRAIGHT || !find_place(w, chance, &place)) {
        play_bars(out, w, 0, w->plan.bar_count, 0);
        return course == COURSE_STRAIGHT;
    }
    switch (course) {
    case COURSE_LATE_START:
        lay_late_start(w, &place, chance, out);
        break;
    case COURSE_BREAK_OFF:
        play_into(out, w, &place, chance);
        break;
    case COURSE_HAND_LOST:
        lay_hand_lost(w, &place, chance, out);
        break;
    case COURSE_SKIP:
    case COURSE_REPEAT:
    case COURSE_BAR_ADDED:
        lay_jump(course, w, &place, out);
        break;
    default:
        lay_stop(course, w, &place, chance, out);
        break;
    }
    return true;
}
