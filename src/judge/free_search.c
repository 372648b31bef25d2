/* The room that the search needs, and what it gives back. */
#include <stdlib.h>

#include "free_search.h"

enum eh_status free_search_init(struct free_search *s, const struct free_notes *notes,
                                const struct eh_hit *hits, const struct eh_pad *pad, bool traced) {
    *s = (struct free_search){.notes = notes, .hits = hits, .pad = pad, .traced = traced};
    s->paths = malloc((FREE_BEAM + FREE_ROOM) * sizeof *s->paths);
    s->heap = malloc(FREE_ROOM * sizeof(struct free_path *));
    if (s->paths == NULL || s->heap == NULL) {
        free_search_deinit(s);
        return EH_NO_MEMORY;
    }
    s->next = s->paths + FREE_BEAM;
    return EH_OK;
}

void free_search_deinit(struct free_search *s) {
    free(s->paths);
    free(s->heap);
    free(s->nodes);
    *s = (struct free_search){0};
}

enum eh_status free_search_trace(const struct free_search *s, const struct free_path *end,
                                 struct free_pairs *out) {
    size_t count = 0;
    for (uint32_t n = end->node; n != FREE_NO_NODE; n = s->nodes[n].parent) {
        count++;
    }
    out->pairs = malloc((count + 1) * sizeof *out->pairs);
    if (out->pairs == NULL) {
        return EH_NO_MEMORY;
    }
    out->count = count;
    for (uint32_t n = end->node; n != FREE_NO_NODE; n = s->nodes[n].parent) {
        const struct free_node *node = &s->nodes[n];
        const struct free_note *note = &s->notes->notes[node->note];
        out->pairs[--count] =
            (struct free_pair){.at = note->at + (double)node->shift,
                               .ms = (double)(s->hits[node->hit].at_ns - s->hits[0].at_ns) / 1e6,
                               .due = note->due,
                               .hit = node->hit,
                               .in_time = note->in_time,
                               .halted = node->halted};
    }
    return EH_OK;
}

void free_readings_deinit(struct free_readings *readings) {
    for (size_t i = 0; i < FREE_READINGS; i++) {
        free(readings->pairs[i].pairs);
    }
    *readings = (struct free_readings){0};
}
