/* The sheet's inside: what fails, in an order, and the parts that say it. */
#ifndef EVENHAND_REPORT_SHEET_INSIDE_H
#define EVENHAND_REPORT_SHEET_INSIDE_H

#include "evenhand/report_sheet.h"
#include "paper.h"

/* One thing that fails: in some bars, in the whole run, or in the tempo's course. */
struct sheet_fault {
    const struct eh_located *located;
    const struct eh_place *place;   /* NULL: the whole run */
    const struct eh_tempo_leg *leg; /* the tempo: NULL where it is no leg */
    double weight;
};

enum { SHEET_FAULTS_MAX = EH_FINDINGS_MAX * EH_PLACES_MAX };

struct sheet_faults {
    struct sheet_fault list[SHEET_FAULTS_MAX]; /* the weightiest first */
    size_t count;
};

/* What every part works on. */
struct sheet_desk {
    const struct eh_sheet *sheet;
    struct report_paper paper;
    struct sheet_faults faults;
    int32_t first_bar, last_bar; /* written, of the run */
    bool asks_tempo;
    struct eh_finding tempo; /* ASKS_TEMPO: its finding. Without a click its change is that of the
                                course, end against beginning: the document's is the bend of a
                                curve, which takes an even change for granted */
};

/* Collects what fails, but for the tempo's change as a whole where its legs say it. */
void sheet_collect(struct sheet_desk *desk);

/* The bars of a fault; false: it is all through. */
bool sheet_bars(const struct sheet_desk *desk, const struct sheet_fault *fault, int32_t *out_first,
                int32_t *out_last);

/* "bar 5", "bars 5 to 8". */
void sheet_add_bars(struct eh_text *text, int32_t first, int32_t last);

/* The finding that the sheet tells of a question. */
const struct eh_finding *sheet_finding(const struct sheet_desk *desk, const struct eh_located *l);

/* TEXT of a finding without its list of bars: the sheet names them itself. */
void sheet_add_sentence(struct eh_text *text, const char *sentence, bool capital);

/* Writes a sentence as a paragraph and empties it. */
void sheet_put(const struct report_paper *paper, const char *lead, struct eh_text *sentence);

/* The parts. */
void sheet_say_tempo(const struct sheet_desk *desk);
void sheet_say_work(const struct sheet_desk *desk);
void sheet_say_table(const struct sheet_desk *desk);

#endif
