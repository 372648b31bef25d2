#include "play_source.h"

#include <sched.h>
#include <sys/mman.h>

#include "say.h"

enum { DEMO_RING = 4096, INPUT_PRIORITY = 10 };

/* Asks for what keeps input stamps punctual: memory that is not paged out, and a thread of the
 * driver's that goes before others (it inherits the scheduling of the thread that opens the port).
 * Neither is needed: a refusal changes nothing. */
static int open_promptly(struct play_source *out, const char *wanted, struct eh_error *error) {
    struct sched_param usual = {0};
    const int policy = sched_getscheduler(0);
    const bool known = policy >= 0 && sched_getparam(0, &usual) == 0;
    const struct sched_param first = {.sched_priority = INPUT_PRIORITY};
    (void)mlockall(MCL_CURRENT);
    const bool raised = known && sched_setscheduler(0, SCHED_FIFO, &first) == 0;
    const enum eh_status status = eh_midi_in_open(&out->midi, wanted, error);
    if (raised) {
        (void)sched_setscheduler(0, policy, &usual);
    }
    return status == EH_OK ? CLI_GOOD : CLI_FAILED;
}

int play_source_open_pad(struct play_source *out, const char *wanted, bool demo_helps) {
    *out = (struct play_source){0};
    struct eh_error error;
    eh_error_clear(&error);
    if (open_promptly(out, wanted, &error) == CLI_GOOD) {
        return CLI_GOOD;
    }
    const int result = cli_complain_error("the pad", &error);
    if (error.status == EH_UNAVAILABLE && demo_helps) {
        (void)cli_complain("without a pad, --demo lets the demo player play");
    }
    return result;
}

int play_source_open_demo(struct play_source *out, const struct eh_plan *plan,
                          const struct eh_demo_request *request) {
    *out = (struct play_source){0};
    struct eh_error error;
    eh_error_clear(&error);
    struct eh_demo demo;
    enum eh_status status = eh_demo_init(&demo, plan, request, &error);
    if (status == EH_OK) {
        status = eh_demo_hits(&demo, &out->demo);
    }
    if (status == EH_OK) {
        status = eh_ring_new(&out->ring, sizeof(struct eh_hit), DEMO_RING);
    }
    if (status == EH_OK) {
        return CLI_GOOD;
    }
    error.status = status;
    play_source_close(out);
    return cli_complain_error("the demo player", &error);
}

enum eh_status play_source_open_empty(struct play_source *out) {
    *out = (struct play_source){0};
    return eh_ring_new(&out->ring, sizeof(struct eh_hit), DEMO_RING);
}

/* The demo player plays what is due. */
static void play_demo(struct play_source *source, int64_t now_ns, int64_t zero_ns) {
    while (source->demo_next < source->demo.count) {
        struct eh_hit hit = source->demo.hits[source->demo_next];
        hit.at_ns += zero_ns;
        if (hit.at_ns > now_ns || eh_ring_space(source->ring) == 0 ||
            !eh_ring_push(source->ring, &hit)) {
            return;
        }
        source->demo_next++;
    }
}

size_t play_source_poll(struct play_source *source, int64_t now_ns, int64_t zero_ns,
                        struct eh_hit *out_hits, size_t room) {
    if (source->midi != NULL) {
        return eh_midi_in_poll(source->midi, out_hits, room);
    }
    play_demo(source, now_ns, zero_ns);
    size_t n = 0;
    while (n < room && eh_ring_pop(source->ring, &out_hits[n])) {
        n++;
    }
    return n;
}

int64_t play_source_first_ns(const struct play_source *source) {
    return source->demo.count > 0 ? source->demo.hits[0].at_ns : 0;
}

void play_source_clear(struct play_source *source) {
    struct eh_hit hits[64];
    while (source->midi != NULL && eh_midi_in_poll(source->midi, hits, 64) > 0) {
    }
}

int64_t play_source_next_ns(const struct play_source *source, int64_t zero_ns) {
    return source->demo_next < source->demo.count
               ? source->demo.hits[source->demo_next].at_ns + zero_ns
               : INT64_MAX;
}

const char *play_source_trouble(struct play_source *source) {
    if (source->midi == NULL) {
        return NULL;
    }
    switch (eh_midi_in_health(source->midi)) {
    case EH_MIDI_WELL:
        return NULL;
    case EH_MIDI_PORT_GONE:
        return "the pad's port has gone; check its cable and switch, then start again";
    case EH_MIDI_SERVER_GONE:
        return "the JACK server has ended; start it and the run again";
    }
    return NULL;
}

const char *play_source_name(const struct play_source *source) {
    return source->midi != NULL ? eh_midi_in_name(source->midi) : "the demo player";
}

uint32_t play_source_dropped(const struct play_source *source) {
    return source->midi != NULL ? eh_midi_in_dropped(source->midi) : eh_ring_dropped(source->ring);
}

int64_t play_source_resolution_ns(const struct play_source *source) {
    return source->midi != NULL ? eh_midi_in_resolution_ns(source->midi) : 1;
}

void play_source_close(struct play_source *source) {
    eh_midi_in_close(source->midi);
    eh_ring_free(source->ring);
    eh_take_deinit(&source->demo);
    *source = (struct play_source){0};
}
