/* What is shown while somebody plays to no click. */
#include "evenhand/report.h"

#include <stdio.h>

#include "number.h"
#include "paper.h"

/* So many hits in a row that fit nothing written are worth saying: fewer are a slip, or grace notes
 * whose main stroke is still to come. */
enum { LOOSE_LEAST = 4, WORDS = 96 };

static int add_bar(char *line, size_t size, const struct eh_plan_bar *where) {
    return where->pass > 0 ? snprintf(line, size, "Pass %d, bar %-4d", (int)where->pass + 1,
                                      (int)where->written)
                           : snprintf(line, size, "Bar %-4d", (int)where->written);
}

void eh_report_heard_line(const struct eh_free_bar *bar, const struct eh_plan_bar *where,
                          const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    char line[WORDS];
    int length = add_bar(line, sizeof line, where);
    length += snprintf(line + length, sizeof line - (size_t)length, "  %u stroke%s heard",
                       (unsigned)bar->strokes, bar->strokes == 1 ? "" : "s");
    if (report_known(bar->bpm)) {
        (void)snprintf(line + length, sizeof line - (size_t)length, ", %.16s to the quarter",
                       report_fixed(bar->bpm, 0).text);
    }
    report_line(&paper, line);
}

void eh_report_place(const struct eh_free_place *place, const struct eh_plan *plan, size_t hits,
                     const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    char line[WORDS];
    int length = snprintf(line, sizeof line, "%zu hit%s so far", hits, hits == 1 ? "" : "s");
    if (hits == 0) {
        length = snprintf(line, sizeof line, "in your own time");
    } else if (place->in.strokes > 0) {
        length += snprintf(line + length, sizeof line - (size_t)length, "; in bar %d",
                           (int)plan->bars[place->in.bar].written);
    }
    if (place->loose >= LOOSE_LEAST) {
        (void)snprintf(line + length, sizeof line - (size_t)length,
                       ", the latest %u are not written there", (unsigned)place->loose);
    } else if (place->known) {
        (void)snprintf(line + length, sizeof line - (size_t)length, ", %.16s to the quarter",
                       report_fixed(place->in.bpm, 0).text);
    }
    eh_text_printf(out, "%.*s", paper.width - 1, line);
}
