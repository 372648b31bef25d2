/* Where a run's hits come from: a pad, or the demo player. Both come through a ring, stamped with
 * the run's clock. */
#ifndef EVENHAND_CLI_PLAY_SOURCE_H
#define EVENHAND_CLI_PLAY_SOURCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/demo.h"
#include "evenhand/hit.h"
#include "evenhand/midi_in.h"
#include "evenhand/ring.h"

struct play_source {
    struct eh_midi_in *midi; /* owned; NULL: the demo player */
    struct eh_ring *ring;    /* owned; the demo player's */
    struct eh_take demo;     /* owned; what it will play, 0 = the run's zero */
    size_t demo_next;
};

/* Opens the pad WANTED (NULL: the only one). Returns CLI_GOOD, or CLI_FAILED after a complaint,
 * which names the demo player where DEMO_HELPS. */
int play_source_open_pad(struct play_source *out, const char *wanted, bool demo_helps);

/* Makes a demo player for PLAN. Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int play_source_open_demo(struct play_source *out, const struct eh_plan *plan,
                          const struct eh_demo_request *request);

/* Makes a demo player who has nothing to play yet: it plays what is added to OUT's demo. Errors:
 * EH_NO_MEMORY. */
EH_MUST_USE enum eh_status play_source_open_empty(struct play_source *out);

/* The demo player's first hit, on its own zero; 0 for a pad. */
int64_t play_source_first_ns(const struct play_source *source);

/* Throws away what came before the run. */
void play_source_clear(struct play_source *source);

/* Hits that have come by NOW_NS, at most ROOM; at_ns on the same clock. ZERO_NS is the demo
 * player's zero. */
size_t play_source_poll(struct play_source *source, int64_t now_ns, int64_t zero_ns,
                        struct eh_hit *out_hits, size_t room);

/* When the next hit is known to come, on the clock of ZERO_NS; INT64_MAX when that is not known. */
int64_t play_source_next_ns(const struct play_source *source, int64_t zero_ns);

/* NULL while all is well, else what happened and what to do. */
const char *play_source_trouble(struct play_source *source);

/* "player:out", "the demo player". */
const char *play_source_name(const struct play_source *source);

uint32_t play_source_dropped(const struct play_source *source);
int64_t play_source_resolution_ns(const struct play_source *source);

void play_source_close(struct play_source *source);

#endif
