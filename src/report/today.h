/* Words that the plan of a day and its end have in common. */
#ifndef EVENHAND_REPORT_TODAY_WORDS_H
#define EVENHAND_REPORT_TODAY_WORDS_H

#include "evenhand/report_today.h"

struct today_words {
    char text[80];
};

/* "92", "92.5"; "100 to 108". */
struct today_words today_tempo(double bpm);
struct today_words today_range(double low, double high);

/* "A", "B" ... what takes turns; "W" the warm-up, "R" the run-through. */
struct today_words today_mark(const struct eh_agenda *agenda, size_t item);

/* "bars 1 to 4" with " to " between them, "bar 3", "all bars". */
struct today_words today_bars(const struct eh_agenda_item *item, const struct eh_today_piece *piece,
                              const char *to);

/* "today", "yesterday", "3 days ago". */
struct today_words today_days(int64_t days);

#endif
