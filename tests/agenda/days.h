/* Made-up histories: pieces of a few bars, runs with one finding or two. */
#ifndef EVENHAND_TEST_DAYS_H
#define EVENHAND_TEST_DAYS_H

#include "evenhand/agenda.h"

enum { TODAY = 20000, PIECES = 9, RUNS = 60 };

struct days {
    struct eh_exercise *exercises[PIECES];
    struct eh_agenda_piece pieces[PIECES];
    struct eh_agenda_run runs[RUNS];
    struct eh_finding findings[RUNS][2];
    struct eh_agenda_input input;
};

/* COUNT pieces of sixteen bars with accents and doubles, 60 to 120 to the quarter, and no warm-up;
 * twenty minutes. Give it back with days_free. */
struct days *days_new(size_t count);
void days_free(struct days *days);

/* Makes PIECE a warm-up of any kind. */
void days_warm_up(struct days *days, int32_t piece);

/* Adds the next older run, AGO days before TODAY, of all bars. LETTER: 'c' clean; 'l' left seconds
 * late in bar 5 and 6; 'e' early there; 'a' right accents under in bar 12; 'b' both of them; 'u'
 * left seconds unclear; 'f' and 'F' the same, four strokes of them, even and late. */
struct eh_agenda_run *days_run(struct days *days, size_t piece, int64_t ago, double bpm,
                               char letter);

/* The plan; fails the test where there is none. */
struct eh_agenda days_plan(const struct days *days);

/* The first item of KIND; NULL: none. */
const struct eh_agenda_item *days_item(const struct eh_agenda *agenda, enum eh_agenda_kind kind);

#endif
