/* The click as its caller sees it. The callback is in click_process.c. */
#include "evenhand/click.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "choose.h"
#include "click_process.h"
#include "click_sound.h"
#include "pa_audio.h"

/* Room for beats and for sounding times. */
enum { BEATS = 4096 };

/* How long a device may take to ask for the first blocks, and how many show that it runs. */
enum { FIRST_BLOCKS = 12, FIRST_BLOCKS_MS = 2000 };

/* Time the caller gets, after a start, to hand over the first beats. */
#define HAND_OVER_NS (40 * EH_NS_PER_MS)

/* A device that has asked for nothing for this long is gone. */
#define SILENT_NS (700 * EH_NS_PER_MS)

struct eh_click {
    struct eh_click_process process;
    struct eh_click_granted granted;
    struct eh_audio_stream *stream;
    bool held; /* PortAudio */
    bool started;
    int64_t zero_frame;
    int64_t zero_ns;
    uint32_t seen_callbacks; /* by health */
    int64_t asked_ns, silent_ns;
    bool gone;
    struct eh_click *next_abandoned;
};

enum eh_status eh_click_devices_list(struct eh_audio_list *out_list, struct eh_error *error) {
    int *pa = NULL;
    *out_list = (struct eh_audio_list){0};
    enum eh_status status = eh_audio_hold(error);
    if (status != EH_OK) {
        return status;
    }
    status = eh_audio_list(out_list, &pa, error);
    free(pa);
    eh_audio_drop();
    return status;
}

void eh_click_devices_free(struct eh_audio_list *list) {
    free(list->devices);
    *list = (struct eh_audio_list){0};
}

/* A request without a name means the preferred device, not the only one. */
static enum eh_status choose(size_t *out_index, const struct eh_audio_list *list,
                             const char *wanted, struct eh_error *error) {
    const struct eh_choice_words words = {
        .one = "audio device",
        .many = "audio devices",
        .option = "a number or part of a name",
        .none = "there is no sound here: no sound card is found and no JACK server runs; plug a "
                "device in, or practise with the beat shown on the screen",
    };
    struct eh_choice *choices = calloc(list->count + 1, sizeof *choices);
    if (choices == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory for the list of audio devices");
    }
    for (size_t i = 0; i < list->count; i++) {
        const struct eh_audio_device *device = &list->devices[i];
        choices[i] = (struct eh_choice){device->number, device->name, device->preferred};
    }
    const enum eh_status status = eh_choose(out_index, choices, list->count, wanted, &words, error);
    free(choices);
    return status;
}

static enum eh_status setup(struct eh_click_process *process,
                            const struct eh_click_granted *granted, double volume) {
    process->channels = granted->channels;
    process->sound_frames = eh_click_sound_frames(granted->rate);
    eh_click_time_init(&process->time, granted->rate);
    for (int i = 0; i < EH_CLICK_SOUND_COUNT; i++) {
        process->sounds[i] = calloc(process->sound_frames, sizeof *process->sounds[i]);
        if (process->sounds[i] == NULL) {
            return EH_NO_MEMORY;
        }
        eh_click_sound_render(process->sounds[i], (enum eh_click_sound)i, granted->rate, volume);
    }
    if (eh_ring_new(&process->beats, sizeof(struct eh_click_due), BEATS) != EH_OK ||
        eh_ring_new(&process->sounded, sizeof(struct eh_click_sounded), BEATS) != EH_OK) {
        return EH_NO_MEMORY;
    }
    return EH_OK;
}

static enum eh_status open_wanted(struct eh_click *click, const struct eh_click_request *request,
                                  struct eh_error *error) {
    struct eh_audio_list list;
    int *pa = NULL;
    size_t index = 0;
    enum eh_status status = eh_audio_list(&list, &pa, error);
    if (status != EH_OK) {
        return status;
    }
    status = choose(&index, &list, request->device, error);
    if (status == EH_OK) {
        status = eh_audio_open(&click->stream, pa[index], request, setup, &click->process,
                               &click->granted, error);
    }
    eh_click_devices_free(&list);
    free(pa);
    return status;
}

