/* evenhand pulse */
#include <string.h>

#include "command.h"
#include "pulse_options.h"
#include "sitting.h"
#include "style_find.h"

struct stage {
    struct pulse_options options;
    struct found_exercise exercise;
    struct eh_style style;
    struct sitting sitting;
    struct eh_text asked;
};

static int lay_out(struct stage *stage) {
    const struct play_options *options = &stage->options.play;
    const struct sitting_piece piece = {.exercise = &stage->exercise,
                                        .style = &stage->style,
                                        .request = {.plan = options->plan,
                                                    .count_in_bars = (int32_t)options->count_in,
                                                    .subdivision = (int32_t)options->subdivision,
                                                    .silent = stage->options.silent},
                                        .tempo = options->tempo};
    stage->sitting.options = *options;
    return sitting_lay(&stage->sitting, &piece);
}

static void note_asked(struct stage *stage) {
    const struct play_options *options = &stage->options.play;
    eh_text_printf(&stage->asked, "silent %s bars %d-%d passes %d", stage->options.pattern,
                   (int)options->plan.first_bar, (int)options->plan.last_bar,
                   (int)options->plan.passes);
    if (options->tempo == options->tempo) {
        eh_text_printf(&stage->asked, " tempo %g", options->tempo);
    }
    stage->sitting.kept = (struct eh_store_sitting){
        .kind = "pulse", .exercise = stage->exercise.name, .asked = eh_text_string(&stage->asked)};
}

/* Which bars are silent, before they come. */
static void say_silent(const struct sitting *sitting) {
    const size_t count = sitting->practice.plan.bar_count;
    bool as_written = true; /* places in the run are numbers of bars */
    size_t silent = 0;
    for (size_t i = 0; i < count; i++) {
        silent += sitting->practice.silent[i];
        as_written &= (size_t)sitting->practice.plan.bars[i].written == i + 1;
    }
    (void)fprintf(sitting->screen.out, "The click is silent in %zu of %zu bars", silent, count);
    if (as_written && sitting->silent.length <= 20) {
        (void)fprintf(sitting->screen.out, ": %s", eh_text_string(&sitting->silent));
    }
    (void)fputs(".\nKeep your beat; it comes back.\n", sitting->screen.out);
    (void)fflush(sitting->screen.out);
}

/* Plays it once; OUT_WISH: AGAIN where the player wants another beginning. Nothing is said of the
 * run that was broken off then. */
static int play_once(struct stage *stage, enum play_wish *out_wish) {
    struct sitting *sitting = &stage->sitting;
    struct play_ended ended = {0};
    *out_wish = PLAY_WISH_STOP;
    int result = lay_out(stage);
    if (result == CLI_GOOD) {
        result = sitting_meet(sitting);
    }
    if (result == CLI_GOOD) {
        stage->sitting.kept.player = stage->options.play.player;
        result = sitting_begin(sitting);
    }
    if (result == CLI_GOOD) {
        play_screen_begin(&sitting->screen, &sitting->run.terms, &sitting->source, &sitting->click);
        say_silent(sitting);
        result = sitting_play(sitting, &ended);
        *out_wish = ended.wish;
    }
    if (ended.judged && ended.wish != PLAY_WISH_AGAIN) {
        play_end_print(&sitting->run, &ended);
        play_end_say_kept(&sitting->run);
    }
    play_ended_deinit(&ended);
    sitting_clear(sitting);
    return result;
}

static int run_steps(struct stage *stage) {
    const struct play_options *options = &stage->options.play;
    enum play_wish wish = PLAY_WISH_AGAIN;
    int result = exercise_find(&stage->exercise, options->exercise, options->part);
    if (result == CLI_GOOD) {
        result = style_find(&stage->style, options->style, stage->exercise.exercise);
    }
    if (result == CLI_GOOD) {
        note_asked(stage);
    }
    while (result == CLI_GOOD && wish == PLAY_WISH_AGAIN) {
        result = play_once(stage, &wish);
    }
    return result;
}

int cli_pulse(int argc, char **argv) {
    static struct stage stage; /* too large for a stack */
    memset(&stage, 0, sizeof stage);
    const enum options_answer answer = pulse_options_parse(&stage.options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const int result = run_steps(&stage);
    sitting_close(&stage.sitting);
    eh_text_deinit(&stage.asked);
    exercise_deinit(&stage.exercise);
    return result;
}
