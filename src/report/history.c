/* The list of stored runs. */
#include "evenhand/report.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#include "evenhand/utc.h"
#include "number.h"
#include "paper.h"

enum {
    NUMBER_COLUMNS = 5,
    WHEN_COLUMNS = 16,
    TEMPO_COLUMNS = 7, /* these three with the two spaces before them */
    FAULT_COLUMNS = 8,
    UNCLEAR_COLUMNS = 9,
    GAPS = 4, /* before the time and before the exercise */
    EXERCISE_LEAST = 10,
    INDENT = NUMBER_COLUMNS + 2
};

struct when {
    char text[40];
};

/* "2025-03-09 18:20" where it was played. */
static struct when local_time(const struct eh_run_row *row) {
    const int64_t local_s = row->started_utc_s + row->utc_offset_s;
    const int64_t days = (local_s >= 0 ? local_s : local_s - 86399) / 86400;
    const int minutes = (int)((local_s - days * 86400) / 60);
    int64_t year = 0;
    int month = 0;
    int day = 0;
    eh_civil_date(days, &year, &month, &day);
    struct when when;
    (void)snprintf(when.text, sizeof when.text, "%04" PRId64 "-%02u-%02u %02u:%02u", year,
                   (unsigned)month % 100U, (unsigned)day % 100U, (unsigned)minutes / 60U % 100U,
                   (unsigned)minutes % 60U);
    return when;
}

static int exercise_columns(const struct report_paper *paper) {
    return paper->width - NUMBER_COLUMNS - WHEN_COLUMNS - TEMPO_COLUMNS - FAULT_COLUMNS -
           UNCLEAR_COLUMNS - GAPS;
}

/* What the table does not say by itself. */
static void add_remark(struct eh_text *text, const struct eh_run_row *row) {
    eh_text_printf(text, "%s: ", row->style);
    if (row->judged && row->verdict.headline != NULL) {
        eh_text_add(text, row->verdict.headline);
    } else {
        eh_text_add(text, "not judged");
    }
    if (row->ended != EH_RUN_COMPLETE) {
        eh_text_printf(text, "; ended: %s", eh_run_ended_text(row->ended));
    }
    if (row->no_click) {
        eh_text_add(text, "; without a click");
    }
    if (row->source == EH_SOURCE_DEMO) {
        const bool fault = row->demo_fault != NULL && row->demo_fault[0] != '\0';
        eh_text_printf(text, "; demo player%s%s", fault ? ": " : "", fault ? row->demo_fault : "");
    }
    if (row->player != NULL && row->player[0] != '\0') {
        eh_text_printf(text, "; played by %s", row->player);
    }
    if (row->dropped > 0) {
        eh_text_printf(text, "; %u hit%s lost", (unsigned)row->dropped,
                       row->dropped == 1 ? "" : "s");
    }
}

static void add_remark_line(const struct report_paper *paper, const struct eh_run_row *row) {
    struct eh_text text = {0};
    char lead[INDENT + 1];
    (void)snprintf(lead, sizeof lead, "%*s", INDENT, "");
    add_remark(&text, row);
    report_wrap(paper, lead, eh_text_string(&text));
    paper->out->failed |= text.failed;
    eh_text_deinit(&text);
}

/* Where there was no click, the tempo is what the player made of it: the judgement has it. */
static struct when tempo_text(const struct eh_run_row *row) {
    struct when text = {"own"};
    if (!row->no_click) {
        (void)snprintf(text.text, sizeof text.text, "%.16s", report_fixed(row->tempo_bpm, 0).text);
    }
    return text;
}

static struct when count_text(const struct eh_run_row *row, uint32_t count) {
    struct when text = {"-"};
    if (row->judged) {
        (void)snprintf(text.text, sizeof text.text, "%u", (unsigned)count);
    }
    return text;
}

static void add_row(const struct report_paper *paper, const struct eh_run_row *row, int exercise) {
    struct eh_text *out = paper->out;
    eh_text_printf(out, "%*" PRId64 "  %-*s  ", NUMBER_COLUMNS, row->number, WHEN_COLUMNS,
                   local_time(row).text);
    report_cell(out, row->exercise, exercise);
    eh_text_printf(out, "%*s%*s%*s\n", TEMPO_COLUMNS, tempo_text(row).text, FAULT_COLUMNS,
                   count_text(row, row->verdict.faults).text, UNCLEAR_COLUMNS,
                   count_text(row, row->verdict.unclear).text);
    add_remark_line(paper, row);
}

/* Too narrow for a table: the same as a paragraph. */
static void add_paragraph(const struct report_paper *paper, const struct eh_run_row *row) {
    struct eh_text text = {0};
    char lead[32];
    (void)snprintf(lead, sizeof lead, "%*" PRId64 "  ", NUMBER_COLUMNS, row->number);
    eh_text_printf(
        &text, "%s %s, %s%s, %s to work on, %s unclear; ", local_time(row).text, row->exercise,
        tempo_text(row).text, row->no_click ? " tempo" : " to the quarter",
        count_text(row, row->verdict.faults).text, count_text(row, row->verdict.unclear).text);
    add_remark(&text, row);
    report_wrap(paper, lead, eh_text_string(&text));
    paper->out->failed |= text.failed;
    eh_text_deinit(&text);
}

static void add_headings(const struct report_paper *paper, int exercise) {
    struct eh_text *out = paper->out;
    eh_text_add(out, paper->colour ? "\x1b[1m" : "");
    eh_text_printf(out, "%*s  %-*s  %-*s%*s%*s%*s", NUMBER_COLUMNS, "run", WHEN_COLUMNS, "played",
                   exercise, "exercise", TEMPO_COLUMNS, "tempo", FAULT_COLUMNS, "faults",
                   UNCLEAR_COLUMNS, "unclear");
    eh_text_add(out, paper->colour ? "\x1b[0m\n" : "\n");
}

enum eh_status eh_report_history(const struct eh_run_row *rows, size_t count,
                                 const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    const int exercise = exercise_columns(&paper);
    if (count == 0) {
        eh_text_add(out, "No runs yet.\n");
        return eh_text_status(out);
    }
    if (exercise >= EXERCISE_LEAST) {
        add_headings(&paper, exercise);
    }
    for (size_t i = 0; i < count; i++) {
        if (exercise >= EXERCISE_LEAST) {
            add_row(&paper, &rows[i], exercise);
        } else {
            add_paragraph(&paper, &rows[i]);
        }
    }
    return eh_text_status(out);
}