static enum eh_status wait_for_blocks(struct eh_click *click, struct eh_error *error) {
    const struct timespec pause = {.tv_sec = 0, .tv_nsec = 5 * EH_NS_PER_MS};
    const int64_t until_ns = eh_clock_now_ns() + FIRST_BLOCKS_MS * EH_NS_PER_MS;
    uint32_t callbacks = 0;
    while (callbacks < FIRST_BLOCKS && eh_clock_now_ns() < until_ns) {
        nanosleep(&pause, NULL);
        callbacks = atomic_load_explicit(&click->process.callbacks, memory_order_acquire);
    }
    if (callbacks == 0) {
        return eh_fail(error, EH_UNAVAILABLE,
                       "the audio device '%s' (%s) opened but asks for no sound; choose another "
                       "device",
                       click->granted.device, click->granted.system);
    }
    click->granted.latency_ns = atomic_load(&click->process.stand.latency_ns);
    return EH_OK;
}

static enum eh_status check(const struct eh_click_request *request, struct eh_error *error) {
    if (!(request->volume >= 0 && request->volume <= 1)) {
        return eh_fail(error, EH_OUT_OF_RANGE, "the click's volume must be 0 to 1");
    }
    if (request->latency_ms != 0 && !(request->latency_ms >= 1 && request->latency_ms <= 1000)) {
        return eh_fail(error, EH_OUT_OF_RANGE, "the click's latency must be 1 to 1000 ms");
    }
    return EH_OK;
}

enum eh_status eh_click_open(struct eh_click **out_click, const struct eh_click_request *request,
                             struct eh_error *error) {
    *out_click = NULL;
    enum eh_status status = check(request, error);
    if (status != EH_OK) {
        return status;
    }
    struct eh_click *click = calloc(1, sizeof *click);
    if (click == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory for the click");
    }
    status = eh_audio_hold(error);
    click->held = status == EH_OK;
    if (status == EH_OK) {
        status = open_wanted(click, request, error);
    }
    if (status == EH_OK) {
        status = wait_for_blocks(click, error);
    }
    if (status != EH_OK) {
        eh_click_close(click);
        return status;
    }
    *out_click = click;
    return EH_OK;
}

/* Where the stream stands: frame FRAME sounds at AT_NS. */
struct stand {
    int64_t frame, at_ns, block;
    double ns_per_frame;
};

static struct stand read_stand(struct eh_click *click) {
    struct eh_click_stand *from = &click->process.stand;
    for (;;) {
        const uint32_t before = atomic_load(&from->count);
        const struct stand stand = {
            .frame = atomic_load(&from->frame),
            .at_ns = atomic_load(&from->at_ns),
            .block = atomic_load(&from->block),
            .ns_per_frame = atomic_load(&from->ns_per_frame),
        };
        if (before % 2 == 0 && before == atomic_load(&from->count)) {
            return stand;
        }
    }
}

enum eh_status eh_click_start(struct eh_click *click, int64_t lead_ns) {
    if (eh_click_health(click) != EH_CLICK_WELL) {
        return EH_GONE;
    }
    const struct stand stand = read_stand(click);
    const int64_t least =
        stand.frame + 2 * stand.block + (int64_t)((double)HAND_OVER_NS / stand.ns_per_frame);
    const int64_t wanted_ns = eh_clock_now_ns() + lead_ns - stand.at_ns;
    const int64_t wanted = stand.frame + (int64_t)((double)wanted_ns / stand.ns_per_frame);
    click->zero_frame = wanted > least ? wanted : least;
    click->zero_ns =
        stand.at_ns + (int64_t)((double)(click->zero_frame - stand.frame) * stand.ns_per_frame);
    atomic_fetch_add_explicit(&click->process.generation, 1, memory_order_release);
    click->started = true;
    return EH_OK;
}

