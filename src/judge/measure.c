/* The findings of a run, aspect by aspect. Definitions, tolerances and reasons: docs/measures.md.
 */
#include "measure.h"

#include <math.h>
#include <stdlib.h>

/* The player's constant part: the median, which neither wild strokes nor a limping hand move. */
static double constant_offset(struct measures *m) {
    size_t n = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (m->row[i].main && m->row[i].matched) {
            m->a[n++] = m->row[i].off_ms;
        }
    }
    return eh_median(m->a, n);
}

static int rank(const struct eh_finding *f) {
    return f->aspect * 4 + f->side;
}

static void sort_findings(struct eh_judgement *j) {
    for (size_t i = 1; i < j->finding_count; i++) {
        struct eh_finding f = j->findings[i];
        size_t k = i;
        for (; k > 0 && rank(&j->findings[k - 1]) > rank(&f); k--) {
            j->findings[k] = j->findings[k - 1];
        }
        j->findings[k] = f;
    }
}

enum eh_status eh_measure(const struct eh_measure_input *input, struct eh_judgement *judgement) {
    void *room = malloc(measures_size(input));
    if (room == NULL) {
        return EH_NO_MEMORY;
    }
    struct measures m;
    measures_init(&m, input, judgement, room);
    judgement->finding_count = 0;
    judgement->offset_ms = constant_offset(&m);
    measure_mark_hidden(&m);
    measure_trends(&m);
    measure_unmarked_accent(&m); /* first: places that stick out are no taps to compare with */
    measure_diddle_spacing(&m);
    measure_diddle_level(&m);
    measure_accent(&m);
    measure_tap_level(&m);
    measure_flams(&m);
    measure_buzz(&m);
    measure_hand_level(&m);
    measure_hand_timing(&m);
    measure_timing(&m);
    if (input->free_tempo != NULL) {
        measure_free_tempo(&m);
    } else {
        measure_tempo(&m);
    }
    measure_counts(&m);
    measure_dynamics(&m);
    measure_hairpin(&m);
    measure_rim(&m);
    measure_sticking(&m);
    free(room);
    sort_findings(judgement);
    return EH_OK;
}
