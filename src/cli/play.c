/* evenhand play */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "play_options.h"
#include "sitting.h"
#include "style_find.h"

enum { AGAIN_SECONDS = 8 };

/* Everything that one run needs. */
struct stage {
    struct found_exercise exercise;
    struct eh_style style;
    struct sitting sitting;
};

static int lay_out(struct stage *stage) {
    const struct play_options *options = &stage->sitting.options;
    const struct sitting_piece piece = {.exercise = &stage->exercise,
                                        .style = &stage->style,
                                        .request = {.plan = options->plan,
                                                    .count_in_bars = (int32_t)options->count_in,
                                                    .subdivision = (int32_t)options->subdivision,
                                                    .no_click = options->no_click,
                                                    .uncounted = options->count_off >= 0},
                                        .tempo = options->tempo};
    return sitting_lay(&stage->sitting, &piece);
}

/* Where a pad or rim of the player's means "again", he has a moment for it after the end; not where
 * one document was asked for. */
static enum play_wish ask_again(struct sitting *sitting, enum play_wish wish) {
    const uint8_t again = sitting->pad.controls[EH_CONTROL_AGAIN];
    if (wish != PLAY_WISH_NONE || again == 0 || sitting->options.json ||
        sitting->options.demo != NULL) {
        return wish;
    }
    (void)fprintf(sitting->screen.out, "Hit \"again\" (note %d) within %d s to play it again.\n",
                  again - 1, AGAIN_SECONDS);
    (void)fflush(sitting->screen.out);
    return sitting_rest(sitting, AGAIN_SECONDS);
}

/* One run. What is to be played again was not played to its end: nothing is said of it. */
static int perform(struct sitting *sitting, enum play_wish *out_wish) {
    int result = sitting_begin(sitting);
    if (result != CLI_GOOD) {
        return result;
    }
    struct play_ended ended = {0};
    play_screen_begin(&sitting->screen, &sitting->run.terms, &sitting->source, &sitting->click);
    result = sitting_play(sitting, &ended);
    if (ended.judged && ended.wish != PLAY_WISH_AGAIN) {
        play_end_print(&sitting->run, &ended);
    }
    play_end_say_kept(&sitting->run);
    *out_wish = result == CLI_GOOD ? ask_again(sitting, ended.wish) : PLAY_WISH_NONE;
    play_ended_deinit(&ended);
    return result;
}

/* Run after run, as long as the player asks for it. */
static int perform_all(struct stage *stage) {
    enum play_wish wish = PLAY_WISH_NONE;
    int result = perform(&stage->sitting, &wish);
    while (result == CLI_GOOD && wish == PLAY_WISH_AGAIN) {
        sitting_clear(&stage->sitting);
        result = lay_out(stage);
        if (result == CLI_GOOD) {
            result = perform(&stage->sitting, &wish);
        }
    }
    return result;
}

static int run_steps(struct stage *stage) {
    const struct play_options *options = &stage->sitting.options;
    int result = exercise_find(&stage->exercise, options->exercise, options->part);
    if (result == CLI_GOOD) {
        result = style_find(&stage->style, options->style, stage->exercise.exercise);
    }
    if (result == CLI_GOOD) {
        result = lay_out(stage);
    }
    if (result == CLI_GOOD) {
        result = sitting_meet(&stage->sitting);
    }
    return result == CLI_GOOD ? perform_all(stage) : result;
}

int cli_play(int argc, char **argv) {
    static struct stage stage; /* too large for a stack */
    memset(&stage, 0, sizeof stage);
    const enum options_answer answer = play_options_parse(&stage.sitting.options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const int result = run_steps(&stage);
    sitting_close(&stage.sitting);
    exercise_deinit(&stage.exercise);
    return result;
}
