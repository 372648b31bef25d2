#include "click_time.h"

/* Wake-ups that are this late say nothing about the card's clock. */
static const double LATE_NS = 250e3;

/* A reading this far off is a stranger; so many in a row are a gap that nobody reported. */
static const double STRANGE_NS = 2e6;
enum { STRANGERS = 6, SETTLING = 12 };

/* No sound card's crystal is further off than this. */
static const double DRIFT = 500e-6;

static const double SLOW_HZ = 0.1;

void eh_click_time_init(struct eh_click_time *time, double rate) EH_RT_SAFE {
    *time = (struct eh_click_time){.nominal_ns_per_frame = 1e9 / rate, .ns_per_frame = 1e9 / rate};
}

static void begin(struct eh_click_time *time, int64_t frame, int64_t at_ns) EH_RT_SAFE {
    time->running = true;
    time->base_ns = at_ns;
    time->last_frame = frame;
    time->last_ns = 0;
    time->readings = 1;
    time->strangers = 0;
}

static double clamp(double x, double least, double most) EH_RT_SAFE {
    return x < least ? least : x > most ? most : x;
}

/* The loop's angular width for a step of STEP_NS: wide while it is young, then narrow. */
static double width(const struct eh_click_time *time, double step_ns) EH_RT_SAFE {
    const double age_s = time->last_ns / 1e9;
    const double hz = age_s * SLOW_HZ < 0.5 ? 0.5 / (age_s + 0.5) : SLOW_HZ;
    return clamp(2 * 3.14159265358979 * hz * step_ns / 1e9, 0, 0.3);
}

static void follow(struct eh_click_time *time, int64_t frame, double error_ns) EH_RT_SAFE {
    const double step = (double)(frame - time->last_frame);
    const double omega = width(time, step * time->ns_per_frame);
    const double error = clamp(error_ns, -LATE_NS, LATE_NS);
    time->last_ns += step * time->ns_per_frame + 1.41421356 * omega * error;
    if (time->readings > SETTLING) {
        time->ns_per_frame = clamp(time->ns_per_frame + omega * omega * error / step,
                                   time->nominal_ns_per_frame * (1 - DRIFT),
                                   time->nominal_ns_per_frame * (1 + DRIFT));
    }
    time->last_frame = frame;
}

bool eh_click_time_read(struct eh_click_time *time, int64_t frame, int64_t at_ns,
                        bool gap) EH_RT_SAFE {
    if (!time->running || gap || frame <= time->last_frame) {
        const bool anew = time->running;
        begin(time, frame, at_ns);
        return anew;
    }
    const double expected_ns =
        time->last_ns + (double)(frame - time->last_frame) * time->ns_per_frame;
    const double error_ns = (double)(at_ns - time->base_ns) - expected_ns;
    time->readings++;
    if (time->readings <= SETTLING && error_ns < 0) {
        /* The first wake-ups were late: an early one is never early without a reason. */
        time->last_ns = expected_ns + error_ns;
        time->last_frame = frame;
        return false;
    }
    time->strangers = error_ns > STRANGE_NS || error_ns < -STRANGE_NS ? time->strangers + 1 : 0;
    if (time->strangers >= STRANGERS) {
        begin(time, frame, at_ns);
        return true;
    }
    follow(time, frame, error_ns);
    return false;
}

int64_t eh_click_time_at(const struct eh_click_time *time, int64_t frame) EH_RT_SAFE {
    if (!time->running) {
        return 0;
    }
    const double ns = time->last_ns + (double)(frame - time->last_frame) * time->ns_per_frame;
    return time->base_ns + (int64_t)(ns < 0 ? ns - 0.5 : ns + 0.5);
}
