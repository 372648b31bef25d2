/* evenhand play */
#include <string.h>

#include "command.h"
#include "pad_find.h"
#include "play_end.h"
#include "play_lay.h"
#include "play_options.h"
#include "play_run.h"
#include "say.h"
#include "style_find.h"

/* Everything that one run needs. */
struct stage {
    struct play_options options;
    struct found_exercise exercise;
    struct eh_style style;
    struct eh_pad pad;
    struct eh_practice practice;
    struct play_source source;
    struct play_click click;
    struct play_keep keep;
    struct play_screen screen;
    struct play_run run;
    double bpm;
};

static int lay_out(struct stage *stage) {
    const struct play_options *options = &stage->options;
    const struct eh_practice_request request = {.plan = options->plan,
                                                .count_in_bars = (int32_t)options->count_in,
                                                .subdivision = (int32_t)options->subdivision,
                                                .no_click = options->no_click,
                                                .uncounted = options->count_off >= 0};
    return play_lay(&stage->practice, &stage->exercise, request, options->tempo, &stage->bpm);
}

/* The demo player has no port, so no pad is kept for it. */
static int find_pad(struct stage *stage) {
    const struct play_options *options = &stage->options;
    const struct pad_wish wish = {.file = options->pad,
                                  .port = options->demo == NULL ? play_source_name(&stage->source)
                                                                : NULL,
                                  .player = options->player,
                                  .db = options->db};
    return pad_find(&stage->pad, &wish);
}

/* It plays the notes of the pad that it plays through, or else of the one it is judged by. */
static int open_demo(struct stage *stage) {
    const struct play_options *options = &stage->options;
    const struct pad_wish through = {.file = options->through};
    struct eh_demo_request request = {.seed = (uint64_t)options->seed,
                                      .fault_count = options->fault_count,
                                      .style = &stage->style,
                                      .no_click = options->no_click,
                                      .count_off = play_count_off(options)};
    memcpy(request.faults, options->faults, sizeof request.faults);
    struct eh_pad pad;
    if (options->through != NULL) {
        if (pad_find(&pad, &through) != CLI_GOOD) {
            return CLI_FAILED;
        }
        request.through = &pad;
    }
    eh_demo_take_notes(&request, request.through != NULL ? &pad : &stage->pad);
    return play_source_open_demo(&stage->source, &stage->practice.plan, &request);
}

static int meet_player(struct stage *stage) {
    const bool demo = stage->options.demo != NULL;
    const int result =
        demo ? find_pad(stage) : play_source_open_pad(&stage->source, stage->options.port);
    if (result != CLI_GOOD) {
        return result;
    }
    return demo ? open_demo(stage) : find_pad(stage);
}

static int perform(struct stage *stage) {
    stage->run = (struct play_run){.terms = {.options = &stage->options,
                                             .exercise = &stage->exercise,
                                             .style = &stage->style,
                                             .pad = &stage->pad,
                                             .practice = &stage->practice,
                                             .bpm = stage->bpm},
                                   .practice = &stage->practice,
                                   .source = &stage->source,
                                   .click = &stage->click,
                                   .keep = &stage->keep,
                                   .screen = &stage->screen,
                                   .clock = {.is_virtual = stage->options.fast}};
    int result = play_run_prepare(&stage->run);
    if (result == CLI_GOOD) {
        play_click_open(&stage->click, &stage->practice, &stage->options);
        result = play_keep_begin(&stage->keep, &stage->run.terms, &stage->source);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    stage->screen = play_screen_make(stage->options.json);
    stage->screen.look.played_utc_s = stage->keep.started_utc_s;
    play_screen_begin(&stage->screen, &stage->run.terms, &stage->source, &stage->click);
    play_signals_catch();
    play_run_play(&stage->run);
    return play_end(&stage->run);
}

static int run_steps(struct stage *stage) {
    int result = exercise_find(&stage->exercise, stage->options.exercise, stage->options.part);
    if (result == CLI_GOOD) {
        result = style_find(&stage->style, stage->options.style, stage->exercise.exercise);
    }
    if (result == CLI_GOOD) {
        result = lay_out(stage);
    }
    if (result == CLI_GOOD) {
        result = meet_player(stage);
    }
    return result == CLI_GOOD ? perform(stage) : result;
}

int cli_play(int argc, char **argv) {
    static struct stage stage; /* too large for a stack */
    memset(&stage, 0, sizeof stage);
    const enum options_answer answer = play_options_parse(&stage.options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const int result = run_steps(&stage);
    play_run_deinit(&stage.run);
    play_keep_close(&stage.keep);
    play_click_close(&stage.click);
    play_source_close(&stage.source);
    eh_practice_deinit(&stage.practice);
    exercise_deinit(&stage.exercise);
    return result;
}
