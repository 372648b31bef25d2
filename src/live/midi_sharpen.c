#include "midi_sharpen.h"

void eh_sharpen_init(struct eh_sharpen *sharpen, int64_t period_ns) {
    *sharpen =
        (struct eh_sharpen){.window_ns = period_ns + EH_SHARPEN_SLACK_NS, .last_ns = INT64_MIN};
}

static struct eh_timed_note *at(struct eh_sharpen *sharpen, size_t index) {
    return &sharpen->notes[(sharpen->first + index) % EH_SHARPEN_ROOM];
}

static void forget(struct eh_sharpen *sharpen, size_t count) {
    sharpen->first = (sharpen->first + count) % EH_SHARPEN_ROOM;
    sharpen->count -= count;
}

bool eh_sharpen_note(struct eh_sharpen *sharpen, const struct eh_timed_note *note) {
    if (sharpen->count == EH_SHARPEN_ROOM) {
        return false;
    }
    sharpen->count++;
    *at(sharpen, sharpen->count - 1) = *note;
    return true;
}

static bool same_note(const struct eh_timed_note *note, const struct eh_hit *hit) {
    return note->note == hit->note && note->channel == hit->channel &&
           note->velocity == hit->velocity / EH_VELOCITY_UNIT;
}

static void settle(struct eh_sharpen *sharpen, struct eh_hit *hit, int64_t at_ns) {
    hit->at_ns = at_ns > sharpen->last_ns ? at_ns : sharpen->last_ns;
    sharpen->last_ns = hit->at_ns;
}

/* The place of the hit's time in the queue, or the queue's length. */
static size_t find(struct eh_sharpen *sharpen, const struct eh_hit *hit) {
    while (sharpen->count > 0 && at(sharpen, 0)->seen_ns < hit->at_ns - sharpen->window_ns) {
        forget(sharpen, 1); /* its hit never came */
    }
    for (size_t i = 0; i < sharpen->count; i++) {
        if (at(sharpen, i)->seen_ns > hit->at_ns + sharpen->window_ns) {
            break;
        }
        if (same_note(at(sharpen, i), hit)) {
            return i;
        }
    }
    return sharpen->count;
}

enum eh_sharpened eh_sharpen_hit(struct eh_sharpen *sharpen, struct eh_hit *hit, int64_t seen_ns,
                                 int64_t now_ns) {
    const size_t found = find(sharpen, hit);
    if (found < sharpen->count) {
        settle(sharpen, hit, at(sharpen, found)->at_ns);
        forget(sharpen, found + 1);
        sharpen->exact++;
        return EH_SHARPENED;
    }
    const bool all_there = seen_ns > hit->at_ns + sharpen->window_ns;
    const bool too_long = now_ns > hit->at_ns + 2 * sharpen->window_ns;
    if (!all_there && !too_long) {
        return EH_WAIT;
    }
    settle(sharpen, hit, hit->at_ns);
    sharpen->coarse++;
    return EH_SHARPENED;
}
