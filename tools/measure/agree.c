#include "agree.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

double agreement_precision(const struct agreement *a, enum strictness how) {
    return a->found > 0 ? (double)a->right[how] / (double)a->found : a->played == 0;
}

static double asked(const struct agreement *a, enum strictness how) {
    return (double)(a->played + (how == NEAR ? a->hidden : 0));
}

double agreement_recall(const struct agreement *a, enum strictness how) {
    return asked(a, how) > 0.0 ? (double)a->right[how] / asked(a, how) : a->found == 0;
}

double agreement_f(const struct agreement *a, enum strictness how) {
    const double sum = (double)a->found + asked(a, how);
    return sum > 0.0 ? 2.0 * (double)a->right[how] / sum : 1.0;
}

void agreement_add(struct agreement *sum, const struct agreement *a) {
    sum->found += a->found;
    sum->played += a->played;
    sum->hidden += a->hidden;
    for (int i = 0; i < STRICTNESS_COUNT; i++) {
        sum->right[i] += a->right[i];
    }
}

bool agree_means(const struct written *w, const struct blow *blow, uint32_t due,
                 enum strictness how) {
    const int32_t meant[2] = {blow->due, blow->also};
    for (int k = 0; k < 2; k++) {
        if (meant[k] < 0) {
            continue;
        }
        const uint32_t m = (uint32_t)meant[k];
        /* Of several like grace notes of which one was not heard, none can say which it was. */
        const bool same_figure = w->plan.due[m].main != m && w->plan.due[due].main != due &&
                                 w->plan.due[m].main == w->plan.due[due].main;
        if (m == due || same_figure || (how == SAME && w->same[m] == w->same[due]) ||
            (how >= HEARD && w->heard[m] == w->heard[due])) {
            return true;
        }
    }
    return false;
}

/* The blow of a written stroke nearest to AT_MS; NULL: none within NEAR_MS. */
static const struct blow *nearest_blow(const struct blows *blows, double at_ms) {
    size_t low = 0;
    size_t high = blows->count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (blows->row[middle].at_ms < at_ms - NEAR_MS) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    const struct blow *best = NULL;
    for (; low < blows->count && blows->row[low].at_ms <= at_ms + NEAR_MS; low++) {
        const struct blow *blow = &blows->row[low];
        if (blow->role == ROLE_STROKE &&
            (best == NULL || fabs(blow->at_ms - at_ms) < fabs(best->at_ms - at_ms))) {
            best = blow;
        }
    }
    return best;
}

static bool was_reported(const struct reported *reported, int32_t due) {
    for (size_t h = 0; h < reported->count; h++) {
        if (reported->truth[h].role == ROLE_STROKE && reported->truth[h].due == due) {
            return true;
        }
    }
    return false;
}

/* Adds a pair whose hit was not meant for the stroke, where it is as good as the one that was. */
static void add_near(struct agreement *a, const struct written *w, const struct blows *blows,
                     const struct reported *reported, const struct blow *blow, uint32_t due) {
    const struct blow *near = nearest_blow(blows, blow->at_ms);
    if (near == NULL || !agree_means(w, near, due, NEAR)) {
        near = blow->role == ROLE_BOUNCE && blow->due == (int32_t)due ? blow : NULL;
    }
    if (near != NULL) {
        a->right[NEAR]++;
        a->hidden += !was_reported(reported, near->due);
    }
}

static uint64_t count_played(const struct written *w, const struct reported *reported) {
    uint64_t played = 0;
    bool *seen = calloc(w->plan.due_count, sizeof *seen);
    if (seen == NULL) {
        (void)fprintf(stderr, "no memory for %zu strokes\n", w->plan.due_count);
        abort();
    }
    for (size_t h = 0; h < reported->count; h++) {
        const struct blow *blow = &reported->truth[h];
        if (blow->role == ROLE_STROKE && !seen[blow->due]) {
            seen[blow->due] = true;
            played++;
        }
    }
    free(seen);
    return played;
}

struct agreement agree(const struct written *w, const struct blows *blows,
                       const struct reported *reported, const struct eh_match *matches) {
    struct agreement a = {.played = count_played(w, reported)};
    for (uint32_t due = 0; due < w->plan.due_count; due++) {
        if (matches[due].hit == EH_NO_HIT) {
            continue;
        }
        a.found++;
        const struct blow *blow = &reported->truth[matches[due].hit];
        const bool stroke = blow->role == ROLE_STROKE;
        for (int how = 0; how < STRICTNESS_COUNT && stroke; how++) {
            a.right[how] += agree_means(w, blow, due, (enum strictness)how);
        }
        if (!stroke || !agree_means(w, blow, due, NEAR)) {
            add_near(&a, w, blows, reported, blow, due);
        }
    }
    return a;
}
