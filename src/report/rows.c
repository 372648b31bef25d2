#include "rows.h"

#include <math.h>
#include <stdlib.h>

#include "evenhand/stats.h"
#include "number.h"

enum { SPREAD_LEAST = 3 };

/* A bar of the plan with the number of the row that it goes into. */
struct placed {
    int32_t number;
    size_t bar;
};

/* Room that is needed while rows are made. */
struct desk {
    const struct eh_judgement *judgement;
    struct eh_bar_summary *bars;
    struct placed *placed;
    double *values; /* as many as there are strokes or bars, whichever is more */
};

static int by_number(const void *a, const void *b) {
    const struct placed *left = a;
    const struct placed *right = b;
    if (left->number != right->number) {
        return left->number < right->number ? -1 : 1;
    }
    return left->bar < right->bar ? -1 : left->bar > right->bar;
}

static int32_t row_number(const struct eh_plan_bar *bar, enum report_grouping grouping) {
    switch (grouping) {
    case REPORT_BY_BAR:
        return bar->written;
    case REPORT_BY_PASS:
        return bar->pass + 1;
    case REPORT_TOGETHER:
        break;
    }
    return 0;
}

static enum eh_status desk_init(struct desk *desk, const struct eh_judgement *judgement,
                                enum report_grouping grouping) {
    const struct eh_plan *plan = &judgement->plan;
    const size_t most = plan->due_count > plan->bar_count ? plan->due_count : plan->bar_count;
    *desk = (struct desk){.judgement = judgement};
    desk->bars = calloc(plan->bar_count, sizeof *desk->bars);
    desk->placed = calloc(plan->bar_count, sizeof *desk->placed);
    desk->values = calloc(most, sizeof *desk->values);
    if (desk->bars == NULL || desk->placed == NULL || desk->values == NULL) {
        return EH_NO_MEMORY;
    }
    const struct eh_measure_input input = {.plan = plan,
                                           .hits = judgement->take->hits,
                                           .hit_count = judgement->take->count,
                                           .matches = judgement->matches,
                                           .fates = judgement->fates,
                                           .pad = judgement->pad,
                                           .style = judgement->style,
                                           .resolution_ns = judgement->take->resolution_ns};
    for (size_t i = 0; i < plan->bar_count; i++) {
        eh_measure_bar(&input, i, &desk->bars[i]);
        desk->placed[i] = (struct placed){row_number(&plan->bars[i], grouping), i};
    }
    qsort(desk->placed, plan->bar_count, sizeof *desk->placed, by_number);
    return EH_OK;
}

static void desk_deinit(struct desk *desk) {
    free(desk->bars);
    free(desk->placed);
    free(desk->values);
}

/* The offsets of the main strokes in placed bars FROM .. TO; returns how many. */
static size_t gather_offsets(struct desk *desk, size_t from, size_t to) {
    const struct eh_plan *plan = &desk->judgement->plan;
    size_t n = 0;
    for (size_t i = from; i < to; i++) {
        const struct eh_plan_bar *bar = &plan->bars[desk->placed[i].bar];
        for (size_t due = bar->first_due; due < bar->first_due + bar->due_count; due++) {
            const double offset = eh_judgement_offset_ms(desk->judgement, due);
            if (report_known(offset) && eh_plan_stroke(plan, due)->kind != EH_KIND_GRACE) {
                desk->values[n++] = offset;
            }
        }
    }
    return n;
}

typedef double (*bar_value)(const struct eh_bar_summary *bar);

static double bar_left(const struct eh_bar_summary *bar) {
    return bar->spacing_left;
}

static double bar_right(const struct eh_bar_summary *bar) {
    return bar->spacing_right;
}

static double bar_lift(const struct eh_bar_summary *bar) {
    return bar->lift_db;
}

static double median_of(struct desk *desk, size_t from, size_t to, bar_value value) {
    size_t n = 0;
    for (size_t i = from; i < to; i++) {
        const double v = value(&desk->bars[desk->placed[i].bar]);
        if (report_known(v)) {
            desk->values[n++] = v;
        }
    }
    return n > 0 ? eh_median(desk->values, n) : (double)NAN;
}

static struct report_row make_row(struct desk *desk, size_t from, size_t to) {
    struct report_row row = {.number = desk->placed[from].number,
                             .times = (uint32_t)(to - from),
                             .offset_ms = NAN,
                             .spread_ms = NAN};
    for (size_t i = from; i < to; i++) {
        const struct eh_bar_summary *bar = &desk->bars[desk->placed[i].bar];
        row.strokes += bar->strokes;
        row.missed += bar->missed;
        row.extra += bar->extra;
    }
    const size_t n = gather_offsets(desk, from, to);
    if (n > 0) {
        row.offset_ms = eh_median(desk->values, n);
        row.spread_ms = n >= SPREAD_LEAST ? eh_mad(desk->values, n) : (double)NAN;
    }
    row.left = median_of(desk, from, to, bar_left);
    row.right = median_of(desk, from, to, bar_right);
    row.lift_db = median_of(desk, from, to, bar_lift);
    return row;
}

static void fill_rows(struct report_rows *rows, struct desk *desk) {
    const size_t bars = desk->judgement->plan.bar_count;
    size_t from = 0;
    while (from < bars) {
        size_t to = from + 1;
        while (to < bars && desk->placed[to].number == desk->placed[from].number) {
            to++;
        }
        rows->rows[rows->count++] = make_row(desk, from, to);
        from = to;
    }
}

enum eh_status report_rows_init(struct report_rows *out_rows, const struct eh_judgement *judgement,
                                enum report_grouping grouping) {
    struct desk desk;
    enum eh_status status = desk_init(&desk, judgement, grouping);
    out_rows->count = 0;
    out_rows->rows = calloc(judgement->plan.bar_count, sizeof *out_rows->rows);
    if (status == EH_OK && out_rows->rows != NULL) {
        fill_rows(out_rows, &desk);
        if (grouping ==
            REPORT_TOGETHER) { /* those before the first bar line and after the last too */
            out_rows->rows[0].extra = judgement->extra;
        }
    } else {
        status = EH_NO_MEMORY;
    }
    desk_deinit(&desk);
    return status;
}

void report_rows_deinit(struct report_rows *rows) {
    free(rows->rows);
    rows->rows = NULL;
    rows->count = 0;
}
