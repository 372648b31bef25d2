#include "play_clock.h"

#include <signal.h>
#include <stddef.h>
#include <time.h>

#include "evenhand/clock.h"
#include "evenhand/time.h"

int64_t play_clock_now(const struct play_clock *clock) {
    return clock->is_virtual ? clock->virtual_ns : eh_clock_now_ns();
}

void play_clock_wait(struct play_clock *clock, int64_t until_ns) {
    if (clock->is_virtual) {
        clock->virtual_ns = until_ns > clock->virtual_ns ? until_ns : clock->virtual_ns;
        return;
    }
    const struct timespec until = {.tv_sec = (time_t)(until_ns / EH_NS_PER_S),
                                   .tv_nsec = (long)(until_ns % EH_NS_PER_S)};
    (void)clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &until, NULL);
}

static volatile sig_atomic_t caught;

static void catch_signal(int number) {
    (void)number;
    caught = 1;
}

void play_signals_catch(void) {
    static const int numbers[] = {SIGINT, SIGTERM, SIGHUP};
    struct sigaction action = {.sa_handler = catch_signal, .sa_flags = (int)SA_RESETHAND};
    (void)sigemptyset(&action.sa_mask);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        struct sigaction before;
        if (sigaction(numbers[i], NULL, &before) == 0 && before.sa_handler != SIG_IGN) {
            (void)sigaction(numbers[i], &action, NULL);
        }
    }
}

bool play_signals_caught(void) {
    return caught != 0;
}
