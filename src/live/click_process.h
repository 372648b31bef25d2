/* What the audio callback works on. The callback owns everything that is not atomic or a ring. */
#ifndef EVENHAND_CLICK_PROCESS_H
#define EVENHAND_CLICK_PROCESS_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "click_time.h"
#include "evenhand/click.h"
#include "evenhand/ring.h"

/* More sounds than can overlap: 25 ms each, 400 quarters a minute in 32nds are 18.75 ms apart. */
enum { EH_CLICK_VOICES = 8 };

/* A beat on its way to the callback. */
struct eh_click_due {
    int64_t frame; /* of the stream */
    int64_t due_ns;
    eh_ticks at;
    uint32_t generation; /* beats of an older start, or from before a hush, are dropped */
    uint8_t sound;
};

struct eh_click_voice {
    const float *samples;
    size_t left;
    size_t delay; /* frames into the block */
};

/* Where the stream stands, for the main thread. Written by the callback between two steps of the
 * counter (odd: being written); all in one total order, so that a reader that sees the same even
 * count before and after has read one piece. */
struct eh_click_stand {
    _Atomic uint32_t count;
    _Atomic int64_t frame; /* the first that is not rendered */
    _Atomic int64_t at_ns; /* when that one sounds */
    _Atomic int64_t block; /* frames in the last block */
    _Atomic int64_t latency_ns;
    _Atomic double ns_per_frame;
};

struct eh_click_process {
    struct eh_ring *beats;   /* of struct eh_click_due, to the callback */
    struct eh_ring *sounded; /* of struct eh_click_sounded, from the callback */
    float *sounds[EH_CLICK_SOUND_COUNT];
    size_t sound_frames;
    int channels;
    int64_t frames; /* rendered so far */
    int64_t fallback_latency_ns;
    bool gap; /* since the last beat */
    struct eh_click_time time;
    struct eh_click_voice voices[EH_CLICK_VOICES];
    unsigned next_voice;
    struct eh_click_stand stand;
    atomic_bool mute;
    _Atomic uint32_t generation;
    _Atomic uint32_t callbacks;
    _Atomic uint32_t underflows;
    _Atomic uint32_t late;
    _Atomic int64_t worst_ns;
};

/* What the driver says about a block. */
struct eh_click_block {
    float *out; /* interleaved */
    size_t frames;
    int64_t now_ns;     /* CLOCK_MONOTONIC at the callback's entry */
    int64_t latency_ns; /* until the block's first frame sounds */
    bool underflow;
};

/* Renders a block. RT_SAFE. */
void eh_click_process(struct eh_click_process *process,
                      const struct eh_click_block *block) EH_RT_SAFE;

#endif
