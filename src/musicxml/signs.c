/* Repeats and endings in the order that an exercise allows: what only differs in how it is drawn is
 * put right and remarked; what would be played in another way is left to the builder to refuse. */
#include "read.h"

static void drop_open(struct mx_reading *reading, int opened) {
    if (opened >= 0) {
        struct mx_bar *bar = &reading->rows.bars[opened];
        bar->repeat_from = false;
        mx_remark(reading, opened, bar->line,
                  "a repeat that begins and does not end is played once");
    }
}

/* The last measure of the ending that begins with FROM: the one with the repeat sign, else -1. */
static int ending_back(const struct mx_reading *reading, int from) {
    const struct mx_bar *bars = reading->rows.bars;
    const int count = (int)reading->rows.bar_count;
    for (int i = from; i < count; i++) {
        if (i > from && (bars[i].endings != 0 || bars[i].repeat_from)) {
            return -1;
        }
        if (bars[i].times != 0) {
            return i;
        }
        if (bars[i].ending_stops) {
            return -1;
        }
    }
    return -1;
}

/* Behind the last ending there is nothing more to go back to: a repeat sign there starts over what
 * has been played. */
static int last_of_ending(const struct mx_reading *reading, int from) {
    const struct mx_bar *bars = reading->rows.bars;
    const int count = (int)reading->rows.bar_count;
    int last = from;
    while (last + 1 < count && !bars[last].ending_stops && bars[last + 1].endings == 0 &&
           !bars[last + 1].repeat_from) {
        last++;
    }
    return bars[last].ending_stops ? last : from;
}

static unsigned next_bit(unsigned played) {
    unsigned bit = 1;
    while ((played & bit) != 0) {
        bit <<= 1;
    }
    return bit;
}

/* The endings that begin with FROM; returns the first measure behind them. */
static int clean_endings(struct mx_reading *reading, int from) {
    struct mx_bar *bars = reading->rows.bars;
    const int count = (int)reading->rows.bar_count;
    unsigned played = 0;
    int at = from;
    for (;;) {
        const int last = ending_back(reading, at);
        played |= bars[at].endings;
        if (last < 0) {
            const int end = last_of_ending(reading, at);
            return end + 1;
        }
        if (last + 1 == count || (bars[last + 1].endings == 0 && at != from)) {
            bars[last].times = 0;
            mx_remark(reading, last, bars[last].line,
                      "the repeat sign at the end of the last ending is not followed");
            return last + 1;
        }
        if (bars[last].times != 2) {
            bars[last].times = 2;
            mx_remark(reading, last, bars[last].line,
                      "how often an ending is played is read from the endings' numbers");
        }
        at = last + 1;
        if (bars[at].endings == 0) {
            /* One bracket only: the second time leads to what follows it. */
            bars[at].endings = (uint16_t)next_bit(played);
            return at + 1;
        }
    }
}

/* A repeat that ends behind endings and begins nowhere begins behind them. */
static void open_after(struct mx_reading *reading, int at) {
    struct mx_bar *bars = reading->rows.bars;
    for (int i = at; i < (int)reading->rows.bar_count; i++) {
        if (bars[i].repeat_from) {
            return;
        }
        if (bars[i].times != 0 || bars[i].endings != 0) {
            bars[at].repeat_from = true;
            return;
        }
    }
}

/* An ending at the very end with a repeat sign has nothing that could follow the second time. */
static bool is_lonely_ending(const struct mx_reading *reading, int from) {
    const int last = ending_back(reading, from);
    return last < 0 ? false : last + 1 == (int)reading->rows.bar_count;
}

enum eh_status mx_clean_signs(struct mx_reading *reading) {
    struct mx_bar *bars = reading->rows.bars;
    const int count = (int)reading->rows.bar_count;
    int opened = -1;
    for (int i = 0; i < count; i++) {
        if (bars[i].repeat_from) {
            drop_open(reading, opened);
            opened = i;
        }
        if ((bars[i].endings & 1u) != 0 && !is_lonely_ending(reading, i) &&
            ending_back(reading, i) >= 0) {
            i = clean_endings(reading, i) - 1;
            opened = -1;
            open_after(reading, i + 1);
        } else if (bars[i].endings != 0) {
            bars[i].endings = 0;
            mx_remark(reading, i, bars[i].line,
                      "an ending that belongs to no repeat is read as an ordinary measure");
        }
        if (i < count && bars[i].times != 0 && bars[i].endings == 0) {
            opened = -1;
        }
    }
    drop_open(reading, opened);
    return EH_OK;
}
