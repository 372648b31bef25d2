/* Clicks for a while: a tool for tests of the live path.
 *
 *     eh_click_probe [-b BPM] [-s SECONDS] [-d DEVICE] [-S SUBDIVISION] [-q]
 *     eh_click_probe -l
 *
 * Four beats to the bar; SUBDIVISION clicks a beat (1). A line a click: its number, due ns,
 * sounding time (CLOCK_MONOTONIC ns), and "underflow" or "late" where that is so. Beats are handed
 * over gradually, half a second ahead, as a practice does. Exit 4 when the sound is gone. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "evenhand/click.h"
#include "evenhand/clock.h"

struct wish {
    double bpm, seconds;
    int subdivision, quiet, list;
    const char *device;
};

static int list_devices(void) {
    struct eh_audio_list list;
    struct eh_error error = {0};
    if (eh_click_devices_list(&list, &error) != EH_OK) {
        fprintf(stderr, "eh_click_probe: %s\n", error.text);
        return 1;
    }
    for (size_t i = 0; i < list.count; i++) {
        printf("%d\t%s\t%s\t%s\n", list.devices[i].number, list.devices[i].system,
               list.devices[i].name, list.devices[i].preferred ? "preferred" : "");
    }
    eh_click_devices_free(&list);
    return 0;
}

static int64_t due_ns(const struct wish *wish, long number) {
    const double beat = 60e9 / wish->bpm / wish->subdivision;
    return (int64_t)((double)number * beat + 0.5);
}

static long feed(struct eh_click *click, const struct wish *wish, long next) {
    const int64_t ahead_ns = eh_clock_now_ns() - eh_click_zero_ns(click) + 500 * EH_NS_PER_MS;
    const int64_t end_ns = (int64_t)(wish->seconds * 1e9);
    for (; due_ns(wish, next) < ahead_ns && due_ns(wish, next) <= end_ns; next++) {
        struct eh_click_beat beat = {.due_ns = due_ns(wish, next), .at = next};
        beat.sound = next % wish->subdivision != 0       ? EH_CLICK_SUB
                     : next / wish->subdivision % 4 == 0 ? EH_CLICK_ACCENT
                                                         : EH_CLICK_BEAT;
        if (eh_click_schedule(click, &beat, 1) == 0) {
            break;
        }
    }
    return next;
}

static long tell(struct eh_click *click, const struct wish *wish) {
    struct eh_click_sounded sounded[64];
    long all = 0;
    for (size_t n; (n = eh_click_sounded(click, sounded, 64)) > 0; all += (long)n) {
        for (size_t i = 0; i < n && !wish->quiet; i++) {
            printf("click %" PRId64 " %" PRId64 " %" PRId64 "%s%s\n", sounded[i].at,
                   sounded[i].due_ns, sounded[i].sounds_ns,
                   sounded[i].underflow ? " underflow" : "", sounded[i].late ? " late" : "");
        }
    }
    return all;
}

static int play(struct eh_click *click, const struct wish *wish) {
    const struct timespec pause = {.tv_sec = 0, .tv_nsec = 10000000};
    const int64_t end_ns = eh_click_zero_ns(click) + (int64_t)(wish->seconds * 1e9) +
                           eh_click_granted(click)->latency_ns + 50 * EH_NS_PER_MS;
    long next = 0, clicks = 0;
    while (eh_clock_now_ns() < end_ns && eh_click_health(click) == EH_CLICK_WELL) {
        next = feed(click, wish, next);
        clicks += tell(click, wish);
        nanosleep(&pause, NULL);
    }
    const int gone = eh_click_health(click) != EH_CLICK_WELL;
    printf("end %s at %" PRId64 " clicks %ld of %ld late %" PRIu32 " underflows %" PRIu32
           " worst_callback_ns %" PRId64 "\n",
           gone ? "gone" : "well", eh_clock_now_ns(), clicks, next, eh_click_late(click),
           eh_click_underflows(click), eh_click_worst_callback_ns(click));
    return gone ? 4 : 0;
}

static int parse(int argc, char **argv, struct wish *wish) {
    for (int option; (option = getopt(argc, argv, "b:s:d:S:ql")) != -1;) {
        switch (option) {
        case 'b':
            wish->bpm = strtod(optarg, NULL);
            break;
        case 's':
            wish->seconds = strtod(optarg, NULL);
            break;
        case 'd':
            wish->device = optarg;
            break;
        case 'S':
            wish->subdivision = (int)strtol(optarg, NULL, 10);
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
    return wish->bpm > 0 && wish->subdivision > 0 ? 0 : 2;
}

int main(int argc, char **argv) {
    struct wish wish = {.bpm = 120, .seconds = 5, .subdivision = 1};
    struct eh_click *click;
    struct eh_error error = {0};
    setvbuf(stdout, NULL, _IOLBF, 0);
    if (parse(argc, argv, &wish) != 0) {
        return 2;
    }
    if (wish.list) {
        return list_devices();
    }
    const struct eh_click_request request = {.device = wish.device, .volume = 0.7};
    if (eh_click_open(&click, &request, &error) != EH_OK) {
        fprintf(stderr, "eh_click_probe: %s: %s\n", eh_status_text(error.status), error.text);
        return 1;
    }
    const struct eh_click_granted *granted = eh_click_granted(click);
    if (eh_click_start(click, EH_NS_PER_S) != EH_OK) {
        return 4;
    }
    printf("open %s (%s) rate %.0f channels %d latency_ns %" PRId64 " zero_ns %" PRId64 "\n",
           granted->device, granted->system, granted->rate, granted->channels, granted->latency_ns,
           eh_click_zero_ns(click));
    const int code = play(click, &wish);
    const int64_t before_ns = eh_clock_now_ns();
    eh_click_close(click);
    printf("closed in %" PRId64 " ms\n", (eh_clock_now_ns() - before_ns) / 1000000);
    return code;
}
