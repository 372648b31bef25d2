/* The rows of the tables: bars of a run put together by written number or by pass. */
#ifndef EVENHAND_REPORT_ROWS_H
#define EVENHAND_REPORT_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/judgement.h"

enum report_grouping { REPORT_BY_BAR, REPORT_BY_PASS, REPORT_TOGETHER };

/* Counts are sums. The others are medians over the times that a bar was played, but for offset and
 * spread, which rest on all main strokes at once. NAN where there is none. */
struct report_row {
    int32_t number; /* written bar, or pass from 1; 0 for all together */
    uint32_t times; /* plan bars in it */
    uint32_t strokes, missed, extra;
    double offset_ms;   /* median, late positive */
    double spread_ms;   /* 1.4826 MAD about it; NAN below three strokes */
    double left, right; /* share of the second strokes of doubles */
    double lift_db;
};

struct report_rows {
    struct report_row *rows; /* owned; rising numbers */
    size_t count;
};

EH_MUST_USE enum eh_status report_rows_init(struct report_rows *out_rows,
                                            const struct eh_judgement *judgement,
                                            enum report_grouping grouping);
void report_rows_deinit(struct report_rows *rows);

#endif
