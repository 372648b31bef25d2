/* The main strokes of a plan as the search for a tempo sees them. */
#include <math.h>
#include <stdlib.h>

#include "free.h"

static double quarters(eh_ticks ticks) {
    return (double)ticks / (double)EH_TICKS_PER_QUARTER;
}

/* Nothing is nearer to a lone stroke than this. */
static const double widest = 4.0;

static void space(struct free_notes *notes) {
    for (size_t i = 0; i < notes->count; i++) {
        struct free_note *note = &notes->notes[i];
        note->spacing = widest;
        if (i > 0) {
            note->spacing = fmin(note->spacing, note->at - note[-1].at);
        }
        if (i + 1 < notes->count) {
            note->spacing = fmin(note->spacing, note[1].at - note->at);
        }
    }
}

enum eh_status free_notes_init(struct free_notes *out, const struct eh_plan *plan) {
    *out = (struct free_notes){.notes = calloc(plan->due_count, sizeof *out->notes),
                               .slowest = eh_exercise_tempo_start(plan->exercise),
                               .fastest = eh_exercise_tempo_goal(plan->exercise)};
    if (out->notes == NULL) {
        return EH_NO_MEMORY;
    }
    if (out->fastest < out->slowest) {
        const double swap = out->fastest;
        out->fastest = out->slowest;
        out->slowest = swap;
    }
    for (size_t i = 0; i < plan->due_count; i++) {
        const struct eh_due *due = &plan->due[i];
        const struct eh_stroke *stroke = eh_plan_stroke(plan, i);
        if (due->main != i) {
            continue;
        }
        const struct eh_plan_bar *bar = &plan->bars[due->bar];
        const double beat = 4.0 / bar->unit;
        const double in_bar = quarters(due->at - bar->at);
        out->notes[out->count++] = (struct free_note){
            .at = quarters(due->at),
            .beat = beat,
            .due = (uint32_t)i,
            .bar = due->bar,
            .graces = stroke->grace_count,
            .buzz = stroke->kind == EH_KIND_BUZZ,
            .on_beat = fabs(in_bar / beat - round(in_bar / beat)) < 1e-9,
            .in_time = stroke->kind == EH_KIND_SINGLE || stroke->kind == EH_KIND_FIRST ||
                       stroke->kind == EH_KIND_BUZZ};
    }
    space(out);
    return out->count > 0 ? EH_OK : EH_EMPTY;
}

void free_notes_deinit(struct free_notes *notes) {
    free(notes->notes);
    *notes = (struct free_notes){0};
}
