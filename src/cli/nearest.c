#include "nearest.h"

#include <string.h>

enum { SHORTEST_PART = 3 };

void nearest_init(struct nearest *nearest, const char *wanted) {
    *nearest = (struct nearest){.wanted = wanted};
}

/* A part of a name that was typed as such is as good as a slip of one letter. */
static int distance_between(const char *wanted, const char *name) {
    const int edits = eh_text_distance(wanted, name);
    const bool part = strlen(wanted) >= SHORTEST_PART && strstr(name, wanted) != NULL;
    return part && edits > 1 ? 1 : edits;
}

static void put_at(struct nearest *nearest, size_t place, const char *name, int distance) {
    const size_t last = nearest->count < NEAREST_MOST ? nearest->count : (size_t)NEAREST_MOST - 1;
    for (size_t i = last; i > place; i--) {
        memcpy(nearest->names[i], nearest->names[i - 1], NEAREST_NAME);
        nearest->distances[i] = nearest->distances[i - 1];
    }
    const size_t length = strnlen(name, NEAREST_NAME - 1);
    memcpy(nearest->names[place], name, length);
    nearest->names[place][length] = '\0';
    nearest->distances[place] = distance;
    nearest->count = last + 1;
}

void nearest_offer(struct nearest *nearest, const char *name) {
    const int distance = distance_between(nearest->wanted, name);
    if (distance > (int)strlen(name) / 3 + 1) {
        return;
    }
    size_t place = 0;
    while (place < nearest->count && nearest->distances[place] <= distance) {
        place++;
    }
    if (place < NEAREST_MOST) {
        put_at(nearest, place, name, distance);
    }
}

void nearest_add_to(const struct nearest *nearest, struct eh_text *text) {
    for (size_t i = 0; i < nearest->count; i++) {
        const char *before = i == 0 ? "; did you mean " : i + 1 == nearest->count ? " or " : ", ";
        eh_text_printf(text, "%s\"%s\"", before, nearest->names[i]);
    }
    if (nearest->count > 0) {
        eh_text_add(text, "?");
    }
}
