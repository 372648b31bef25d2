#include "calibrate_screen.h"

#include <math.h>
#include <stdio.h>

#include "look.h"

struct calibrate_screen calibrate_screen_make(void) {
    return (struct calibrate_screen){.look = cli_look(), .terminal = cli_is_terminal()};
}

void calibrate_screen_begin(const struct calibrate_screen *screen,
                            const struct eh_calibrate_course *course, const char *source,
                            const char *click) {
    (void)screen;
    const double seconds =
        eh_calibrate_course_beats(course) * (double)course->beat_ns / (double)EH_NS_PER_S;
    printf("Calibration: hits from %s.\n", source);
    printf("%g to the quarter, %d steps, %d:%02d minutes; click: %s.\n", eh_bpm(course->beat_ns),
           (int)course->step_count, (int)seconds / 60, (int)seconds % 60, click);
    puts("\n"
         "Play one tap on each click unless the step says otherwise, hands in turn, as you\n"
         "play every day. Each step begins with two bars of clicks to read it.\n"
         "Some steps are loud: keep headphones low, protect your hearing at a loud drum,\n"
         "and stop when something hurts.\n");
    (void)fflush(stdout);
}

static void give_way(struct calibrate_screen *screen) {
    if (screen->beat_drawn) {
        printf("\r%*s\r", screen->look.width - 1, "");
        screen->beat_drawn = false;
    }
}

static void print_what(const struct eh_calibrate_step *step) {
    switch ((enum eh_calibrate_kind)step->kind) {
    case EH_CALIBRATE_LEVEL:
        printf("%s, stick %g inch%s (%.3g cm) high: %d taps\n", eh_calibrate_mark_text(step->mark),
               step->height_in, step->height_in == 1 ? "" : "es", 2.54 * step->height_in,
               (int)step->taps);
        break;
    case EH_CALIBRATE_CLOSE:
        printf("on each click a loud stroke, the other hand right\n"
               "             behind it; let that one fade from loud to soft: %d pairs\n",
               (int)step->taps);
        break;
    case EH_CALIBRATE_DOUBLE:
        printf("on each click a fast double stroke, loud; let the\n"
               "             second stroke fade from loud to soft: %d doubles\n",
               (int)step->taps);
        break;
    case EH_CALIBRATE_CLICK:
        printf("medium taps, as exactly with the click as you can: %d\n", (int)step->taps);
        break;
    }
}

void calibrate_screen_step(struct calibrate_screen *screen,
                           const struct eh_calibrate_course *course,
                           const struct eh_calibrate_event *event) {
    give_way(screen);
    screen->last_velocity = 0;
    printf("Step %d of %d  ", (int)event->step + 1, (int)course->step_count);
    print_what(&course->steps[event->step]);
    (void)fflush(stdout);
}

/* The velocities of a span, rising. */
static size_t gather(const struct eh_calibrate_course *course, const struct eh_calibrate_span *span,
                     const struct eh_take *take, int64_t lag_ns, double *v, size_t room) {
    const int64_t from = span->first_beat * course->beat_ns - course->beat_ns / 2 + lag_ns;
    const int64_t to = from + span->taps * course->beat_ns;
    size_t n = 0;
    for (size_t i = 0; i < take->count && n < room; i++) {
        if (take->hits[i].at_ns >= from && take->hits[i].at_ns < to) {
            v[n++] = eh_hit_velocity(&take->hits[i]);
        }
    }
    eh_sort(v, n);
    return n;
}

void calibrate_screen_heard(struct calibrate_screen *screen,
                            const struct eh_calibrate_course *course,
                            const struct eh_calibrate_event *event, const struct eh_take *take,
                            int64_t lag_ns) {
    enum { ROOM = 1024 };
    double v[ROOM];
    const size_t n = gather(course, &event->span, take, lag_ns, v, ROOM);
    give_way(screen);
    printf("             on %d of %d clicks", (int)event->span.heard, (int)event->span.taps);
    if (n > 0) {
        printf(": %zu hits, velocity %.3g to %.3g, in the middle %.3g", n, v[0], v[n - 1],
               eh_quantile(v, n, 0.5));
    }
    printf("\n");
    if (event->kind == EH_CALIBRATE_EVENT_AGAIN) {
        printf("             Too few%s: once more.\n",
               course->steps[event->step].kind == EH_CALIBRATE_LEVEL &&
                       course->steps[event->step].mark == 0
                   ? " (the pad may not report so soft a tap)"
                   : "");
    }
    (void)fflush(stdout);
}

void calibrate_screen_beat(struct calibrate_screen *screen,
                           const struct eh_calibrate_course *course, int32_t beat) {
    if (!screen->terminal) {
        return;
    }
    const struct eh_calibrate_step *step = &course->steps[course->step];
    const int32_t tap = beat - course->now.first_beat;
    char label[40];
    if (tap < 0) {
        (void)snprintf(label, sizeof label, "count-in");
    } else {
        (void)snprintf(label, sizeof label, "%d of %d", (int)tap + 1, (int)step->taps);
    }
    struct eh_text text = {0};
    eh_report_beat(label, beat % EH_CALIBRATE_BAR + 1, EH_CALIBRATE_BAR, &screen->look, &text);
    char heard[32] = "";
    if (tap >= 0 && screen->last_velocity > 0) {
        (void)snprintf(heard, sizeof heard, "   velocity %.4g", screen->last_velocity);
    }
    printf("\r    %-3s %s%s%*s",
           step->kind == EH_CALIBRATE_LEVEL ? eh_calibrate_mark_text(step->mark) : "",
           eh_text_string(&text), heard, 8, "");
    (void)fflush(stdout);
    screen->beat_drawn = true;
    eh_text_deinit(&text);
}

void calibrate_screen_end(struct calibrate_screen *screen) {
    give_way(screen);
    (void)fflush(stdout);
}
