#include "today_history.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "evenhand/ladder.h"
#include "history_file.h"
#include "local_time.h"
#include "say.h"
#include "style_find.h"

static const char *const warm_up_names[EH_WARM_UP_COUNT] = {
    [EH_WARM_UP_HANDS] = "warm-up-eight-a-hand",
    [EH_WARM_UP_ROLL] = "warm-up-singles-to-roll",
    [EH_WARM_UP_BUZZ] = "warm-up-singles-to-buzz",
};

void today_history_deinit(struct today_history *history) {
    for (size_t i = 0; history->judged != NULL && i < history->run_count; i++) {
        rejudged_deinit(&history->judged[i]);
    }
    for (size_t i = 0; history->pieces != NULL && i < history->piece_count; i++) {
        exercise_deinit(&history->pieces[i].exercise);
    }
    free(history->judged);
    free(history->runs);
    free(history->pieces);
    free(history->agenda_pieces);
    free(history->said);
    *history = (struct today_history){0};
}

static bool has_name(const struct today_piece *piece, const char *exercise) {
    return strcmp(piece->exercise.name, exercise) == 0;
}

static size_t add_piece(struct today_history *history, const struct found_exercise *exercise,
                        const struct eh_style *style) {
    const size_t number = history->piece_count++;
    history->pieces[number] = (struct today_piece){.exercise = *exercise, .style = *style};
    history->agenda_pieces[number] =
        (struct eh_agenda_piece){.exercise = exercise->exercise, .least_n = style->least_n};
    history->said[number] =
        (struct eh_today_piece){.exercise = history->pieces[number].exercise.name,
                                .style = history->pieces[number].style.name,
                                .bars = eh_exercise_bar_count(exercise->exercise),
                                .least_n = style->least_n};
    return number;
}

/* The piece of a run; -1 where it was written differently then, or cannot be read. */
static int64_t piece_of(struct today_history *history, const struct rejudged *judged) {
    const struct eh_run_info *info = &judged->run.info;
    for (size_t i = 0; i < history->piece_count; i++) {
        if (has_name(&history->pieces[i], info->exercise) &&
            strcmp(history->pieces[i].style.name, info->style) == 0) {
            return eh_exercise_equal(history->pieces[i].exercise.exercise, judged->exercise)
                       ? (int64_t)i
                       : -1;
        }
    }
    struct found_exercise exercise;
    return exercise_from_text(&exercise, info->exercise, info->exercise, info->exercise_text,
                              strlen(info->exercise_text)) == CLI_GOOD
               ? (int64_t)add_piece(history, &exercise, &judged->style)
               : -1;
}

static bool is_wanted(const struct eh_run_row *row, const struct play_options *options,
                      const char *style) {
    const enum eh_run_source wanted = options->demo != NULL ? EH_SOURCE_DEMO : EH_SOURCE_LIVE;
    return row->source == wanted && row->dropped == 0 && row->hits > 0 &&
           row->ended != EH_RUN_UNFINISHED && row->silent_bars[0] == '\0' &&
           strcmp(row->stage, eh_ladder_stage_text(EH_STAGE_HAND_MOTION)) != 0 &&
           (style == NULL || strcmp(row->style, style) == 0);
}

/* The written bars that were judged: of a run that was broken off not all that were asked for. */
static void note_bars(const struct eh_plan *plan, struct eh_agenda_run *out) {
    out->first_bar = plan->bars[0].written;
    out->last_bar = plan->bars[0].written;
    for (size_t i = 1; i < plan->bar_count; i++) {
        const int32_t bar = plan->bars[i].written;
        out->first_bar = bar < out->first_bar ? bar : out->first_bar;
        out->last_bar = bar > out->last_bar ? bar : out->last_bar;
    }
}

/* A run that cannot be judged, or is of an exercise that was changed since, tells nothing. */
static void take_run(struct today_history *history, struct eh_store *store,
                     const struct eh_run_row *row) {
    struct rejudged *judged = &history->judged[history->run_count];
    struct eh_error error;
    eh_error_clear(&error);
    if (rejudge_run(judged, store, row->number, &error) != EH_OK) {
        return;
    }
    const int64_t piece = piece_of(history, judged);
    if (piece < 0) {
        rejudged_deinit(judged);
        return;
    }
    const struct eh_judgement *judgement = judged->judgement;
    struct eh_agenda_run *run = &history->runs[history->run_count++];
    *run = (struct eh_agenda_run){.piece = (size_t)piece,
                                  .day = local_day(row->started_utc_s, row->utc_offset_s),
                                  .bpm = row->no_click ? round(judgement->bpm) : row->tempo_bpm,
                                  .no_click = row->no_click,
                                  .complete = row->ended == EH_RUN_COMPLETE,
                                  .level_scale_sd = judged->pad.levels.scale_sd,
                                  .findings = judgement->findings,
                                  .finding_count = judgement->finding_count};
    note_bars(&judgement->plan, run);
}

