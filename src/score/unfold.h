/* From what is written to what is played: repeats, dynamics, strokes, doubles. */
#ifndef SCORE_UNFOLD_H
#define SCORE_UNFOLD_H

#include "model.h"

/* The distance between the strokes that a note with tremolo marks stands for; 0 where ticks cannot
 * express it. */
eh_ticks score_stroke_spacing(const struct score_item *item);

/* Fills the played bars, strokes and hairpins, and the whole length. Errors: EH_BAD_SYNTAX (a
 * repeat, a hold or a hairpin that leads nowhere; its place), EH_TOO_LARGE, EH_NO_MEMORY. */
EH_MUST_USE enum eh_status score_unfold(struct eh_exercise *exercise, struct eh_error *error);

/* Its parts. */

/* The written bars in playing order. *OUT_ORDER is the caller's to free. */
EH_MUST_USE enum eh_status score_order(const struct eh_exercise *exercise, size_t **out_order,
                                       size_t *out_count, struct eh_error *error);

/* Which dynamic holds from a place in the row of written bars on. */
struct score_span {
    eh_ticks at;
    uint8_t dynamic;
    int32_t hairpin; /* -1 outside */
};

/* A hairpin in the row of written bars. */
struct score_swell {
    eh_ticks from, to;
    uint8_t from_dynamic, to_dynamic;
    struct score_place place;
};

struct score_levels {
    struct score_span *spans;
    size_t span_count, span_capacity;
    struct score_swell *swells;
    size_t swell_count, swell_capacity;
};

/* Reads the marks. Frees nothing that was there before; the caller calls score_levels_deinit
 * whatever the status. */
EH_MUST_USE enum eh_status score_levels_read(struct score_levels *levels,
                                             const struct eh_exercise *exercise,
                                             struct eh_error *error);
void score_levels_deinit(struct score_levels *levels);

/* The span that holds at AT (the last one there). */
const struct score_span *score_levels_at(const struct score_levels *levels, eh_ticks at);

/* The level at AT in thousandths of a step. */
int16_t score_levels_milli(const struct score_levels *levels, const struct score_span *span,
                           eh_ticks at);

/* Says which strokes are single, first and second of a double, or a buzz. */
void score_mark_kinds(struct eh_stroke *strokes, size_t count);

#endif
