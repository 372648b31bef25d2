/* evenhand contrast */
#include <string.h>

#include "command.h"
#include "contrast_bars.h"
#include "contrast_options.h"
#include "evenhand/contrast.h"
#include "look.h"
#include "say.h"
#include "sitting.h"
#include "style_pair.h"

/* Before each pass: time to read what is asked for. */
static const double rest_s = 3.0;

/* The demo player is another one in each pass, and none of another seed's. */
enum { SEEDS_A_SITTING = 1000 };

struct stage {
    struct contrast_options options;
    struct found_exercise exercise;
    struct eh_style styles[2]; /* in the order asked for */
    struct sitting sitting;
    struct eh_text asked;
    struct eh_contrast contrast;
    struct eh_contrast_run runs[2 * CONTRAST_ROUNDS_MAX];
    size_t run_count;
    bool begun; /* the head was printed */
    int played; /* passes that were begun, for the seed */
};

static FILE *screen_of(const struct stage *stage) {
    return stage->options.play.json ? stderr : stdout;
}

/* What all runs of the sitting have in common, in one line. */
static void note_asked(struct stage *stage) {
    const struct play_options *play = &stage->options.play;
    eh_text_printf(&stage->asked, "styles %s,%s bars %d-%d rounds %d", stage->styles[0].name,
                   stage->styles[1].name, (int)play->plan.first_bar, (int)play->plan.last_bar,
                   (int)stage->options.rounds);
    if (play->tempo == play->tempo) {
        eh_text_printf(&stage->asked, " tempo %g", play->tempo);
    }
    stage->sitting.kept = (struct eh_store_sitting){
        .kind = "styles", .exercise = stage->exercise.name, .asked = eh_text_string(&stage->asked)};
}

static int lay_out(struct stage *stage, const struct eh_style *style) {
    const struct play_options *play = &stage->options.play;
    const struct sitting_piece piece = {.exercise = &stage->exercise,
                                        .style = style,
                                        .request = {.plan = play->plan,
                                                    .count_in_bars = (int32_t)play->count_in,
                                                    .subdivision = (int32_t)play->subdivision},
                                        .tempo = play->tempo,
                                        .stage = style->name};
    stage->sitting.options = *play;
    stage->sitting.options.seed = play->seed * SEEDS_A_SITTING + stage->played;
    return sitting_lay(&stage->sitting, &piece);
}

static void add_head(const struct stage *stage, struct eh_text *out) {
    const struct play_options *play = &stage->options.play;
    const int first = (int)play->plan.first_bar;
    const int last = (int)play->plan.last_bar;
    const char *title = eh_exercise_title(stage->exercise.exercise);
    eh_text_printf(out, "%s\n%s and %s in turn, %g to the quarter, ",
                   title[0] != '\0' ? title : stage->exercise.name, stage->styles[0].name,
                   stage->styles[1].name, stage->sitting.bpm);
    eh_text_printf(out, first == last ? "bar %d" : "bars %d to %d", first, last);
    eh_text_printf(out, ", %d round%s\n", (int)stage->options.rounds,
                   stage->options.rounds == 1 ? "" : "s");
    eh_text_printf(out, "Hits from %s. Judged by ",
                   play->demo != NULL ? "the demo player"
                                      : play_source_name(&stage->sitting.source));
    eh_report_pad(&stage->sitting.pad, 0, out);
    eh_text_add(out, ".\n");
}

/* Once, when it is known who plays. */
static void print_head(struct stage *stage) {
    struct eh_text text = {0};
    if (!stage->begun) {
        add_head(stage, &text);
        (void)fputs(eh_text_string(&text), screen_of(stage));
    }
    stage->begun = true;
    eh_text_deinit(&text);
}

static void print_ask(struct stage *stage, const struct eh_style *style, int number) {
    struct eh_text text = {0};
    struct eh_report_look look = cli_look();
    look.colour = look.colour && !stage->options.play.json;
    eh_report_contrast_ask(style, number, 2 * (int)stage->options.rounds, &look, &text);
    (void)fputs(eh_text_string(&text), screen_of(stage));
    (void)fflush(screen_of(stage));
    eh_text_deinit(&text);
}

/* A whole pass counts; one that was broken off does not. */
static void take_pass(struct stage *stage, const struct eh_style *style,
                      const struct play_ended *ended) {
    struct eh_text text = {0};
    const bool again = ended->wish == PLAY_WISH_AGAIN || ended->wish == PLAY_WISH_NEXT;
    if (!ended->judged || again || ended->end != EH_END_EXERCISE) {
        return;
    }
    const enum eh_contrast_level level = eh_contrast_level_of(&stage->contrast, style);
    const struct eh_contrast_pass pass = eh_contrast_read(ended->judgement);
    if (eh_contrast_add(&stage->contrast, level, &pass)) {
        stage->runs[stage->run_count++] =
            (struct eh_contrast_run){.number = stage->sitting.keep.run, .level = level};
    }
    eh_report_contrast_pass(ended->judgement, NULL, &text);
    (void)fputs(eh_text_string(&text), screen_of(stage));
    eh_text_deinit(&text);
}