int64_t eh_click_zero_ns(const struct eh_click *click) {
    return click->zero_ns;
}

/* Nearest frame, without the rounding errors of one large product. */
static int64_t frames_from_ns(int64_t ns, double rate) {
    const int64_t s = ns / EH_NS_PER_S;
    const double rest = (double)(ns % EH_NS_PER_S) / 1e9 * rate;
    const double whole = (double)s * rate;
    return (int64_t)(whole + rest + 0.5);
}

size_t eh_click_schedule(struct eh_click *click, const struct eh_click_beat *beats, size_t n) {
    struct eh_click_process *process = &click->process;
    size_t taken = 0;
    while (click->started && taken < n && eh_ring_space(process->beats) > 0) {
        const struct eh_click_beat *beat = &beats[taken++];
        const struct eh_click_due due = {
            .frame = click->zero_frame + frames_from_ns(beat->due_ns, click->granted.rate),
            .due_ns = beat->due_ns,
            .at = beat->at,
            .generation = atomic_load_explicit(&process->generation, memory_order_relaxed),
            .sound = beat->sound < EH_CLICK_SOUND_COUNT ? beat->sound : EH_CLICK_BEAT,
        };
        (void)eh_ring_push(process->beats, &due);
    }
    return taken;
}

void eh_click_hush(struct eh_click *click) {
    atomic_fetch_add_explicit(&click->process.generation, 1, memory_order_release);
}

size_t eh_click_sounded(struct eh_click *click, struct eh_click_sounded *out_sounded, size_t room) {
    size_t count = 0;
    while (count < room && eh_ring_pop(click->process.sounded, &out_sounded[count])) {
        count++;
    }
    return count;
}

/* Counts the silence only while we look: after a stop of the whole process the device gets its
 * chance first. */
static bool silent(struct eh_click *click) {
    const int64_t most_ns = 200 * EH_NS_PER_MS;
    const int64_t now_ns = eh_clock_now_ns();
    const uint32_t callbacks =
        atomic_load_explicit(&click->process.callbacks, memory_order_relaxed);
    const int64_t since_ns = now_ns - click->asked_ns;
    click->silent_ns += since_ns < most_ns ? since_ns : most_ns;
    if (callbacks != click->seen_callbacks) {
        click->silent_ns = 0;
    }
    click->seen_callbacks = callbacks;
    click->asked_ns = now_ns;
    return click->silent_ns > SILENT_NS;
}

enum eh_click_health eh_click_health(struct eh_click *click) {
    click->gone = click->gone || !eh_audio_runs(click->stream) || silent(click);
    return click->gone ? EH_CLICK_GONE : EH_CLICK_WELL;
}

const struct eh_click_granted *eh_click_granted(const struct eh_click *click) {
    return &click->granted;
}

uint32_t eh_click_underflows(const struct eh_click *click) {
    return atomic_load_explicit(&click->process.underflows, memory_order_relaxed);
}

uint32_t eh_click_late(const struct eh_click *click) {
    return atomic_load_explicit(&click->process.late, memory_order_relaxed);
}

int64_t eh_click_worst_callback_ns(const struct eh_click *click) {
    return atomic_load_explicit(&click->process.worst_ns, memory_order_relaxed);
}

/* Clicks whose stream could not be closed: a callback might still use them. */
static struct eh_click *abandoned;

static void free_click(struct eh_click *click) {
    for (int i = 0; i < EH_CLICK_SOUND_COUNT; i++) {
        free(click->process.sounds[i]);
    }
    eh_ring_free(click->process.beats);
    eh_ring_free(click->process.sounded);
    free(click);
}

void eh_click_close(struct eh_click *click) {
    if (click == NULL) {
        return;
    }
    atomic_store(&click->process.mute, true);
    const bool closed = click->stream == NULL || eh_audio_close(click->stream, 1500);
    if (click->held) {
        eh_audio_drop();
    }
    if (closed) {
        free_click(click);
    } else {
        click->next_abandoned = abandoned;
        abandoned = click;
    }
}
