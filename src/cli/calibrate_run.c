/* A calibration that is played now, by a person or by the demo player. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "calibrate_played.h"
#include "calibrate_screen.h"
#include "evenhand/clock.h"
#include "evenhand/store.h"
#include "play_click.h"
#include "play_source.h"
#include "say.h"

static const int64_t step_ns = 4 * EH_NS_PER_MS;
static const int64_t virtual_step_ns = 20 * EH_NS_PER_MS;

/* A hit may be this long on its way before it is told. */
static const int64_t in_flight_ns = 30 * EH_NS_PER_MS;

enum { BATCH = 64, BEATS_SPARE = 8 };

struct run {
    const struct calibrate_options *options;
    struct calibrate_played *played;
    struct eh_practice metronome; /* nothing but its beats */
    struct play_options sound;
    struct play_source source;
    struct play_click click;
    struct play_clock clock;
    struct calibrate_screen screen;
    struct eh_demo_tapper tapper;
    struct eh_run_click *clicks; /* owned; as they sounded */
    size_t click_count;
    int64_t lags[EH_CLICK_WINDOW];
    int64_t lag_ns; /* how far the sound has fallen behind its schedule */
    bool failed;    /* out of memory */
};

/* Beats enough for every step played twice. */
static int lay_beats(struct run *run) {
    const struct eh_calibrate_course *course = &run->played->course;
    const size_t count =
        EH_CALIBRATE_ATTEMPTS * (size_t)eh_calibrate_course_beats(course) + BEATS_SPARE;
    run->metronome.beats = calloc(count, sizeof *run->metronome.beats);
    run->clicks = calloc(count, sizeof *run->clicks);
    if (run->metronome.beats == NULL || run->clicks == NULL) {
        return cli_complain("no memory for a calibration");
    }
    run->metronome.beat_count = count;
    for (size_t i = 0; i < count; i++) {
        const int number = (int)(i % EH_CALIBRATE_BAR) + 1;
        run->metronome.beats[i] =
            (struct eh_beat){.at = (eh_ticks)i * EH_TICKS_PER_QUARTER,
                             .at_ns = (int64_t)i * course->beat_ns,
                             .number = number,
                             .weight = number == 1 ? EH_BEAT_ONE : EH_BEAT_PLAIN};
    }
    return CLI_GOOD;
}

static int open_source(struct run *run) {
    if (run->options->demo == NULL) {
        return play_source_open_pad(&run->source, run->options->port, true);
    }
    eh_demo_tapper_init(&run->tapper, run->options->demo_pad, (uint64_t)run->options->seed);
    return play_source_open_empty(&run->source) == EH_OK
               ? CLI_GOOD
               : cli_complain("no memory for the demo player");
}

static int64_t in_course(const struct run *run, int64_t now_ns) {
    return now_ns - run->click.zero_ns - run->lag_ns;
}

static void take_hit(struct run *run, struct eh_hit hit) {
    hit.at_ns -= run->click.zero_ns;
    if (!eh_pad_owns(&run->played->pad, hit.note)) {
        return;
    }
    run->failed = eh_take_add(&run->played->take, &hit) != EH_OK || run->failed;
    eh_calibrate_course_hit(&run->played->course, hit.at_ns - run->lag_ns);
    run->screen.last_velocity = eh_hit_velocity(&hit);
}

static void take_hits(struct run *run, int64_t now_ns) {
    struct eh_hit batch[BATCH];
    size_t n = BATCH;
    while (n == BATCH) {
        n = play_source_poll(&run->source, now_ns, run->click.zero_ns, batch, BATCH);
        for (size_t i = 0; i < n; i++) {
            take_hit(run, batch[i]);
        }
    }
}