/* Plays one pass. OUT_WISH is how to go on: after silence, without a pad, it is STOP. */
static int play_pass(struct stage *stage, const struct eh_style *style, enum play_wish *out_wish) {
    struct sitting *sitting = &stage->sitting;
    struct play_ended ended = {0};
    *out_wish = PLAY_WISH_STOP;
    int result = sitting_begin(sitting);
    if (result == CLI_GOOD) {
        sitting->screen.quiet = true;
        result = sitting_play(sitting, &ended);
        take_pass(stage, style, &ended);
        *out_wish = ended.wish;
        if (ended.end != EH_END_EXERCISE && ended.wish == PLAY_WISH_NONE) {
            *out_wish = PLAY_WISH_STOP;
        }
    }
    stage->played++;
    play_ended_deinit(&ended);
    return result;
}

/* One style's turn: a pass, again as often as the player wants it. */
static int take_turn(struct stage *stage, const struct eh_style *style, int number,
                     enum play_wish *out_wish) {
    int result = CLI_GOOD;
    do {
        result = lay_out(stage, style);
        if (result == CLI_GOOD) {
            result = sitting_meet(&stage->sitting);
        }
        if (result == CLI_GOOD) {
            print_head(stage);
            print_ask(stage, style, number);
            *out_wish = sitting_rest(&stage->sitting, rest_s);
        }
        if (result == CLI_GOOD && *out_wish == PLAY_WISH_NONE) {
            result = play_pass(stage, style, out_wish);
        }
        sitting_clear(&stage->sitting);
    } while (result == CLI_GOOD && *out_wish == PLAY_WISH_AGAIN);
    return result;
}

static int take_turns(struct stage *stage) {
    const int turns = 2 * (int)stage->options.rounds;
    enum play_wish wish = PLAY_WISH_NONE;
    int result = CLI_GOOD;
    for (int i = 0; i < turns && result == CLI_GOOD && wish != PLAY_WISH_STOP; i++) {
        result = take_turn(stage, &stage->styles[i % 2], i + 1, &wish);
    }
    return result;
}

static void say_kept(const struct stage *stage) {
    const int64_t first = stage->run_count > 0 ? stage->runs[0].number : 0;
    const int64_t last = stage->run_count > 0 ? stage->runs[stage->run_count - 1].number : 0;
    if (first > 0 && last > first) {
        (void)fprintf(screen_of(stage), "Kept as runs %lld to %lld: evenhand compare %s run:%lld\n",
                      (long long)first, (long long)last, stage->exercise.name, (long long)last);
    } else if (last > 0) {
        (void)fprintf(screen_of(stage), "Kept as run %lld: evenhand compare %s run:%lld\n",
                      (long long)last, stage->exercise.name, (long long)last);
    }
}

static int print_answer(const struct stage *stage) {
    const struct play_options *play = &stage->options.play;
    struct eh_contrast_answer answer;
    eh_contrast_answer(&stage->contrast, &answer);
    const struct eh_report_contrast report = {
        .contrast = &stage->contrast,
        .answer = &answer,
        .title = eh_exercise_title(stage->exercise.exercise),
        .first_bar = (int)play->plan.first_bar,
        .last_bar = (int)play->plan.last_bar,
        .bpm = stage->sitting.bpm,
        .runs = stage->runs,
        .run_count = stage->run_count,
    };
    struct eh_text text = {0};
    struct eh_report_look look = cli_look();
    const enum eh_status status = play->json ? eh_report_contrast_json(&report, &text)
                                             : eh_report_contrast(&report, &look, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    say_kept(stage);
    return status == EH_OK ? CLI_GOOD : cli_complain("contrast: %s", eh_status_text(status));
}

static int find(struct stage *stage) {
    struct contrast_options *options = &stage->options;
    int result = exercise_find(&stage->exercise, options->play.exercise, options->play.part);
    if (result == CLI_GOOD) {
        result = style_pair_find(stage->styles, options->styles);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    const struct eh_style *a = &stage->styles[0];
    const struct eh_style *b = &stage->styles[1];
    if (!eh_contrast_init(&stage->contrast, a, b)) {
        return cli_complain("--styles: the least accents of %s (%g dB) and %s (%g dB) are nearer "
                            "than %g dB, so there is no contrast to play; take two whose accents "
                            "differ",
                            a->name, a->accent_low_db, b->name, b->accent_low_db,
                            EH_CONTRAST_LIMEN_DB);
    }
    return contrast_bars_choose(options, &stage->exercise,
                                a->least_n > b->least_n ? a->least_n : b->least_n);
}

static int run_steps(struct stage *stage) {
    int result = find(stage);
    if (result != CLI_GOOD) {
        return result;
    }
    note_asked(stage);
    result = take_turns(stage);
    if (stage->run_count > 0) {
        const int printed = print_answer(stage);
        return printed;
    }
    return result;
}

int cli_contrast(int argc, char **argv) {
    static struct stage stage; /* too large for a stack */
    memset(&stage, 0, sizeof stage);
    const enum options_answer answer = contrast_options_parse(&stage.options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const int result = run_steps(&stage);
    sitting_close(&stage.sitting);
    eh_text_deinit(&stage.asked);
    exercise_deinit(&stage.exercise);
    return result;
}
