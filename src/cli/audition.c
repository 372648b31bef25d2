/* evenhand audition */
#include "audition.h"

#include <string.h>

#include "command.h"
#include "local_time.h"
#include "say.h"
#include "sitting.h"
#include "style_find.h"

struct stage {
    struct audition_options options;
    struct found_exercise exercise;
    struct eh_style style;
    struct sitting sitting;
    struct eh_text asked;
    int played; /* for the demo player's seed */
};

/* A run that is asked for again is another one. */
enum { SEEDS_A_SITTING = 1000 };

static int lay_out(struct stage *stage) {
    const struct play_options *play = &stage->options.play;
    const struct sitting_piece piece = {.exercise = &stage->exercise,
                                        .style = &stage->style,
                                        .request = {.plan = {.passes = 1},
                                                    .count_in_bars = (int32_t)play->count_in,
                                                    .subdivision = (int32_t)play->subdivision,
                                                    .no_click = true,
                                                    .uncounted = play->count_off >= 0},
                                        .tempo = play->tempo};
    stage->sitting.options = *play;
    stage->sitting.options.seed = play->seed + (int64_t)SEEDS_A_SITTING * stage->played;
    return sitting_lay(&stage->sitting, &piece);
}

static void note_asked(struct stage *stage) {
    const struct play_options *play = &stage->options.play;
    eh_text_printf(&stage->asked, "style %s count-off %d", stage->style.name, (int)play->count_off);
    if (play->tempo == play->tempo) {
        eh_text_printf(&stage->asked, " tempo %g", play->tempo);
    }
    stage->sitting.kept = (struct eh_store_sitting){.kind = "audition",
                                                    .exercise = stage->exercise.name,
                                                    .asked = eh_text_string(&stage->asked)};
}

/* What is asked for, before the count-in. */
static void print_ask(const struct stage *stage) {
    const struct sitting *sitting = &stage->sitting;
    const struct play_options *play = &stage->options.play;
    FILE *out = sitting->screen.out;
    struct eh_text text = {0};
    eh_report_pad(&sitting->pad, sitting->screen.look.played_utc_s, &text);
    (void)fprintf(out, "Audition: %s\n%s style, the whole piece, once, without a click.\n",
                  eh_exercise_title(stage->exercise.exercise), stage->style.name);
    (void)fprintf(out, "Hits from %s. Judged by %s.\n", play_source_name(&sitting->source),
                  eh_text_string(&text));
    if (play->count_off > 0) {
        (void)fprintf(out, "Tap %d even beats on the pad and begin on the next one.\n",
                      (int)play->count_off);
    } else if (play->count_off == 0) {
        (void)fputs("Begin when you like: your first stroke opens the run.\n", out);
    } else {
        (void)fprintf(out, "Counted in at %g to the quarter; go on by yourself.\n", sitting->bpm);
    }
    (void)fflush(out);
    eh_text_deinit(&text);
}

static int print_result(const struct stage *stage, const struct play_ended *ended) {
    const struct play_keep *keep = &stage->sitting.keep;
    const struct audition_sheet sheet = {.judgement = ended->judgement,
                                         .name = stage->options.play.exercise,
                                         .run = keep->run,
                                         .played_utc_s = keep->started_utc_s,
                                         .utc_offset_s = local_offset_s(keep->started_utc_s)};
    if (stage->options.play.json) {
        play_end_print(&stage->sitting.run, ended);
        return CLI_GOOD;
    }
    (void)fputc('\n', stdout);
    return audition_sheet_print(&sheet);
}

static void say_kept(const struct stage *stage) {
    const struct play_keep *keep = &stage->sitting.keep;
    if (keep->run > 0) {
        (void)fprintf(stage->sitting.screen.out,
                      "\nKept as run %lld: evenhand audition %s --of run:%lld\n",
                      (long long)keep->run, stage->exercise.name, (long long)keep->run);
    }
}

/* Plays it once. OUT_WISH: AGAIN where the player wants another beginning; nothing is said of the
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
        result = sitting_begin(sitting);
    }
    if (result == CLI_GOOD) {
        sitting->screen.quiet = true;
        print_ask(stage);
        result = sitting_play(sitting, &ended);
        *out_wish = ended.wish;
        stage->played++;
        if (ended.judged && ended.wish != PLAY_WISH_AGAIN) {
            result = print_result(stage, &ended);
        }
        say_kept(stage);
    }
    play_ended_deinit(&ended);
    sitting_clear(sitting);
    return result;
}

static int run_steps(struct stage *stage) {
    const struct play_options *play = &stage->options.play;
    enum play_wish wish = PLAY_WISH_NONE;
    int result = exercise_find(&stage->exercise, play->exercise, play->part);
    if (result == CLI_GOOD) {
        result = style_find(&stage->style, play->style, stage->exercise.exercise);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    note_asked(stage);
    do {
        result = play_once(stage, &wish);
    } while (wish == PLAY_WISH_AGAIN);
    return result;
}

int cli_audition(int argc, char **argv) {
    static struct stage stage; /* too large for a stack */
    memset(&stage, 0, sizeof stage);
    const enum options_answer answer = audition_options_parse(&stage.options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    if (stage.options.choose) {
        return audition_choose(&stage.options);
    }
    if (stage.options.of != NULL) {
        return audition_of(&stage.options);
    }
    const int result = run_steps(&stage);
    sitting_close(&stage.sitting);
    eh_text_deinit(&stage.asked);
    exercise_deinit(&stage.exercise);
    return result;
}