/* Further passes of the same on one day add little, and would push out the days before. */
static bool has_enough(const struct today_history *history, const struct eh_run_row *row) {
    const int64_t day = local_day(row->started_utc_s, row->utc_offset_s);
    int passes = 0;
    for (size_t i = 0; i < history->run_count; i++) {
        const struct eh_run_info *info = &history->judged[i].run.info;
        passes += history->runs[i].day == day && info->tempo_bpm == row->tempo_bpm &&
                  info->plan.first_bar == row->plan.first_bar &&
                  info->plan.last_bar == row->plan.last_bar &&
                  strcmp(info->exercise, row->exercise) == 0 &&
                  strcmp(info->style, row->style) == 0;
    }
    return passes >= TODAY_PASSES_MOST;
}

static int make_room(struct today_history *history) {
    const size_t most = TODAY_RUNS_MOST + EH_WARM_UP_COUNT;
    history->judged = calloc(most, sizeof *history->judged);
    history->runs = calloc(most, sizeof *history->runs);
    history->pieces = calloc(most, sizeof *history->pieces);
    history->agenda_pieces = calloc(most, sizeof *history->agenda_pieces);
    history->said = calloc(most, sizeof *history->said);
    return history->judged != NULL && history->runs != NULL && history->pieces != NULL &&
                   history->agenda_pieces != NULL && history->said != NULL
               ? CLI_GOOD
               : cli_complain("today: not enough memory");
}

static int read_runs(struct today_history *history, struct eh_store *store,
                     const struct play_options *options, const char *style) {
    const struct eh_run_filter filter = {.player = options->player != NULL ? options->player : ""};
    struct eh_run_list list = {0};
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_store_runs(store, &filter, &list, &error) != EH_OK) {
        return cli_complain_error("today", &error);
    }
    for (size_t i = 0; i < list.count && history->run_count < TODAY_RUNS_MOST; i++) {
        const struct eh_run_row *row = &list.rows[i];
        const int64_t day = local_day(row->started_utc_s, row->utc_offset_s);
        if (!is_wanted(row, options, style)) {
            continue;
        }
        history->last_day = history->any && history->last_day > day ? history->last_day : day;
        history->any = true;
        if (day <= history->today && history->today - day <= TODAY_DAYS_MOST &&
            !has_enough(history, row)) {
            take_run(history, store, row);
        }
    }
    eh_run_list_deinit(&list);
    return CLI_GOOD;
}

/* The shipped warm-ups; where they are missing there are none. */
static int find_warm_ups(struct today_history *history, const char *style) {
    struct names names;
    exercise_names(&names);
    int result = CLI_GOOD;
    for (int i = 0; i < EH_WARM_UP_COUNT && result == CLI_GOOD; i++) {
        const struct named_file *file = names_find(&names, warm_up_names[i]);
        history->warm_ups[i] = EH_AGENDA_NONE;
        for (size_t p = 0; p < history->piece_count && history->warm_ups[i] < 0; p++) {
            if (has_name(&history->pieces[p], warm_up_names[i])) {
                history->warm_ups[i] = (int32_t)p;
            }
        }
        if (file == NULL || history->warm_ups[i] >= 0) {
            continue;
        }
        struct found_exercise exercise;
        struct eh_style own;
        result = exercise_read(&exercise, file->path, NULL);
        if (result == CLI_GOOD) {
            result = style_find(&own, style, exercise.exercise);
            history->warm_ups[i] = (int32_t)add_piece(history, &exercise, &own);
        }
    }
    names_deinit(&names);
    return result;
}

int today_history_read(struct today_history *out, const struct play_options *options) {
    *out = (struct today_history){0};
    const int64_t now = (int64_t)time(NULL);
    struct eh_style style;
    struct eh_store *store = NULL;
    out->today = local_day(now, local_offset_s(now));
    int result = make_room(out);
    if (result == CLI_GOOD && options->style != NULL) {
        result = style_find(&style, options->style, NULL);
    }
    const char *wanted = options->style != NULL ? style.name : NULL;
    if (result == CLI_GOOD) {
        result = history_open_if_any(&store, options->db);
    }
    if (result == CLI_GOOD && store != NULL) {
        result = read_runs(out, store, options, wanted);
    }
    eh_store_close(store);
    return result == CLI_GOOD ? find_warm_ups(out, options->style) : result;
}

int today_history_complain(const struct today_history *history,
                           const struct play_options *options) {
    static const char instead[] = "play something first: \"evenhand list\" shows the exercises, "
                                  "one to begin with: evenhand play single-strokes";
    const bool demo = options->demo != NULL;
    if (history->any && history->today - history->last_day > TODAY_DAYS_MOST) {
        return cli_complain("today: the latest run is %lld days old, too old to plan from; %s",
                            (long long)(history->today - history->last_day), instead);
    }
    if (history->any) {
        return cli_complain("today: no run of the history could be judged again; %s", instead);
    }
    return cli_complain("today: the history holds no run%s%s%s to plan from%s; %s%s",
                        demo ? " of the demo player's" : "", options->player != NULL ? " by " : "",
                        options->player != NULL ? options->player : "",
                        demo ? "" : " (the demo player's count with --demo only)", instead,
                        demo ? " --demo" : "");
}
