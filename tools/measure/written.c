#include "written.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"

enum { COUNT_IN_QUARTERS = 8 };

/* Whether a stroke is one of a double depends on the bar before and after it as well: a single, a
 * first and a second stroke are written with the same note. */
static int note_of(const struct eh_stroke *s) {
    return s->kind == EH_KIND_GRACE || s->kind == EH_KIND_BUZZ ? s->kind : EH_KIND_SINGLE;
}

static bool alike(const struct written *w, size_t bar_a, size_t bar_b, bool with_hands) {
    const struct eh_plan_bar *a = &w->plan.bars[bar_a];
    const struct eh_plan_bar *b = &w->plan.bars[bar_b];
    if (a->due_count != b->due_count || a->end - a->at != b->end - b->at) {
        return false;
    }
    for (uint32_t i = 0; i < a->due_count; i++) {
        const struct eh_stroke *x = written_stroke(w, a->first_due + i);
        const struct eh_stroke *y = written_stroke(w, b->first_due + i);
        if (x->in_bar != y->in_bar || note_of(x) != note_of(y) || x->accent != y->accent ||
            x->length != y->length || x->step_milli != y->step_milli ||
            (with_hands && x->hand != y->hand)) {
            return false;
        }
    }
    return true;
}

static void number_places(const struct written *w, bool with_hands, uint32_t *out) {
    for (size_t bar = 0; bar < w->plan.bar_count; bar++) {
        size_t first = 0;
        while (!alike(w, first, bar, with_hands)) {
            first++;
        }
        for (uint32_t i = 0; i < w->plan.bars[bar].due_count; i++) {
            out[w->plan.bars[bar].first_due + i] = w->plan.bars[first].first_due + i;
        }
    }
}

static double nearest(const struct written *w) {
    double least = INFINITY;
    for (size_t i = 0; i < w->plan.due_count; i++) {
        const size_t next = written_next_main(w, i);
        if (w->plan.due[i].main == i && next < w->plan.due_count) {
            least = fmin(least, (double)(w->plan.due[next].at - w->plan.due[i].at));
        }
    }
    return least * w->ms_per_tick;
}

static bool lay(struct written *w, double bpm, int bars, struct eh_error *error) {
    w->bpm = bpm;
    w->start = COUNT_IN_QUARTERS * EH_TICKS_PER_QUARTER;
    const int written_bars = eh_exercise_bar_count(w->exercise);
    w->last_bar = bars > 0 && bars < written_bars ? bars : 0;
    const struct eh_plan_request request = {.last_bar = w->last_bar};
    if (eh_tempo_map_init(&w->click, 0, 0, eh_ns_per_quarter(bpm)) != EH_OK ||
        eh_plan_init(&w->plan, w->exercise, &request, &w->click, w->start, error) != EH_OK) {
        return false;
    }
    w->ms_per_tick = (double)eh_ns_per_quarter(bpm) / 1e6 / (double)EH_TICKS_PER_QUARTER;
    w->same = calloc(w->plan.due_count, sizeof *w->same);
    w->heard = calloc(w->plan.due_count, sizeof *w->heard);
    if (w->same == NULL || w->heard == NULL) {
        return false;
    }
    number_places(w, true, w->same);
    number_places(w, false, w->heard);
    w->nearest_ms = nearest(w);
    return true;
}

bool written_open(struct written *out, const char *name, const char *text, double bpm, int bars) {
    struct eh_error error;
    eh_error_clear(&error);
    memset(out, 0, sizeof *out);
    (void)snprintf(out->name, sizeof out->name, "%s", name);
    if (eh_exercise_parse(&out->exercise, text, strlen(text), &error) != EH_OK ||
        !lay(out, bpm, bars, &error)) {
        (void)fprintf(stderr, "%s: line %d, column %d: %s\n", name, error.line, error.column,
                      error.text);
        written_close(out);
        return false;
    }
    const char *style = eh_exercise_style(out->exercise);
    (void)snprintf(out->style, sizeof out->style, "%s", style[0] != '\0' ? style : "rudimental");
    return true;
}

void written_close(struct written *w) {
    eh_plan_deinit(&w->plan);
    eh_tempo_map_deinit(&w->click);
    eh_exercise_free(w->exercise);
    free(w->same);
    free(w->heard);
    memset(w, 0, sizeof *w);
}

double written_ms(const struct written *w, eh_ticks at) {
    return (double)(w->start + at) * w->ms_per_tick;
}

size_t written_next_main(const struct written *w, size_t due) {
    do {
        due++;
    } while (due < w->plan.due_count && w->plan.due[due].main != due);
    return due;
}
