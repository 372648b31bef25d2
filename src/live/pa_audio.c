#include "pa_audio.h"

#include <pa_jack.h>
#include <portaudio.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/midi_in.h"
#include "jack_server.h"
#include "pa_process.h"
#include "patience.h"
#include "quiet.h"

struct eh_audio_stream {
    PaStream *pa;
    bool on_jack;
};

static int holders;
static int generation; /* the JACK server that PortAudio knows of; 0: none */
static bool lost;      /* it died: PortAudio must not be touched again */

static bool on_jack(PaHostApiIndex api) {
    return api >= 0 && api == Pa_HostApiTypeIdToHostApiIndex(paJACK);
}

static enum eh_status say_lost(struct eh_error *error) {
    return eh_fail(error, EH_GONE,
                   "the JACK server ended while it was in use; sound comes back when evenhand is "
                   "started again");
}

static enum eh_status initialise(struct eh_error *error) {
    eh_quiet_alsa();
    generation = eh_jack_join();
    (void)PaJack_SetClientName(EH_CLIENT_NAME);
    const PaError code = Pa_Initialize();
    eh_quiet_jack();
    if (code != paNoError) {
        eh_jack_leave(generation);
        return eh_fail(error, EH_UNAVAILABLE, "the audio system does not start: %s",
                       Pa_GetErrorText(code));
    }
    if (generation == 0 && Pa_HostApiTypeIdToHostApiIndex(paJACK) >= 0) {
        generation = eh_jack_join(); /* a server came up in between */
    }
    return EH_OK;
}

static bool jack_died(void) {
    lost = lost || (generation != 0 && !eh_jack_alive(generation));
    return lost;
}

enum eh_status eh_audio_hold(struct eh_error *error) {
    if (holders > 0 && jack_died()) {
        return say_lost(error);
    }
    if (lost) {
        return say_lost(error);
    }
    if (holders == 0) {
        const enum eh_status status = initialise(error);
        if (status != EH_OK) {
            return status;
        }
    }
    holders++;
    return EH_OK;
}

static void terminate(void *argument) {
    (void)argument;
    (void)Pa_Terminate();
}

void eh_audio_drop(void) {
    if (--holders > 0) {
        return;
    }
    if (!jack_died() && !eh_with_patience(terminate, NULL, 1000)) {
        lost = true;
    }
    eh_jack_leave(generation);
    generation = 0;
}

static PaDeviceIndex preferred(void) {
    /* Who runs a JACK server has given it the sound card. */
    const PaHostApiIndex jack = Pa_HostApiTypeIdToHostApiIndex(paJACK);
    const PaDeviceIndex device =
        jack < 0 ? paNoDevice : Pa_GetHostApiInfo(jack)->defaultOutputDevice;
    return device == paNoDevice ? Pa_GetDefaultOutputDevice() : device;
}

static void describe(struct eh_audio_device *device, PaDeviceIndex pa, int number) {
    const PaDeviceInfo *info = Pa_GetDeviceInfo(pa);
    *device = (struct eh_audio_device){.number = number, .preferred = pa == preferred()};
    (void)snprintf(device->name, sizeof device->name, "%s", info->name);
    (void)snprintf(device->system, sizeof device->system, "%s",
                   Pa_GetHostApiInfo(info->hostApi)->name);
}

enum eh_status eh_audio_list(struct eh_audio_list *out_list, int **out_pa, struct eh_error *error) {
    const PaDeviceIndex all = Pa_GetDeviceCount();
    const size_t most = all > 0 ? (size_t)all : 0;
    struct eh_audio_list list = {.devices = calloc(most + 1, sizeof *list.devices)};
    int *pa = calloc(most + 1, sizeof *pa);
    if (list.devices == NULL || pa == NULL) {
        free(list.devices);
        free(pa);
        return eh_fail(error, EH_NO_MEMORY, "no memory for the list of audio devices");
    }
    for (PaDeviceIndex i = 0; i < all; i++) {
        if (Pa_GetDeviceInfo(i)->maxOutputChannels > 0) {
            pa[list.count] = i;
            describe(&list.devices[list.count], i, (int)list.count + 1);
            list.count++;
        }
    }
    *out_list = list;
    *out_pa = pa;
    return EH_OK;
}

