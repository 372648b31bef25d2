#include "judging.h"

#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "run_played.h"
#include "say.h"

/* What a table of options cannot check. */
static enum options_answer check(struct judge_ask *ask, const struct command_usage *usage) {
    if (ask->start != NULL && !start_option_read(ask->start, &ask->at)) {
        (void)options_complain(usage, "--start: \"%s\" is not BAR[:BEAT], both from 1", ask->start);
        return OPTIONS_WRONG;
    }
    if (ask->start != NULL && ask->no_click) {
        (void)options_complain(usage, "--start: without a click the start is found by itself");
        return OPTIONS_WRONG;
    }
    if (!play_count_off_fits(usage, ask->count_off)) {
        return OPTIONS_WRONG;
    }
    const bool stored = strncmp(ask->take, "run:", 4) == 0; /* it knows whether there was one */
    if (ask->count_off >= 0 && !ask->no_click && !stored) {
        (void)options_complain(usage, "--count-off: goes with --no-click");
        return OPTIONS_WRONG;
    }
    if (ask->pad.file != NULL && ask->pad.port != NULL) {
        (void)options_complain(usage, "--pad and --port: one pad at a time");
        return OPTIONS_WRONG;
    }
    if (ask->pad.player != NULL && ask->pad.port == NULL) {
        (void)options_complain(usage, "--player: say with --port TEXT on which port");
        return OPTIONS_WRONG;
    }
    return pad_player_fits(usage, ask->pad.player) ? OPTIONS_RUN : OPTIONS_WRONG;
}

enum options_answer judge_ask_parse(struct judge_ask *ask, const struct command_usage *usage,
                                    int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(usage, argc, argv, &words);
    ask->exercise = words.words[0];
    ask->take = words.words[1];
    ask->pad.db = words.db;
    ask->pad.must = ask->pad.port != NULL;
    return answer == OPTIONS_RUN ? check(ask, usage) : answer;
}

/* A run that is asked for together with its own exercise is judged by the text as it was played,
 * so that the answer stays the same when the file has been changed since. */
static bool is_own_exercise(const struct judging *judging) {
    return judging->found.stored &&
           strcmp(judging->ask->exercise, judging->found.run.info.exercise) == 0 &&
           judging->found.run.info.exercise_text[0] != '\0';
}

static int find_exercise(struct judging *judging) {
    const struct eh_run_info *info = &judging->found.run.info;
    if (is_own_exercise(judging)) {
        return exercise_from_text(&judging->exercise, info->exercise, judging->ask->take,
                                  info->exercise_text, strlen(info->exercise_text));
    }
    return exercise_find(&judging->exercise, judging->ask->exercise, judging->ask->part);
}

/* The exercise of the run, whatever name it was asked for by. */
static bool is_same_music(const struct judging *judging) {
    struct eh_text text = {0};
    const bool same = judging->found.stored &&
                      eh_exercise_print(judging->exercise.exercise, &text) == EH_OK &&
                      strcmp(eh_text_string(&text), judging->found.run.info.exercise_text) == 0;
    eh_text_deinit(&text);
    return same;
}

int judging_find(struct judging *out, const struct judge_ask *ask) {
    *out = (struct judging){.ask = ask};
    const int result = take_find(&out->found, ask->take, &ask->pad);
    return result == CLI_GOOD ? find_exercise(out) : result;
}

/* What of a run of this exercise was played. */
static enum eh_status find_played(struct judging *judging, struct eh_error *error) {
    const struct eh_run_info *info = &judging->found.run.info;
    const struct run_asked asked = {.plan = &info->plan,
                                    .no_click = info->no_click,
                                    .count_off = judging->request.count_off,
                                    .complete = judging->found.run.ended == EH_RUN_COMPLETE};
    const bool no_click = judging->request.no_click; /* as the user wants it judged */
    const enum eh_status status =
        run_played(judging->exercise.exercise, &judging->found.pad, &asked, &judging->found.take,
                   &judging->request, error);
    judging->request.no_click = no_click;
    return status;
}

/* Where to look: where the user says; else, in a run of this exercise, where it was begun, for the
 * bars and passes that were played; else wherever it fits best. */
int judging_place(struct judging *judging) {
    const struct judge_ask *ask = judging->ask;
    struct eh_judge_request *request = &judging->request;
    const struct found_take *found = &judging->found;
    struct eh_error error;
    eh_error_clear(&error);
    request->find_start = true;
    request->no_click = ask->no_click || found->run.info.no_click;
    request->count_off = ask->count_off >= 0 ? (int32_t)ask->count_off : found->run.info.count_off;
    if (is_same_music(judging)) {
        if (find_played(judging, &error) != EH_OK) {
            return cli_complain_error(ask->take, &error);
        }
        if (ask->start == NULL) {
            if (run_silent(judging->exercise.exercise, &found->run.info, &judging->silent,
                           &request->silent_count, &error) != EH_OK) {
                return cli_complain_error(ask->take, &error);
            }
            judging->silent_bars = found->run.info.silent_bars;
            request->silent = judging->silent;
        }
    }
    if (ask->count_off >= 0 && !request->no_click) {
        (void)cli_complain("--count-off: %s was played to a click; --no-click judges it without",
                           ask->take);
        return CLI_USAGE;
    }
    if (ask->start != NULL && request->no_click) {
        (void)cli_complain("--start: %s was played without a click, and its start is found by "
                           "itself",
                           ask->take);
        return CLI_USAGE;
    }
    if (ask->start != NULL) {
        request->find_start = false;
        if (!start_option_place(&ask->at, &found->take, &request->start)) {
            (void)cli_complain("judge: --start: bar %d of the take has no such beat as %s",
                               ask->at.bar, ask->start);
            return CLI_USAGE;
        }
    }
    return CLI_GOOD;
}

int judging_judge(const struct judging *judging, const struct eh_style *style,
                  struct eh_judgement **out_judgement) {
    const struct judge_ask *ask = judging->ask;
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_judge(out_judgement, judging->exercise.exercise, &judging->found.take,
                 &judging->found.pad, style, &judging->request, &error) != EH_OK) {
        return cli_complain_error(ask->take, &error);
    }
    if ((*out_judgement)->matched == 0) {
        eh_judgement_free(*out_judgement);
        *out_judgement = NULL;
        return cli_complain("%s: the exercise is not in this take from %s on: not one of its "
                            "strokes finds a hit there",
                            ask->take, ask->start == NULL ? "its start" : ask->start);
    }
    return CLI_GOOD;
}

void judging_deinit(struct judging *judging) {
    free(judging->silent);
    exercise_deinit(&judging->exercise);
    take_deinit(&judging->found);
}
