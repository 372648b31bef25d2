/* Listens to a MIDI port and prints each hit: a tool for tests of the live path.
 *
 *     eh_midi_probe [-s SECONDS] [-n HITS] [-q] [PORT]
 *     eh_midi_probe -l
 *
 * A line a hit: CLOCK_MONOTONIC ns, note, velocity, channel, and the ns at which it was drained. -q
 * prints no hits, -l lists the ports. Ends after SECONDS (10), after HITS, or when the port or the
 * server is gone (exit 3, 4); the last line sums up. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "evenhand/clock.h"
#include "evenhand/midi_in.h"

struct wish {
    double seconds;
    long hits;
    int quiet, list;
    const char *port;
};

static int list_ports(void) {
    struct eh_port_list list;
    struct eh_error error = {0};
    if (eh_midi_ports_list(&list, &error) != EH_OK) {
        fprintf(stderr, "eh_midi_probe: %s\n", error.text);
        return 1;
    }
    for (size_t i = 0; i < list.count; i++) {
        printf("%d\t%s\t%s\t%s\n", list.ports[i].number, eh_port_system_text(list.ports[i].system),
               list.ports[i].name, list.ports[i].through ? "through" : "");
    }
    eh_midi_ports_free(&list);
    return 0;
}

static long drain(struct eh_midi_in *in, const struct wish *wish) {
    struct eh_hit hits[64];
    long all = 0;
    for (size_t n; (n = eh_midi_in_poll(in, hits, 64)) > 0; all += (long)n) {
        for (size_t i = 0; i < n && !wish->quiet; i++) {
            printf("hit %" PRId64 " %d %u %d %" PRId64 "\n", hits[i].at_ns, hits[i].note,
                   (unsigned)hits[i].velocity, hits[i].channel, eh_clock_now_ns());
        }
    }
    return all;
}

static int listen_to(struct eh_midi_in *in, const struct wish *wish) {
    const int64_t end_ns = eh_clock_now_ns() + (int64_t)(wish->seconds * 1e9);
    const struct timespec pause = {.tv_sec = 0, .tv_nsec = 2000000};
    enum eh_midi_health health = EH_MIDI_WELL;
    long hits = 0;
    while (health == EH_MIDI_WELL && eh_clock_now_ns() < end_ns &&
           (wish->hits == 0 || hits < wish->hits)) {
        nanosleep(&pause, NULL);
        hits += drain(in, wish);
        health = eh_midi_in_health(in);
    }
    static const char *const words[] = {"well", "port gone", "server gone"};
    printf("end %s at %" PRId64 " hits %ld received %" PRIu64 " dropped %" PRIu32
           " resolution_ns %" PRId64 " worst_callback_ns %" PRId64 "\n",
           words[health], eh_clock_now_ns(), hits, eh_midi_in_received(in), eh_midi_in_dropped(in),
           eh_midi_in_resolution_ns(in), eh_midi_in_worst_callback_ns(in));
    return health == EH_MIDI_WELL ? 0 : health == EH_MIDI_PORT_GONE ? 3 : 4;
}

static int parse(int argc, char **argv, struct wish *wish) {
    for (int option; (option = getopt(argc, argv, "s:n:ql")) != -1;) {
        switch (option) {
        case 's':
            wish->seconds = strtod(optarg, NULL);
            break;
        case 'n':
            wish->hits = strtol(optarg, NULL, 10);
            break;
        case 'q':
            wish->quiet = 1;
            break;
        case 'l':
            wish->list = 1;
            break;
        default:
            return 2;
        }
    }
    wish->port = optind < argc ? argv[optind] : NULL;
    return 0;
}

int main(int argc, char **argv) {
    struct wish wish = {.seconds = 10};
    struct eh_midi_in *in;
    struct eh_error error = {0};
    setvbuf(stdout, NULL, _IOLBF, 0);
    if (parse(argc, argv, &wish) != 0) {
        return 2;
    }
    if (wish.list) {
        return list_ports();
    }
    if (eh_midi_in_open(&in, wish.port, &error) != EH_OK) {
        fprintf(stderr, "eh_midi_probe: %s: %s\n", eh_status_text(error.status), error.text);
        return 1;
    }
    printf("open %s\n", eh_midi_in_name(in));
    const int code = listen_to(in, &wish);
    const int64_t before_ns = eh_clock_now_ns();
    eh_midi_in_close(in);
    printf("closed in %" PRId64 " ms\n", (eh_clock_now_ns() - before_ns) / 1000000);
    return code;
}
