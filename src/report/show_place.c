/* The signs of a place and of a bar. */
#include <stdio.h>

#include "show.h"

/* More strokes than this in one place are told as a number. */
enum { STROKES_SPELLED = 4 };

void show_hand_text(const struct eh_reading_place *place, char out[SHOW_TEXT]) {
    const char *hand = eh_hand_letter((enum eh_hand)place->hand);
    if (place->strokes > STROKES_SPELLED) {
        (void)snprintf(out, SHOW_TEXT, "%s*%u", hand, place->strokes);
        return;
    }
    if (place->strokes > 0) {
        int length = 0;
        for (uint32_t i = 0; i < place->strokes; i++) {
            out[length++] = hand[0];
        }
        if (place->buzz) {
            out[length++] = 'z';
        }
        out[length] = '\0';
        return;
    }
    const char *text = place->kind == EH_PLACE_REST ? "-" : place->kind == EH_PLACE_HOLD ? "_" : "";
    (void)snprintf(out, SHOW_TEXT, "%s", text);
}

void show_grace_text(const struct eh_reading_place *place, char out[SHOW_TEXT]) {
    int k = 0;
    for (; k < place->grace_count; k++) {
        out[k] = place->grace_hands >> k & 1 ? 'r' : 'l';
    }
    out[k] = '\0';
}

bool show_is_silent(const struct eh_reading_place *place) {
    return place->strokes == 0;
}

void show_closing_text(const struct eh_reading_bar *bar, char out[SHOW_TEXT]) {
    if (bar->times == 0) {
        (void)snprintf(out, SHOW_TEXT, "|");
    } else if (bar->times == 2) {
        (void)snprintf(out, SHOW_TEXT, ":|");
    } else {
        (void)snprintf(out, SHOW_TEXT, ":|x%u", (unsigned)bar->times);
    }
}

static int add_endings(const struct eh_reading_bar *bar, char *out, int size) {
    int length = 0;
    for (int k = 0; k < EH_WRITTEN_ENDINGS_MAX; k++) {
        if (bar->endings >> k & 1) {
            length += snprintf(out + length, (size_t)(size - length), "%s%d",
                               length == 0 ? "  ending " : ",", k + 1);
        }
    }
    return length;
}

void show_heading_text(const struct eh_reading_bar *bar, char out[2 * SHOW_TEXT]) {
    const int size = 2 * SHOW_TEXT;
    int length = snprintf(out, (size_t)size, "%d", (int)bar->number);
    if (bar->new_metre) {
        length += snprintf(out + length, (size_t)(size - length), "  %u/%u", (unsigned)bar->beats,
                           (unsigned)bar->unit);
    }
    if (bar->is_short) {
        length += snprintf(out + length, (size_t)(size - length), "  %s",
                           bar->offset > 0 ? "pick-up" : "short");
    }
    (void)add_endings(bar, out + length, size - length);
}
