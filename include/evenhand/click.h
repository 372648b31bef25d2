/* The click: beats that sound at their time, and the times at which they sounded.
 *
 * Audio goes out through PortAudio. Beats are handed over in order, each with its due time counted
 * from the stream's zero; each is placed to the sample. For each beat the click says when it
 * reaches the player's ear (as far as the driver knows its own delay), on CLOCK_MONOTONIC: the
 * sound card's clock and the computer's drift apart, so these times, not the due times, are what
 * hits are compared with.
 *
 * All functions are for one thread. Nothing is printed. */
#ifndef EVENHAND_CLICK_H
#define EVENHAND_CLICK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/status.h"
#include "evenhand/time.h"

enum { EH_AUDIO_NAME = 128 };

struct eh_audio_device {
    int number;                 /* from 1; may change when devices do */
    char name[EH_AUDIO_NAME];   /* as the system gives it */
    char system[EH_AUDIO_NAME]; /* "ALSA", "JACK Audio Connection Kit" ... */
    bool preferred;             /* taken when nothing is asked for */
};

struct eh_audio_list {
    struct eh_audio_device *devices; /* owned; NULL while empty */
    size_t count;
};

/* Every device that can sound. An empty list is EH_OK. Errors: EH_NO_MEMORY, EH_UNAVAILABLE (no
 * audio system), EH_GONE (the server of an earlier click died: sound needs a new process). */
EH_MUST_USE enum eh_status eh_click_devices_list(struct eh_audio_list *out_list,
                                                 struct eh_error *error);

/* Frees what the list owns and empties it; an all-zero list is accepted. */
void eh_click_devices_free(struct eh_audio_list *list);

/* What is asked for. All-zero but the volume: the preferred device at its usual low latency. */
struct eh_click_request {
    const char *device; /* NULL or "" = the preferred one; a number; (part of) a name, case does
                           not matter */
    double volume;      /* 0 (silent) .. 1 (full scale), in proportion to the amplitude */
    double latency_ms;  /* 0 = the device's low latency; else 1 .. 1000, a wish */
};

/* What was granted. */
struct eh_click_granted {
    char device[EH_AUDIO_NAME];
    char system[EH_AUDIO_NAME];
    double rate; /* frames a second */
    int channels;
    int64_t latency_ns; /* from rendering to sounding, as the driver says */
};

enum eh_click_sound {
    EH_CLICK_ACCENT, /* beat one */
    EH_CLICK_BEAT,
    EH_CLICK_SUB, /* subdivision */
    EH_CLICK_SOUND_COUNT
};

struct eh_click_beat {
    int64_t due_ns; /* from the stream's zero; >= 0; not earlier than the beat before */
    uint8_t sound;  /* enum eh_click_sound */
    eh_ticks at;    /* the caller's; handed back with the sounding time */
};

struct eh_click_sounded {
    eh_ticks at;       /* as scheduled */
    int64_t due_ns;    /* as scheduled */
    int64_t sounds_ns; /* CLOCK_MONOTONIC; may lie in the future by the latency */
    bool underflow;    /* the driver reported a gap since the beat before: between the two, time
                          did not run evenly */
    bool late;         /* it was scheduled too late and did not sound; sounds_ns says when it should
                          have */
};

struct eh_click; /* opaque */

/* Opens the device and plays silence. Takes up to two seconds. Errors: EH_UNAVAILABLE (no audio
 * here, or the device refuses: says what to do), EH_NOT_FOUND (no such device or several; lists
 * them), EH_OUT_OF_RANGE (volume, latency), EH_GONE (see eh_click_devices_list), EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_click_open(struct eh_click **out_click,
                                         const struct eh_click_request *request,
                                         struct eh_error *error);

/* Fixes the stream's zero: due_ns 0 sounds about LEAD_NS from now (later if the device needs more
 * time than that). Beats of an earlier start that did not sound yet are forgotten. Errors:
 * EH_GONE. */
EH_MUST_USE enum eh_status eh_click_start(struct eh_click *click, int64_t lead_ns);

/* The predicted CLOCK_MONOTONIC time of due_ns 0, fixed by eh_click_start (0 before). */
int64_t eh_click_zero_ns(const struct eh_click *click);

/* Hands over N beats, at any time after the start, but earlier than the latency before they are
 * due. Returns how many were taken, from the first on: fewer than N when the queue (4096 beats) is
 * full or nothing was started; offer the rest later. */
size_t eh_click_schedule(struct eh_click *click, const struct eh_click_beat *beats, size_t n);

/* Forgets the beats that have not begun to sound; the zero stays. */
void eh_click_hush(struct eh_click *click);

/* Drains up to ROOM sounding times, in order; returns how many. The queue holds 4096. */
size_t eh_click_sounded(struct eh_click *click, struct eh_click_sounded *out_sounded, size_t room);

enum eh_click_health {
    EH_CLICK_WELL,
    EH_CLICK_GONE /* the device or its server has gone: no more sound from this process where it
                     was a JACK server, else close and open again */
};

/* Cheap; may be called every few milliseconds. What has gone is noticed within a second. */
enum eh_click_health eh_click_health(struct eh_click *click);

const struct eh_click_granted *eh_click_granted(const struct eh_click *click);

/* How often the driver reported a gap; how many beats came too late to sound. */
uint32_t eh_click_underflows(const struct eh_click *click);
uint32_t eh_click_late(const struct eh_click *click);

/* The longest that one callback took so far. */
int64_t eh_click_worst_callback_ns(const struct eh_click *click);

/* Silence at once, close, free; NULL is accepted. Returns within three seconds also when the
 * server is dead: what the audio library holds is then left alone until the process ends. */
void eh_click_close(struct eh_click *click);

#endif
