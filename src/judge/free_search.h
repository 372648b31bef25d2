/* The search for strokes and tempo together, hit by hit: over a whole take (free_path.c), and while
 * somebody plays (free_follow.c). */
#ifndef EVENHAND_JUDGE_FREE_SEARCH_H
#define EVENHAND_JUDGE_FREE_SEARCH_H

#include "free.h"

#define FREE_NO_NODE UINT32_MAX

enum {
    FREE_BEAM = 160, /* paths that are kept */
    FREE_ROOM = 4096 /* paths that one hit can make */
};

/* A stroke of a path, in the tree of all. */
struct free_node {
    uint32_t parent, note, hit;
    float shift;
    bool halted;
};

struct free_search {
    const struct free_notes *notes;
    const struct eh_hit
        *hits; /* times count from the first; read up to the one that is stepped to */
    const struct eh_pad *pad;
    struct free_path *paths, *next; /* owned; those that live, the cheapest first; and offers */
    struct free_path **heap;        /* owned */
    size_t count, next_count;
    struct free_node *nodes; /* owned; where it is traced */
    size_t node_count, node_capacity;
    bool traced;  /* remembers the paths' strokes; without that it allocates nothing in a step */
    bool counted; /* the music follows a count-off: it does not begin anywhere else */
};

/* Errors: EH_NO_MEMORY; S is then all zero. */
EH_MUST_USE enum eh_status free_search_init(struct free_search *s, const struct free_notes *notes,
                                            const struct eh_hit *hits, const struct eh_pad *pad,
                                            bool traced);
void free_search_deinit(struct free_search *s);

/* Adds a path that stands at the last tap of LEAD, with its tempo. Before the first step. */
void free_search_count_off(struct free_search *s, const struct free_lead *lead);

/* The next hit. False: no memory, which cannot be where it is not traced. */
bool free_search_step(struct free_search *s, uint32_t hit);

/* The strokes of a path of a traced search. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status free_search_trace(const struct free_search *s,
                                             const struct free_path *end, struct free_pairs *out);

#endif
