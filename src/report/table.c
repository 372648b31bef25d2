#include "table.h"

#include <math.h>
#include <string.h>

#include "number.h"
#include "rows.h"

enum column {
    COLUMN_NUMBER,
    COLUMN_STROKES,
    COLUMN_MISSED,
    COLUMN_EXTRA,
    COLUMN_OFFSET,
    COLUMN_SPREAD,
    COLUMN_LEFT,
    COLUMN_RIGHT,
    COLUMN_LIFT,
    COLUMN_COUNT
};

static const struct heading {
    const char *name, *unit;
    int width;
    const char *note; /* NULL where the name says it all */
} headings[COLUMN_COUNT] = {
    [COLUMN_NUMBER] = {"", "", 5, NULL},
    [COLUMN_STROKES] = {"strokes", "due", 9, NULL},
    [COLUMN_MISSED] = {"missed", "", 8, NULL},
    [COLUMN_EXTRA] = {"extra", "hits", 7, NULL},
    [COLUMN_OFFSET] = {"offset", "ms", 9, "Offset: median against the click, late positive."},
    [COLUMN_SPREAD] = {"spread", "ms", 8,
                       "Spread: of the strokes about that median (1.4826 times their median "
                       "deviation)."},
    [COLUMN_LEFT] = {"left 2nd", "share", 10, NULL},
    [COLUMN_RIGHT] = {"right 2nd", "share", 11,
                      "2nd: where the second stroke of a double falls between the first and the "
                      "stroke after it, as played (a hand that is late as a whole shows here too); "
                      "0.50 is even."},
    [COLUMN_LIFT] = {"accent", "dB", 9, "Accent: median lift over the taps of the bar."},
};

static const char own_tempo_note[] = "Offset: median against your own tempo, late positive.";

struct sheet {
    const struct report_paper *paper;
    const char *number_name; /* "bar", "pass" */
    const struct report_rows *rows;
    const struct report_rows *total; /* one row */
    bool no_click;
    bool shown[COLUMN_COUNT];
    int width[COLUMN_COUNT]; /* of the heading, or what the widest cell needs */
};

static double value_of(const struct report_row *row, enum column column) {
    switch (column) {
    case COLUMN_OFFSET:
        return row->offset_ms;
    case COLUMN_SPREAD:
        return row->spread_ms;
    case COLUMN_LEFT:
        return row->left;
    case COLUMN_RIGHT:
        return row->right;
    case COLUMN_LIFT:
        return row->lift_db;
    case COLUMN_NUMBER:
        return row->number;
    case COLUMN_STROKES:
        return row->strokes;
    case COLUMN_MISSED:
        return row->missed;
    case COLUMN_EXTRA:
        return row->extra;
    case COLUMN_COUNT:
        break;
    }
    return NAN;
}

static struct report_number cell_text(const struct report_row *row, enum column column) {
    const double value = value_of(row, column);
    struct report_number dash = {"-"};
    if (!report_known(value)) {
        return dash;
    }
    switch (column) {
    case COLUMN_OFFSET:
    case COLUMN_LIFT:
        return report_signed(value, 1);
    case COLUMN_SPREAD:
        return report_fixed(value, 1);
    case COLUMN_LEFT:
    case COLUMN_RIGHT:
        return report_fixed(value, 2);
    case COLUMN_NUMBER:
    case COLUMN_STROKES:
    case COLUMN_MISSED:
    case COLUMN_EXTRA:
    case COLUMN_COUNT:
        break;
    }
    return report_fixed(value, 0);
}

static void choose_columns(struct sheet *sheet) {
    for (int c = 0; c < COLUMN_COUNT; c++) {
        sheet->shown[c] = c < COLUMN_OFFSET;
        for (size_t i = 0; i < sheet->rows->count && !sheet->shown[c]; i++) {
            sheet->shown[c] = report_known(value_of(&sheet->rows->rows[i], (enum column)c));
        }
    }
}

static void widen(struct sheet *sheet, const struct report_row *row) {
    for (int c = 0; c < COLUMN_COUNT; c++) {
        const int needed = (int)strlen(cell_text(row, (enum column)c).text) + 2;
        sheet->width[c] = needed > sheet->width[c] ? needed : sheet->width[c];
    }
}

static void choose_widths(struct sheet *sheet) {
    for (int c = 0; c < COLUMN_COUNT; c++) {
        sheet->width[c] = headings[c].width;
    }
    for (size_t i = 0; i < sheet->rows->count; i++) {
        widen(sheet, &sheet->rows->rows[i]);
    }
    widen(sheet, &sheet->total->rows[0]);
}

