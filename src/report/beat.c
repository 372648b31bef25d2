/* What is shown while a run is being played. */
#include "evenhand/report.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"
#include "paper.h"

/* From here on a bar's value is worth a glance. A place to look, never a verdict: the scatter of
 * good players reaches half as far in a bar of four doubles a hand. Common practice, no source. */
static const double seconds_share = 0.10;
static const double offset_ms = 25.0;

enum { REMARKS_MOST = 2, REMARK = 32 };

struct remarks {
    char text[REMARKS_MOST][REMARK];
    int count;
};

static char *next_remark(struct remarks *remarks) {
    return remarks->count < REMARKS_MOST ? remarks->text[remarks->count++] : NULL;
}

static void remark_count(struct remarks *remarks, uint32_t count, const char *word) {
    char *remark = count > 0 ? next_remark(remarks) : NULL;
    if (remark != NULL) {
        (void)snprintf(remark, REMARK, "%u %s", (unsigned)count, word);
    }
}

static void remark_seconds(struct remarks *remarks, double share, const char *hand) {
    const bool stands_out = report_known(share) && fabs(share - 0.5) > seconds_share;
    char *remark = stands_out ? next_remark(remarks) : NULL;
    if (remark != NULL) {
        (void)snprintf(remark, REMARK, "%.8s seconds %.12s", hand, report_fixed(share, 2).text);
    }
}

static void remark_offset(struct remarks *remarks, double ms) {
    const bool stands_out = report_known(ms) && fabs(ms) >= offset_ms;
    char *remark = stands_out ? next_remark(remarks) : NULL;
    if (remark != NULL) {
        (void)snprintf(remark, REMARK, "%.16s ms %s", report_fixed(fabs(ms), 0).text,
                       ms > 0.0 ? "late" : "early");
    }
}

static struct remarks remark_bar(const struct eh_bar_summary *bar) {
    struct remarks remarks = {.count = 0};
    if (bar->strokes > 0 && bar->matched == 0) {
        (void)snprintf(next_remark(&remarks), REMARK, "nothing heard");
        return remarks;
    }
    remark_count(&remarks, bar->missed, "missed");
    remark_count(&remarks, bar->extra, "extra");
    remark_seconds(&remarks, bar->spacing_left, "left");
    remark_seconds(&remarks, bar->spacing_right, "right");
    remark_offset(&remarks, bar->offset_ms);
    if (remarks.count == 0) {
        (void)snprintf(next_remark(&remarks), REMARK, bar->strokes > 0 ? "all there" : "rest");
    }
    return remarks;
}

void eh_report_bar_line(const struct eh_bar_summary *bar, const struct eh_report_look *look,
                        struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    const struct remarks remarks = remark_bar(bar);
    char line[128];
    int length = 0;
    if (bar->pass > 0) {
        length =
            snprintf(line, sizeof line, "Pass %d, bar %-4d", (int)bar->pass + 1, (int)bar->written);
    } else {
        length = snprintf(line, sizeof line, "Bar %-4d", (int)bar->written);
    }
    for (int i = 0; i < remarks.count; i++) {
        length += snprintf(line + length, sizeof line - (size_t)length, "  %s", remarks.text[i]);
    }
    report_line(&paper, line);
}

/* A metre whose places do not fit in a line. */
static void add_beat_number(int beat, int beats, struct eh_text *out) {
    eh_text_printf(out, "%3d of %d", beat, beats);
}

static void add_places(int beat, int beats, int place, struct eh_text *out) {
    for (int i = 1; i <= beats; i++) {
        char text[16] = ".";
        if (i == beat) {
            (void)snprintf(text, sizeof text, "%d", i);
        }
        if (i > 1) {
            eh_text_add_char(out, ' ');
        }
        report_cell(out, text, place - 1);
    }
}

void eh_report_beat(const char *label, int beat, int beats, const struct eh_report_look *look,
                    struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    const int place = beats > 9 ? 3 : 2; /* digits and a space */
    int column = 0;
    if (label != NULL && label[0] != '\0') {
        const int most = paper.width / 2;
        column = report_columns(label) < most ? report_columns(label) : most;
        report_cell(out, label, column);
        eh_text_add(out, "  ");
        column += 2;
    }
    if (beats > 99 || column + beats * place - 1 > paper.width) {
        add_beat_number(beat, beats, out);
    } else {
        add_places(beat, beats, place, out);
    }
}
