/* What is kept of a run while it is played: in memory, and in the history. */
#ifndef EVENHAND_CLI_PLAY_KEEP_H
#define EVENHAND_CLI_PLAY_KEEP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/practice.h"
#include "evenhand/store.h"
#include "evenhand/style.h"
#include "exercise_find.h"
#include "play_options.h"
#include "play_source.h"

struct play_keep {
    struct eh_store *store;      /* owned; NULL: nothing is stored */
    int64_t started_utc_s;       /* when it began, seconds since 1970 UTC */
    int64_t run;                 /* its number in the history; 0: none */
    struct eh_take take;         /* owned; every hit that came, 0 = the run's zero */
    struct eh_run_click *clicks; /* owned; as they sounded */
    size_t click_count, click_capacity;
    size_t stored_hits, stored_clicks; /* how many have reached the disk */
    int64_t stored_at_ns;              /* when the disk was last written to */
    bool complained, memory_failed;
};

/* What a run is made of. */
struct play_terms {
    const struct play_options *options;
    const struct found_exercise *exercise;
    const struct eh_style *style;
    const struct eh_pad *pad;
    const struct eh_practice *practice;
    double bpm;
    struct eh_store_sitting *sitting; /* NULL: the run is alone; begun with its first run */
    const char *stage;                /* NULL: none */
    const char *silent_bars;          /* "": none */
};

/* Begins a run: makes the take, opens the history and writes the first entry. A history that
 * cannot be had is complained about, and the run goes on without. Returns CLI_GOOD, or CLI_FAILED
 * when there is no memory. */
int play_keep_begin(struct play_keep *out, const struct play_terms *terms,
                    const struct play_source *source);

void play_keep_hit(struct play_keep *keep, const struct eh_hit *hit);
void play_keep_clicks(struct play_keep *keep, const struct eh_run_click *clicks, size_t n);

/* Writes what is new, when the last time was long enough ago. NOW_NS is real time. */
void play_keep_step(struct play_keep *keep, int64_t now_ns);

/* Writes the rest and how the run ended; a run without a hit is taken out of the history again. The
 * take's click is what was heard from now on, as it is when the run is loaded from the history. */
int play_keep_end(struct play_keep *keep, enum eh_practice_end end, const struct play_terms *terms,
                  uint32_t dropped);

/* Keeps the judgement beside the run. */
void play_keep_judgement(struct play_keep *keep, const struct eh_run_verdict *verdict);

void play_keep_close(struct play_keep *keep);

#endif