static void grant(struct eh_click_granted *granted, PaDeviceIndex pa) {
    const PaDeviceInfo *info = Pa_GetDeviceInfo(pa);
    *granted = (struct eh_click_granted){
        .rate = info->defaultSampleRate,
        .channels = info->maxOutputChannels < 2 ? 1 : 2,
    };
    (void)snprintf(granted->device, sizeof granted->device, "%s", info->name);
    (void)snprintf(granted->system, sizeof granted->system, "%s",
                   Pa_GetHostApiInfo(info->hostApi)->name);
}

static PaError start(struct eh_audio_stream *stream, PaDeviceIndex pa, double latency_ms,
                     struct eh_click_process *process, const struct eh_click_granted *granted) {
    const PaStreamParameters out = {
        .device = pa,
        .channelCount = granted->channels,
        .sampleFormat = paFloat32,
        .suggestedLatency =
            latency_ms > 0 ? latency_ms / 1e3 : Pa_GetDeviceInfo(pa)->defaultLowOutputLatency,
    };
    /* Unspecified: any other size is buffered once more on JACK. */
    PaError code = Pa_OpenStream(&stream->pa, NULL, &out, granted->rate,
                                 paFramesPerBufferUnspecified, paNoFlag, eh_pa_process, process);
    if (code != paNoError) {
        stream->pa = NULL;
        return code;
    }
    const PaStreamInfo *info = Pa_GetStreamInfo(stream->pa);
    process->fallback_latency_ns = info == NULL ? 0 : (int64_t)(info->outputLatency * 1e9);
    code = Pa_StartStream(stream->pa);
    if (code != paNoError) {
        (void)Pa_CloseStream(stream->pa);
    }
    return code;
}

enum eh_status eh_audio_open(struct eh_audio_stream **out_stream, int pa,
                             const struct eh_click_request *request, eh_audio_setup_fn *setup,
                             struct eh_click_process *process, struct eh_click_granted *out_granted,
                             struct eh_error *error) {
    grant(out_granted, pa);
    struct eh_audio_stream *stream = calloc(1, sizeof *stream);
    if (stream == NULL || setup(process, out_granted, request->volume) != EH_OK) {
        free(stream);
        return eh_fail(error, EH_NO_MEMORY, "no memory for the click");
    }
    stream->on_jack = on_jack(Pa_GetDeviceInfo(pa)->hostApi);
    const PaError code = start(stream, pa, request->latency_ms, process, out_granted);
    if (code != paNoError) {
        free(stream);
        return eh_fail(error, EH_UNAVAILABLE,
                       "the audio device '%s' (%s) does not open: %s; look whether another program "
                       "holds it, or choose another device",
                       out_granted->device, out_granted->system, Pa_GetErrorText(code));
    }
    *out_stream = stream;
    return EH_OK;
}

bool eh_audio_runs(const struct eh_audio_stream *stream) {
    return !(stream->on_jack && jack_died()) && Pa_IsStreamActive(stream->pa) == 1;
}

static void close_stream(void *argument) {
    struct eh_audio_stream *stream = argument;
    (void)Pa_AbortStream(stream->pa);
    /* Asked again: a server that died meanwhile makes the next call abort the process. */
    if (!(stream->on_jack && jack_died())) {
        (void)Pa_CloseStream(stream->pa);
    }
}

/* Streams that could not be closed. */
static struct eh_audio_stream *stuck;

bool eh_audio_close(struct eh_audio_stream *stream, int ms) {
    const bool untouchable = stream->on_jack && jack_died();
    if (untouchable || !eh_with_patience(close_stream, stream, ms) ||
        (stream->on_jack && jack_died())) {
        lost = true;
        stuck = stream;
        return false;
    }
    free(stream);
    return true;
}
