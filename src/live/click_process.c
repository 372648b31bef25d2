/* What happens on the audio thread. Everything here is RT_SAFE. */
#include "click_process.h"

#include <string.h>

/* Says when a beat sounds, or should have. */
static void tell(struct eh_click_process *process, const struct eh_click_due *due,
                 bool late) EH_RT_SAFE {
    const struct eh_click_sounded sounded = {
        .at = due->at,
        .due_ns = due->due_ns,
        .sounds_ns = eh_click_time_at(&process->time, due->frame),
        .underflow = process->gap,
        .late = late,
    };
    process->gap = false;
    (void)eh_ring_push(process->sounded, &sounded);
}

static void begin_sound(struct eh_click_process *process, const struct eh_click_due *due,
                        size_t delay) EH_RT_SAFE {
    struct eh_click_voice *voice = &process->voices[process->next_voice++ % EH_CLICK_VOICES];
    *voice = (struct eh_click_voice){
        .samples = process->sounds[due->sound],
        .left = process->sound_frames,
        .delay = delay,
    };
}

/* Takes the beats that are due within the block. */
static void take_beats(struct eh_click_process *process, size_t frames) EH_RT_SAFE {
    const uint32_t generation = atomic_load_explicit(&process->generation, memory_order_acquire);
    const int64_t end = process->frames + (int64_t)frames;
    const struct eh_click_due *next;
    while ((next = eh_ring_peek(process->beats)) != NULL) {
        const bool current = next->generation == generation;
        if (current && next->frame >= end) {
            return;
        }
        struct eh_click_due due;
        (void)eh_ring_pop(process->beats, &due);
        if (current && due.frame < process->frames) {
            atomic_fetch_add_explicit(&process->late, 1, memory_order_relaxed);
            tell(process, &due, true);
        } else if (current) {
            begin_sound(process, &due, (size_t)(due.frame - process->frames));
            tell(process, &due, false);
        }
    }
}

static void mix_voice(struct eh_click_voice *voice, float *out, size_t frames,
                      int channels) EH_RT_SAFE {
    const size_t room = frames - voice->delay;
    const size_t count = voice->left < room ? voice->left : room;
    float *to = out + voice->delay * (size_t)channels;
    for (size_t i = 0; i < count; i++) {
        for (int c = 0; c < channels; c++) {
            *to++ += voice->samples[i];
        }
    }
    voice->samples += count;
    voice->left -= count;
    voice->delay = 0;
}

static void mix(struct eh_click_process *process, float *out, size_t frames) EH_RT_SAFE {
    const size_t samples = frames * (size_t)process->channels;
    for (int i = 0; i < EH_CLICK_VOICES; i++) {
        if (process->voices[i].left > 0) {
            mix_voice(&process->voices[i], out, frames, process->channels);
        }
    }
    for (size_t i = 0; i < samples; i++) {
        out[i] = out[i] > 1 ? 1 : out[i] < -1 ? -1 : out[i];
    }
}

static void read_clock(struct eh_click_process *process,
                       const struct eh_click_block *block) EH_RT_SAFE {
    if (block->underflow) {
        atomic_fetch_add_explicit(&process->underflows, 1, memory_order_relaxed);
    }
    const bool anew = eh_click_time_read(&process->time, process->frames,
                                         block->now_ns + block->latency_ns, block->underflow);
    process->gap = process->gap || anew;
}

static void publish(struct eh_click_process *process,
                    const struct eh_click_block *block) EH_RT_SAFE {
    struct eh_click_stand *stand = &process->stand;
    const uint32_t count = atomic_load(&stand->count);
    atomic_store(&stand->count, count + 1);
    atomic_store(&stand->frame, process->frames);
    atomic_store(&stand->at_ns, eh_click_time_at(&process->time, process->frames));
    atomic_store(&stand->block, (int64_t)block->frames);
    atomic_store(&stand->latency_ns, block->latency_ns);
    atomic_store(&stand->ns_per_frame, process->time.ns_per_frame);
    atomic_store(&stand->count, count + 2);
}

void eh_click_process(struct eh_click_process *process,
                      const struct eh_click_block *block) EH_RT_SAFE {
    memset(block->out, 0, block->frames * (size_t)process->channels * sizeof *block->out);
    read_clock(process, block);
    take_beats(process, block->frames);
    if (!atomic_load_explicit(&process->mute, memory_order_relaxed)) {
        mix(process, block->out, block->frames);
    }
    process->frames += (int64_t)block->frames;
    publish(process, block);
    atomic_fetch_add_explicit(&process->callbacks, 1, memory_order_release);
    const int64_t took_ns = eh_clock_now_ns() - block->now_ns;
    if (took_ns > atomic_load_explicit(&process->worst_ns, memory_order_relaxed)) {
        atomic_store_explicit(&process->worst_ns, took_ns, memory_order_relaxed);
    }
}