/* The columns that stand beside each other: FROM up to the returned one. */
static int block_end(const struct sheet *sheet, int from) {
    int width = sheet->width[COLUMN_NUMBER];
    int c = from;
    while (c < COLUMN_COUNT) {
        width += sheet->shown[c] ? sheet->width[c] : 0;
        if (width > sheet->paper->width) {
            break;
        }
        c++;
    }
    return c;
}

static void add_right(struct eh_text *out, const char *text, int width) {
    eh_text_printf(out, "%*s", width, text);
}

static void add_row(const struct sheet *sheet, const struct report_row *row, const char *name,
                    int from, int to) {
    struct eh_text *out = sheet->paper->out;
    add_right(out, name, sheet->width[COLUMN_NUMBER]);
    for (int c = from; c < to; c++) {
        if (sheet->shown[c]) {
            add_right(out, cell_text(row, (enum column)c).text, sheet->width[c]);
        }
    }
    eh_text_add_char(out, '\n');
}

static void add_headings(const struct sheet *sheet, int from, int to) {
    struct eh_text *out = sheet->paper->out;
    add_right(out, sheet->number_name, sheet->width[COLUMN_NUMBER]);
    for (int c = from; c < to; c++) {
        if (sheet->shown[c]) {
            add_right(out, headings[c].name, sheet->width[c]);
        }
    }
    eh_text_add_char(out, '\n');
    add_right(out, "", sheet->width[COLUMN_NUMBER]);
    for (int c = from; c < to; c++) {
        if (sheet->shown[c]) {
            add_right(out, headings[c].unit, sheet->width[c]);
        }
    }
    eh_text_add_char(out, '\n');
}

static void add_block(const struct sheet *sheet, int from, int to) {
    add_headings(sheet, from, to);
    for (size_t i = 0; i < sheet->rows->count; i++) {
        const struct report_row *row = &sheet->rows->rows[i];
        add_row(sheet, row, cell_text(row, COLUMN_NUMBER).text, from, to);
    }
    add_row(sheet, &sheet->total->rows[0], "all", from, to);
}

static void add_sheet(struct sheet *sheet) {
    choose_columns(sheet);
    choose_widths(sheet);
    int from = COLUMN_STROKES;
    while (from < COLUMN_COUNT) {
        const int to = block_end(sheet, from);
        if (from > COLUMN_STROKES) {
            eh_text_add_char(sheet->paper->out, '\n');
        }
        add_block(sheet, from, to);
        from = to;
        while (from < COLUMN_COUNT && !sheet->shown[from]) {
            from++;
        }
    }
}

/* Only about what is shown. */
static void add_notes(const struct sheet *sheet, bool several) {
    struct eh_text notes = {0};
    for (int c = 0; c < COLUMN_COUNT; c++) {
        if (sheet->shown[c] && headings[c].note != NULL) {
            eh_text_printf(&notes, "%s ",
                           c == COLUMN_OFFSET && sheet->no_click ? own_tempo_note
                                                                 : headings[c].note);
        }
    }
    if (sheet->shown[COLUMN_LEFT] && !sheet->shown[COLUMN_RIGHT]) {
        eh_text_printf(&notes, "%s ", headings[COLUMN_RIGHT].note);
    }
    if (several) {
        eh_text_add(&notes, "Bars played several times are put together.");
    }
    report_wrap(sheet->paper, "", eh_text_string(&notes));
    sheet->paper->out->failed |= notes.failed;
    eh_text_deinit(&notes);
}

static enum eh_status add_table(const struct report_paper *paper,
                                const struct eh_judgement *judgement, enum report_grouping grouping,
                                const struct report_rows *total) {
    struct report_rows rows;
    const enum eh_status status = report_rows_init(&rows, judgement, grouping);
    if (status == EH_OK) {
        const bool bars = grouping == REPORT_BY_BAR;
        struct sheet sheet = {.paper = paper,
                              .number_name = bars ? "bar" : "pass",
                              .rows = &rows,
                              .total = total,
                              .no_click = judgement->no_click};
        report_heading(paper, bars ? "By bar" : "By pass");
        add_sheet(&sheet);
        if (bars) {
            add_notes(&sheet, rows.count < judgement->plan.bar_count);
        }
    }
    report_rows_deinit(&rows);
    return status;
}

enum eh_status report_tables(const struct report_paper *paper,
                             const struct eh_judgement *judgement) {
    struct report_rows total;
    enum eh_status status = report_rows_init(&total, judgement, REPORT_TOGETHER);
    if (status == EH_OK) {
        status = add_table(paper, judgement, REPORT_BY_BAR, &total);
    }
    if (status == EH_OK && judgement->plan.passes > 1) {
        status = add_table(paper, judgement, REPORT_BY_PASS, &total);
    }
    report_rows_deinit(&total);
    return status;
}
