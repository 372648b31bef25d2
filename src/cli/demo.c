/* evenhand demo */
#include "command.h"
#include "demo_options.h"
#include "evenhand/midi_out.h"
#include "evenhand/practice.h"
#include "evenhand/smf.h"
#include "exercise_find.h"
#include "pad_find.h"
#include "play_clock.h"
#include "play_lay.h"
#include "play_metres.h"
#include "say.h"
#include "style_find.h"
#include "write_file.h"

#include <stdio.h>
#include <string.h>

/* From the opening of the port to the count-in: time to connect something to it. */
static const int64_t lead_ns = EH_NS_PER_S;

/* How long a Ctrl-C may take at most. */
static const int64_t nap_ns = 50 * EH_NS_PER_MS;

struct demo_stage {
    struct demo_options options;
    struct found_exercise exercise;
    struct eh_style style;
    struct eh_pad pad;
    struct eh_practice practice;
    struct eh_take take;
    double bpm;
};

static int lay_out(struct demo_stage *stage) {
    const struct demo_options *options = &stage->options;
    const struct eh_practice_request request = {.plan = options->plan,
                                                .count_in_bars = (int32_t)options->count_in,
                                                .no_click = options->count_off >= 0,
                                                .uncounted = true};
    return play_lay(&stage->practice, &stage->exercise, request, options->tempo, &stage->bpm);
}

/* A take whose first bar is the first of the count-in, where there is one. */
static enum eh_status make_take(struct demo_stage *stage) {
    const struct eh_plan_bar *bar = &stage->practice.plan.bars[0];
    const struct eh_metre_change first = {
        .at = -stage->practice.count_in, .beats = bar->beats, .unit = bar->unit};
    const enum eh_status status = play_metres_lay(&stage->take, &stage->practice, stage->bpm);
    return status == EH_OK && !stage->practice.no_click ? eh_take_add_metre(&stage->take, first)
                                                        : status;
}

static int find_pad(struct demo_stage *stage, struct eh_demo_request *request) {
    const struct pad_wish wish = {.file = stage->options.through};
    if (wish.file == NULL) {
        return CLI_GOOD;
    }
    request->through = &stage->pad;
    const int result = pad_find(&stage->pad, &wish);
    eh_demo_take_notes(request, &stage->pad);
    return result;
}

static int perform(struct demo_stage *stage) {
    const struct demo_options *options = &stage->options;
    struct eh_demo_request request = {.seed = (uint64_t)options->seed,
                                      .fault_count = options->fault_count,
                                      .style = &stage->style,
                                      .exact = options->exact,
                                      .no_click = options->count_off >= 0,
                                      .count_off =
                                          options->count_off > 0 ? (int32_t)options->count_off : 0};
    memcpy(request.faults, options->faults, sizeof request.faults);
    struct eh_demo demo;
    struct eh_error error;
    if (find_pad(stage, &request) != CLI_GOOD) {
        return CLI_FAILED;
    }
    eh_error_clear(&error);
    error.status = make_take(stage);
    if (error.status == EH_OK) {
        error.status = eh_demo_init(&demo, &stage->practice.plan, &request, &error);
    }
    if (error.status == EH_OK) {
        error.status = eh_demo_hits(&demo, &stage->take);
    }
    return error.status == EH_OK ? CLI_GOOD : cli_complain_error("the demo player", &error);
}

static int save(const struct demo_stage *stage) {
    struct eh_text bytes = {0};
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status =
        eh_smf_write(&bytes, &stage->take, eh_exercise_title(stage->exercise.exercise), &error);
    if (status == EH_OK) {
        status = write_new_file(stage->options.save, bytes.data, bytes.length, &error);
    }
    eh_text_deinit(&bytes);
    if (status != EH_OK) {
        return cli_complain_error(stage->options.save, &error);
    }
    (void)printf("%s: %zu hits at %g to the quarter\n", stage->options.save, stage->take.count,
                 stage->bpm);
    return CLI_GOOD;
}

/* False when the wait was broken off. */
static bool wait_for(struct play_clock *clock, int64_t until_ns) {
    for (int64_t now = play_clock_now(clock); now < until_ns; now = play_clock_now(clock)) {
        if (play_signals_caught()) {
            return false;
        }
        play_clock_wait(clock, until_ns - now < nap_ns ? until_ns : now + nap_ns);
    }
    return !play_signals_caught();
}

static enum eh_status send_all(const struct demo_stage *stage, struct eh_midi_out *out,
                               struct eh_error *error) {
    struct play_clock clock = {0};
    const int64_t first_ns = stage->take.count > 0 ? stage->take.hits[0].at_ns : 0;
    const int64_t start_ns = eh_practice_start_ns(&stage->practice);
    const int64_t zero_ns =
        play_clock_now(&clock) + lead_ns - (first_ns < start_ns ? first_ns : start_ns);
    for (size_t i = 0; i < stage->take.count; i++) {
        const struct eh_hit *hit = &stage->take.hits[i];
        if (!wait_for(&clock, zero_ns + hit->at_ns)) {
            return EH_OK;
        }
        const enum eh_status status = eh_midi_out_hit(out, hit);
        if (status != EH_OK) {
            return eh_fail(error, status, "sending stopped after %zu hits: %s", i,
                           eh_status_text(status));
        }
    }
    (void)wait_for(&clock, play_clock_now(&clock) + 4 * nap_ns);
    return EH_OK;
}

static int send(const struct demo_stage *stage) {
    struct eh_midi_out *out = NULL;
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_midi_out_open(&out, stage->options.port, &error) != EH_OK) {
        return cli_complain_error("MIDI output", &error);
    }
    (void)printf("Playing %s at %g to the quarter out of %s\n", stage->exercise.name, stage->bpm,
                 eh_midi_out_name(out));
    (void)fflush(stdout);
    play_signals_catch();
    const enum eh_status status = send_all(stage, out, &error);
    const int result =
        status == EH_OK ? CLI_GOOD : cli_complain_error(eh_midi_out_name(out), &error);
    eh_midi_out_close(out);
    return result;
}

static int run_steps(struct demo_stage *stage) {
    int result = exercise_find(&stage->exercise, stage->options.exercise, stage->options.part);
    if (result == CLI_GOOD) {
        result = style_find(&stage->style, stage->options.style, stage->exercise.exercise);
    }
    if (result == CLI_GOOD) {
        result = lay_out(stage);
    }
    if (result == CLI_GOOD) {
        result = perform(stage);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    return stage->options.save != NULL ? save(stage) : send(stage);
}

int cli_demo(int argc, char **argv) {
    struct demo_stage stage = {.bpm = 0.0};
    const enum options_answer answer = demo_options_parse(&stage.options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const int result = run_steps(&stage);
    eh_take_deinit(&stage.take);
    eh_practice_deinit(&stage.practice);
    exercise_deinit(&stage.exercise);
    return result;
}
