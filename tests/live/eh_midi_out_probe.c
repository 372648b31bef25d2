/* Sends a hit every few milliseconds: a tool for tests of the live path.
 *
 *     eh_midi_out_probe [-s SECONDS] [-i INTERVAL_MS] [PORT]
 *
 * Hit number n has note n % 100 and a velocity that needs a High Resolution Velocity prefix. Exit 4
 * when the server is gone. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "evenhand/clock.h"
#include "evenhand/midi_out.h"

static enum eh_status send_all(struct eh_midi_out *out, double seconds, double interval_ms) {
    const int64_t end_ns = eh_clock_now_ns() + (int64_t)(seconds * 1e9);
    const struct timespec pause = {.tv_sec = 0, .tv_nsec = (long)(interval_ms * 1e6)};
    enum eh_status status = EH_OK;
    long sent = 0;
    while (status == EH_OK && eh_clock_now_ns() < end_ns) {
        const struct eh_hit hit = {.note = (uint8_t)(sent % 100),
                                   .channel = 9,
                                   .velocity =
                                       (uint16_t)(512 * (1 + sent % 127) + 4 * (sent % 128))};
        status = eh_midi_out_hit(out, &hit);
        sent += status == EH_OK;
        nanosleep(&pause, NULL);
    }
    printf("end %s at %" PRId64 " sent %ld\n", eh_status_text(status), eh_clock_now_ns(), sent);
    return status;
}

int main(int argc, char **argv) {
    double seconds = 5, interval_ms = 5;
    struct eh_midi_out *out;
    struct eh_error error = {0};
    setvbuf(stdout, NULL, _IOLBF, 0);
    for (int option; (option = getopt(argc, argv, "s:i:")) != -1;) {
        if (option == 's') {
            seconds = strtod(optarg, NULL);
        } else if (option == 'i') {
            interval_ms = strtod(optarg, NULL);
        } else {
            return 2;
        }
    }
    if (eh_midi_out_open(&out, optind < argc ? argv[optind] : NULL, &error) != EH_OK) {
        fprintf(stderr, "eh_midi_out_probe: %s: %s\n", eh_status_text(error.status), error.text);
        return 1;
    }
    printf("open %s\n", eh_midi_out_name(out));
    const enum eh_status status = send_all(out, seconds, interval_ms);
    const int64_t before_ns = eh_clock_now_ns();
    eh_midi_out_close(out);
    printf("closed in %" PRId64 " ms\n", (eh_clock_now_ns() - before_ns) / 1000000);
    return status == EH_OK ? 0 : status == EH_GONE ? 4 : 1;
}
