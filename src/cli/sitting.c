#include "sitting.h"

#include <string.h>

#include "care_kept.h"
#include "pad_find.h"
#include "play_lay.h"
#include "say.h"

/* How often a rest looks up. */
static const int64_t rest_step_ns = 20 * EH_NS_PER_MS;

enum { REST_BATCH = 64 };

int sitting_lay(struct sitting *sitting, const struct sitting_piece *piece) {
    sitting->piece = *piece;
    const int result =
        play_lay(&sitting->practice, piece->exercise, piece->request, piece->tempo, &sitting->bpm);
    eh_text_deinit(&sitting->silent);
    if (result == CLI_GOOD) {
        eh_silent_print(sitting->practice.silent, sitting->practice.plan.bar_count,
                        &sitting->silent);
    }
    return eh_text_status(&sitting->silent) == EH_OK ? result : cli_complain("no memory for a run");
}

/* The demo player has no port, so no pad is kept for it. */
static int find_pad(struct sitting *sitting) {
    const struct play_options *options = &sitting->options;
    const struct pad_wish wish = {.file = options->pad,
                                  .port = options->demo == NULL ? play_source_name(&sitting->source)
                                                                : NULL,
                                  .player = options->player,
                                  .db = options->db};
    return pad_find(&sitting->pad, &wish);
}

int sitting_meet(struct sitting *sitting) {
    int result = CLI_GOOD;
    if (sitting->met) {
        return result;
    }
    if (sitting->options.demo == NULL) {
        result = play_source_open_pad(&sitting->source, sitting->options.port, true);
    }
    if (result == CLI_GOOD) {
        result = find_pad(sitting);
    }
    sitting->kept.player = sitting->options.player;
    sitting->met = result == CLI_GOOD;
    return result;
}

/* It plays the notes of the pad that it plays through, or else of the one it is judged by. */
static int open_demo(struct sitting *sitting) {
    const struct play_options *options = &sitting->options;
    const struct pad_wish through = {.file = options->through};
    struct eh_demo_request request = {.seed = (uint64_t)options->seed,
                                      .fault_count = options->fault_count,
                                      .style = sitting->piece.style,
                                      .silent = sitting->practice.silent,
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
    eh_demo_take_notes(&request, request.through != NULL ? &pad : &sitting->pad);
    return play_source_open_demo(&sitting->source, &sitting->practice.plan, &request);
}

int sitting_begin(struct sitting *sitting) {
    if (sitting->options.demo != NULL && open_demo(sitting) != CLI_GOOD) {
        return CLI_FAILED;
    }
    sitting->run =
        (struct play_run){.terms = {.options = &sitting->options,
                                    .exercise = sitting->piece.exercise,
                                    .style = sitting->piece.style,
                                    .pad = &sitting->pad,
                                    .practice = &sitting->practice,
                                    .bpm = sitting->bpm,
                                    .sitting = sitting->kept.kind != NULL ? &sitting->kept : NULL,
                                    .stage = sitting->piece.stage,
                                    .silent_bars = eh_text_string(&sitting->silent)},
                          .practice = &sitting->practice,
                          .source = &sitting->source,
                          .click = &sitting->click,
                          .keep = &sitting->keep,
                          .screen = &sitting->screen,
                          .clock = {.is_virtual = sitting->options.fast}};
    int result = play_run_prepare(&sitting->run);
    if (result == CLI_GOOD) {
        play_click_open(&sitting->click, &sitting->practice, &sitting->options);
        result = play_keep_begin(&sitting->keep, &sitting->run.terms, &sitting->source);
    }
    if (result == CLI_GOOD) {
        sitting->screen = play_screen_make(sitting->options.json);
        sitting->screen.look.played_utc_s = sitting->keep.started_utc_s;
        care_begin(&sitting->care, &sitting->keep, &sitting->options, &sitting->screen);
    }
    return result;
}

int sitting_play(struct sitting *sitting, struct play_ended *out) {
    play_signals_catch();
    play_run_play(&sitting->run);
    const int result = play_end(&sitting->run, out);
    care_end(&sitting->care, &sitting->keep, &sitting->options);
    return result;
}

/* What the player hits in a rest; the demo player has nothing to hit. */
static enum play_wish look_at_pad(struct sitting *sitting, struct eh_control_watch *watch) {
    struct eh_hit batch[REST_BATCH];
    enum play_wish wish = PLAY_WISH_NONE;
    size_t n = sitting->source.midi != NULL ? REST_BATCH : 0;
    while (n == REST_BATCH) {
        n = play_source_poll(&sitting->source, 0, 0, batch, REST_BATCH);
        for (size_t i = 0; i < n; i++) {
            const enum eh_control control = eh_control_feed(watch, &sitting->pad, &batch[i], true);
            wish = control != EH_CONTROL_NONE ? play_wish_of(control) : wish;
        }
    }
    return wish;
}

enum play_wish sitting_rest(struct sitting *sitting, double seconds) {
    struct play_clock clock = {.is_virtual = false};
    struct eh_control_watch watch = {.any_stroke = false};
    enum play_wish wish = PLAY_WISH_NONE;
    const int64_t begun_ns = play_clock_now(&clock);
    const int64_t until_ns =
        begun_ns + (sitting->options.fast ? 0 : (int64_t)(seconds * (double)EH_NS_PER_S));
    play_signals_catch();
    for (int64_t now_ns = begun_ns;
         now_ns < until_ns && !play_signals_caught() && wish == PLAY_WISH_NONE;
         now_ns = play_clock_now(&clock)) {
        play_clock_wait(&clock,
                        until_ns - now_ns < rest_step_ns ? until_ns : now_ns + rest_step_ns);
        wish = look_at_pad(sitting, &watch);
    }
    return play_signals_caught() ? PLAY_WISH_STOP : wish;
}

void sitting_clear(struct sitting *sitting) {
    play_run_deinit(&sitting->run);
    play_keep_close(&sitting->keep);
    play_click_close(&sitting->click);
    eh_practice_deinit(&sitting->practice);
    eh_text_deinit(&sitting->silent);
    if (sitting->options.demo != NULL) {
        play_source_close(&sitting->source);
    }
}

void sitting_close(struct sitting *sitting) {
    sitting_clear(sitting);
    play_source_close(&sitting->source);
}
