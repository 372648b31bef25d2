/* Repeats and endings: the written bars in playing order. */
#include <stdlib.h>

#include "evenhand/exercise_text.h"
#include "unfold.h"

#define NOWHERE SIZE_MAX

struct order {
    const struct eh_exercise *exercise;
    struct eh_error *error;
    size_t *bars;
    size_t count, capacity;
    size_t from; /* where a repeat sign leads back to, or NOWHERE */
    bool opened; /* a |: is waiting for its :| */
};

static enum eh_status wrong(const struct order *order, struct score_place place, const char *text) {
    return eh_fail_at(order->error, EH_BAD_SYNTAX, place.line, place.column, "%s", text);
}

/* Plays the written bars FROM up to and without TO. */
static enum eh_status play(struct order *order, size_t from, size_t to) {
    const struct score_place place = order->exercise->bars[from < to ? from : 0].place;
    if (order->count + (to - from) > EH_EXERCISE_PLAYED_BARS_MAX) {
        return eh_fail_at(order->error, EH_TOO_LARGE, place.line, place.column,
                          "expected at most %d bars with all repeats played, found more",
                          EH_EXERCISE_PLAYED_BARS_MAX);
    }
    size_t *bars =
        score_grow(order->bars, &order->capacity, order->count + (to - from) + 1, sizeof *bars);
    if (bars == NULL) {
        return eh_fail(order->error, EH_NO_MEMORY, "not enough memory for the exercise");
    }
    order->bars = bars;
    for (size_t i = from; i < to; i++) {
        bars[order->count++] = i;
    }
    return EH_OK;
}

/* The first bar at or after INDEX that ends in a repeat sign, if no other sign comes before. */
static size_t ending_back(const struct eh_exercise *exercise, size_t index) {
    for (size_t i = index; i < exercise->bar_count; i++) {
        const struct score_bar *bar = &exercise->bars[i];
        if (i > index && (bar->repeat_from || bar->endings != 0)) {
            return NOWHERE;
        }
        if (bar->times != 0) {
            return i;
        }
    }
    return NOWHERE;
}

/* The next number that an ending must bear after those of MASK: 3 after 1 and 2. */
static unsigned next_number(unsigned mask) {
    unsigned number = 1;
    while (mask & 1u) {
        mask >>= 1;
        number++;
    }
    return number;
}

static enum eh_status check_numbers(const struct order *order, size_t index, unsigned played) {
    const struct score_bar *bar = &order->exercise->bars[index];
    const unsigned both = played | bar->endings;
    if (bar->endings == 0 || (both & (both + 1)) != 0) {
        return eh_fail_at(order->error, EH_BAD_SYNTAX, bar->place.line, bar->place.column,
                          "expected ending %u here, found %s", next_number(played),
                          bar->endings == 0 ? "a bar without an ending" : "a later one");
    }
    return EH_OK;
}

/* Plays ending INDEX .. LAST for each of its numbers, with the body before all but the first pass
 * (the body was played once already). */
static enum eh_status play_ending(struct order *order, size_t body, size_t body_end, size_t index,
                                  size_t last, bool first) {
    for (unsigned mask = order->exercise->bars[index].endings; mask != 0; mask &= mask - 1) {
        enum eh_status status = first ? EH_OK : play(order, body, body_end);
        if (status == EH_OK) {
            status = play(order, index, last + 1);
        }
        if (status != EH_OK) {
            return status;
        }
        first = false;
    }
    return EH_OK;
}

static enum eh_status check_last_ending(const struct order *order, size_t index) {
    const struct score_bar *bar = &order->exercise->bars[index];
    if ((bar->endings & (bar->endings - 1)) != 0) {
        return wrong(order, bar->place,
                     "expected the last ending to have one number, found several: it is played "
                     "once");
    }
    for (size_t i = index + 1; i < order->exercise->bar_count; i++) {
        if (order->exercise->bars[i].repeat_from) {
            break;
        }
        if (order->exercise->bars[i].endings != 0) {
            return wrong(order, order->exercise->bars[i].place,
                         "expected :| at the end of the ending before, found the next ending");
        }
    }
    return EH_OK;
}

