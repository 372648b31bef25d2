#include "evenhand/clock.h"

#include <time.h>

int64_t eh_clock_now_ns(void) EH_RT_SAFE {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}