static int compare_lags(const void *a, const void *b) {
    const int64_t x = *(const int64_t *)a;
    const int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

static void take_clicks(struct run *run, int64_t now_ns) {
    const size_t room = run->metronome.beat_count - run->click_count;
    struct eh_run_click *from = run->clicks + run->click_count;
    const size_t n = play_click_step(&run->click, now_ns, from, room < BATCH ? room : BATCH);
    for (size_t i = 0; i < n; i++) {
        const int64_t due = from[i].at / EH_TICKS_PER_QUARTER * run->played->course.beat_ns;
        run->lags[run->click_count++ % EH_CLICK_WINDOW] = from[i].at_ns - due;
    }
    if (n > 0 && run->click_count >= EH_CLICK_WINDOW) {
        int64_t sorted[EH_CLICK_WINDOW];
        memcpy(sorted, run->lags, sizeof sorted);
        qsort(sorted, EH_CLICK_WINDOW, sizeof sorted[0], compare_lags);
        run->lag_ns = sorted[EH_CLICK_WINDOW / 2];
    }
}

/* The demo player plays an attempt when it is announced, and leaves off when it is over. */
static void lead_demo(struct run *run, const struct eh_calibrate_event *event) {
    const struct eh_calibrate_course *course = &run->played->course;
    if (run->options->demo == NULL) {
        return;
    }
    if (event->kind == EH_CALIBRATE_EVENT_COUNT_IN) {
        run->failed = eh_demo_tapper_play(&run->tapper, course, event->step, event->attempt,
                                          course->now.first_beat, &run->source.demo) != EH_OK ||
                      run->failed;
    } else if (event->kind != EH_CALIBRATE_EVENT_TAPS) {
        run->source.demo.count = run->source.demo_next;
    }
}

static void follow_course(struct run *run, int64_t now_ns) {
    struct eh_calibrate_course *course = &run->played->course;
    const int64_t flight = run->source.midi != NULL ? in_flight_ns : 0;
    struct eh_calibrate_event event;
    while (eh_calibrate_course_next(course, in_course(run, now_ns) - flight, &event)) {
        lead_demo(run, &event);
        if (event.kind == EH_CALIBRATE_EVENT_COUNT_IN) {
            calibrate_screen_step(&run->screen, course, &event);
        } else if (event.kind == EH_CALIBRATE_EVENT_STEP ||
                   event.kind == EH_CALIBRATE_EVENT_AGAIN) {
            calibrate_screen_heard(&run->screen, course, &event, &run->played->take, run->lag_ns);
        }
    }
}

static void look_for_trouble(struct run *run, int64_t now_ns) {
    const char *click = play_click_trouble(&run->click);
    const char *source = play_source_trouble(&run->source);
    if (click != NULL || source != NULL) {
        calibrate_screen_end(&run->screen);
    }
    if (click != NULL) {
        (void)cli_complain("%s", click);
    }
    if (source != NULL) {
        (void)cli_complain("%s", source);
    }
    if (source != NULL || play_signals_caught() || run->failed) {
        eh_calibrate_course_stop(&run->played->course, in_course(run, now_ns));
    }
}

static void show_beat(struct run *run, int64_t now_ns) {
    const struct eh_beat *beat = play_click_beat(&run->click, now_ns);
    if (beat != NULL && !run->clock.is_virtual) {
        calibrate_screen_beat(&run->screen, &run->played->course,
                              (int32_t)(beat->at / EH_TICKS_PER_QUARTER));
    }
}

static void step(struct run *run, int64_t now_ns) {
    take_hits(run, now_ns);
    take_clicks(run, now_ns);
    follow_course(run, now_ns);
    look_for_trouble(run, now_ns);
    show_beat(run, now_ns);
}

static void play(struct run *run) {
    play_source_clear(&run->source);
    play_click_start(&run->click, &run->clock);
    while (!eh_calibrate_course_is_over(&run->played->course)) {
        const int64_t now_ns = play_clock_now(&run->clock);
        step(run, now_ns);
        play_clock_wait(&run->clock, now_ns + (run->clock.is_virtual ? virtual_step_ns : step_ns));
    }
    play_click_hush(&run->click);
    take_clicks(run, play_clock_now(&run->clock));
    follow_course(run, play_clock_now(&run->clock));
    calibrate_screen_end(&run->screen);
}

/* The click as it was heard goes into the take. */
static int finish(struct run *run) {
    struct calibrate_played *played = run->played;
    struct eh_tempo_map heard = {0};
    const uint32_t dropped = play_source_dropped(&run->source);
    if (run->failed || eh_click_map_from_times(&heard, run->clicks, run->click_count, 0,
                                               played->course.beat_ns, false) != EH_OK) {
        eh_tempo_map_deinit(&heard);
        return cli_complain("no memory: the calibration is incomplete");
    }
    if (dropped > 0) {
        (void)cli_complain("%u hit%s lost on the way in: calibrate again", (unsigned)dropped,
                           dropped == 1 ? " was" : "s were");
    }
    eh_tempo_map_deinit(&played->take.click);
    played->take.click = heard;
    played->take.dropped = dropped;
    return CLI_GOOD;
}

static int perform(struct run *run) {
    struct calibrate_played *played = run->played;
    const struct eh_metre_change metre = {.at = 0, .beats = EH_CALIBRATE_BAR, .unit = 4};
    const char *name = play_source_name(&run->source);
    if (eh_take_init(&played->take, name, metre, 0, played->course.beat_ns) != EH_OK) {
        return cli_complain("no memory for a calibration");
    }
    played->take.resolution_ns = play_source_resolution_ns(&run->source);
    play_click_open(&run->click, &run->metronome, &run->sound);
    run->screen = calibrate_screen_make();
    calibrate_screen_begin(&run->screen, &played->course, name,
                           run->click.audio != NULL ? eh_click_granted(run->click.audio)->device
                                                    : "no sound");
    play_signals_catch();
    play(run);
    return finish(run);
}

int calibrate_play(struct calibrate_played *played, const struct calibrate_options *options) {
    struct run run = {.options = options,
                      .played = played,
                      .sound = {.no_sound = options->no_sound,
                                .fast = options->fast,
                                .audio = options->audio,
                                .volume = options->volume},
                      .clock = {.is_virtual = options->fast}};
    int result = lay_beats(&run);
    if (result == CLI_GOOD) {
        result = open_source(&run);
    }
    if (result == CLI_GOOD) {
        played->is_live = options->demo == NULL;
        if (played->is_live) {
            (void)snprintf(played->port, sizeof played->port, "%s", play_source_name(&run.source));
        }
        result = calibrate_find_pad(played, options);
    }
    if (result == CLI_GOOD) {
        result = perform(&run);
    }
    play_click_close(&run.click);
    play_source_close(&run.source);
    free(run.metronome.beats);
    free(run.clicks);
    return result;
}