/* The endings that begin with bar INDEX; *OUT_NEXT is the first bar of the last one, which is left
 * to be played with what follows it. */
static enum eh_status play_endings(struct order *order, size_t index, size_t *out_next) {
    const size_t body_end = index;
    unsigned played = 0;
    if (order->from == NOWHERE) {
        return wrong(order, order->exercise->bars[index].place,
                     "expected |: somewhere before the ending, found none");
    }
    for (;;) {
        enum eh_status status = check_numbers(order, index, played);
        if (status != EH_OK) {
            return status;
        }
        const size_t last = ending_back(order->exercise, index);
        if (last == NOWHERE) {
            break;
        }
        if (order->exercise->bars[last].times != 2) {
            return wrong(order, order->exercise->bars[last].end,
                         "expected a plain :| after an ending, found a number of times: the "
                         "endings say it");
        }
        status = play_ending(order, order->from, body_end, index, last, played == 0);
        if (status != EH_OK) {
            return status;
        }
        played |= order->exercise->bars[index].endings;
        index = last + 1;
        if (index == order->exercise->bar_count) {
            return eh_fail_at(order->error, EH_BAD_SYNTAX, order->exercise->bars[last].end.line,
                              order->exercise->bars[last].end.column,
                              "expected ending %u after :|, found the end", next_number(played));
        }
    }
    *out_next = index;
    const enum eh_status status = check_last_ending(order, index);
    if (status != EH_OK || played == 0) {
        return status != EH_OK ? status
                               : wrong(order, order->exercise->bars[index].place,
                                       "expected :| at the end of the first ending, found none");
    }
    return play(order, order->from, body_end);
}

static enum eh_status open_repeat(struct order *order, size_t index) {
    if (order->opened) {
        return wrong(order, order->exercise->bars[index].place,
                     "expected :| before the next |:, since repeats do not nest, found |:");
    }
    order->opened = true;
    order->from = index;
    return EH_OK;
}

static enum eh_status play_repeat(struct order *order, size_t index) {
    const struct score_bar *bar = &order->exercise->bars[index];
    if (order->from == NOWHERE) {
        return wrong(order, bar->end, "expected |: somewhere before this :|, found none");
    }
    for (int time = 1; time < bar->times; time++) {
        const enum eh_status status = play(order, order->from, index + 1);
        if (status != EH_OK) {
            return status;
        }
    }
    order->opened = false;
    order->from = index + 1;
    return EH_OK;
}

static enum eh_status play_all(struct order *order) {
    size_t index = 0;
    while (index < order->exercise->bar_count) {
        const struct score_bar *bar = &order->exercise->bars[index];
        enum eh_status status = bar->repeat_from ? open_repeat(order, index) : EH_OK;
        if (status == EH_OK && bar->endings != 0) {
            status = play_endings(order, index, &index);
            order->opened = false;
            order->from = NOWHERE;
        }
        if (status == EH_OK) {
            status = play(order, index, index + 1);
        }
        if (status == EH_OK && order->exercise->bars[index].times != 0) {
            status = play_repeat(order, index);
        }
        if (status != EH_OK) {
            return status;
        }
        index++;
    }
    if (order->opened) {
        return wrong(order, order->exercise->bars[order->from].place,
                     "expected :| somewhere after this |:, found none");
    }
    return EH_OK;
}

enum eh_status score_order(const struct eh_exercise *exercise, size_t **out_order,
                           size_t *out_count, struct eh_error *error) {
    struct order order = {.exercise = exercise, .error = error};
    const enum eh_status status = play_all(&order);
    if (status != EH_OK) {
        free(order.bars);
        return status;
    }
    *out_order = order.bars;
    *out_count = order.count;
    return EH_OK;
}
