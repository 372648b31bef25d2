#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "audition.h"
#include "evenhand/report_offer.h"
#include "history_file.h"
#include "local_time.h"
#include "look.h"
#include "rejudge.h"
#include "say.h"
#include "style_find.h"

enum { PARTS_MOST = 8 };

struct choosing {
    const struct audition_options *options;
    struct found_exercise exercise;
    struct eh_style style;
    struct eh_run_list list;
    struct eh_offer_run *runs; /* owned; whole ones */
    size_t run_count;
    struct eh_offer_part parts[PARTS_MOST];
    size_t part_count;
    uint32_t left_out;
};

/* The player's: at a pad, or the demo player's where it is asked for. */
static bool is_players(const struct choosing *c, const struct eh_run_row *row) {
    const enum eh_run_source wanted =
        c->options->play.demo != NULL ? EH_SOURCE_DEMO : EH_SOURCE_LIVE;
    return row->source == wanted && row->hits > 0 && row->silent_bars[0] == '\0' &&
           strcmp(row->stage, eh_ladder_stage_text(EH_STAGE_HAND_MOTION)) != 0;
}

static bool is_whole(const struct choosing *c, const struct eh_plan_request *plan) {
    const int32_t bars = eh_exercise_bar_count(c->exercise.exercise);
    return plan->first_bar <= 1 && (plan->last_bar == 0 || plan->last_bar >= bars);
}

static void add_part(struct choosing *c, const struct eh_run_row *row) {
    const int32_t bars = eh_exercise_bar_count(c->exercise.exercise);
    const int32_t first = row->plan.first_bar > 0 ? row->plan.first_bar : 1;
    const int32_t last = row->plan.last_bar > 0 ? row->plan.last_bar : bars;
    size_t i = 0;
    while (i < c->part_count && (c->parts[i].first_bar != first || c->parts[i].last_bar != last)) {
        i++;
    }
    if (i == PARTS_MOST) {
        return;
    }
    if (i == c->part_count) {
        c->parts[c->part_count++] = (struct eh_offer_part){first, last, 0, 0.0};
    }
    c->parts[i].runs++;
    c->parts[i].fastest_bpm = fmax(c->parts[i].fastest_bpm, row->tempo_bpm);
}

/* Of a run without a click the row knows the count-in's tempo only: the judgement knows. */
static enum eh_status weigh(const struct eh_run_row *row, const struct rejudged *judged,
                            struct eh_offer_run *out) {
    struct eh_places places = {0};
    *out = (struct eh_offer_run){.number = row->number,
                                 .day = local_day(row->started_utc_s, row->utc_offset_s),
                                 .bpm = row->no_click ? judged->judgement->bpm : row->tempo_bpm};
    enum eh_status status = eh_places_find(&places, judged->judgement);
    if (status == EH_OK) {
        status = eh_offer_answer(out, judged->judgement, &places);
    }
    eh_places_deinit(&places);
    return status;
}

/* A run that cannot be judged, lost hits or was broken off, or whose piece was written differently
 * or played in another style, says nothing. */
static void take_whole(struct choosing *c, struct eh_store *store, const struct eh_run_row *row) {
    struct rejudged judged;
    struct eh_error error;
    eh_error_clear(&error);
    if (row->ended != EH_RUN_COMPLETE || row->dropped > 0 ||
        rejudge_run(&judged, store, row->number, &error) != EH_OK) {
        c->left_out++;
        return;
    }
    const bool suits = eh_exercise_equal(judged.exercise, c->exercise.exercise) &&
                       strcmp(judged.style.name, c->style.name) == 0;
    if (suits && weigh(row, &judged, &c->runs[c->run_count]) == EH_OK) {
        c->run_count++;
    } else {
        c->left_out++;
    }
    rejudged_deinit(&judged);
}

/* Whole runs are weighed, parts are counted. */
static int sort_out(struct choosing *c, struct eh_store *store) {
    c->runs = calloc(c->list.count + 1, sizeof *c->runs);
    if (c->runs == NULL) {
        return cli_complain("audition: not enough memory");
    }
    for (size_t i = 0; i < c->list.count; i++) {
        const struct eh_run_row *row = &c->list.rows[i];
        if (is_players(c, row) && is_whole(c, &row->plan)) {
            take_whole(c, store, row);
        } else if (is_players(c, row)) {
            add_part(c, row);
        }
    }
    return CLI_GOOD;
}

static int read_runs(struct choosing *c) {
    const struct play_options *play = &c->options->play;
    const struct eh_run_filter filter = {.exercise = c->exercise.name,
                                         .player = play->player != NULL ? play->player : ""};
    struct eh_store *store = NULL;
    struct eh_error error;
    eh_error_clear(&error);
    int result = history_open_if_any(&store, play->db);
    if (result != CLI_GOOD || store == NULL) {
        return result;
    }
    if (eh_store_runs(store, &filter, &c->list, &error) != EH_OK) {
        result = cli_complain_error("audition", &error);
    } else {
        result = sort_out(c, store);
    }
    eh_store_close(store);
    return result;
}

static void add_more(const struct choosing *c, struct eh_text *text) {
    const struct play_options *play = &c->options->play;
    if (play->player != NULL) {
        eh_text_printf(text, "--player %s", play->player);
    }
    if (play->style != NULL) {
        eh_text_printf(text, "%s--style %s", text->length > 0 ? " " : "", play->style);
    }
}

/* Nothing to choose from: what there is, and what to do instead. */
static int complain_none(const struct choosing *c) {
    const struct play_options *play = &c->options->play;
    struct eh_text text = {0};
    eh_text_printf(&text, "--choose: there is no whole run of %s", c->exercise.name);
    if (play->player != NULL) {
        eh_text_printf(&text, " by %s", play->player);
    }
    eh_text_printf(&text, " in %s style in the history", c->style.name);
    if (c->left_out > 0) {
        eh_text_printf(&text, " (%u broken off, with hits lost, of another style or version)",
                       (unsigned)c->left_out);
    }
    if (c->part_count > 0) {
        eh_text_printf(&text, "; only parts were played, such as bars %d to %d up to %g",
                       (int)c->parts[0].first_bar, (int)c->parts[0].last_bar,
                       round(10.0 * c->parts[0].fastest_bpm) / 10.0);
    }
    eh_text_printf(&text,
                   ". Play it through first, twice at least: evenhand play %s --tempo %d, or "
                   "evenhand audition %s",
                   c->exercise.name, (int)lround(eh_exercise_tempo_start(c->exercise.exercise)),
                   c->exercise.name);
    (void)cli_complain("%s", eh_text_string(&text));
    eh_text_deinit(&text);
    return CLI_FAILED;
}

static int print_offer(struct choosing *c) {
    const struct play_options *play = &c->options->play;
    struct eh_offer offer;
    struct eh_text more = {0};
    struct eh_text text = {0};
    const struct eh_report_look look = cli_look();
    add_more(c, &more);
    enum eh_status status = eh_offer_make(&offer, c->runs, c->run_count);
    if (status == EH_OK) {
        const struct eh_report_offer report = {.offer = &offer,
                                               .runs = c->runs,
                                               .title = eh_exercise_title(c->exercise.exercise),
                                               .style = c->style.name,
                                               .player = play->player != NULL ? play->player : "",
                                               .name = play->exercise,
                                               .more = eh_text_string(&more),
                                               .parts = c->parts,
                                               .part_count = c->part_count,
                                               .left_out = c->left_out};
        status = eh_report_offer(&report, &look, &text);
    }
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_offer_deinit(&offer);
    eh_text_deinit(&more);
    eh_text_deinit(&text);
    return status == EH_OK ? CLI_GOOD : cli_complain("audition: %s", eh_status_text(status));
}

int audition_choose(const struct audition_options *options) {
    struct choosing c = {.options = options};
    int result = exercise_find(&c.exercise, options->play.exercise, options->play.part);
    if (result == CLI_GOOD) {
        result = style_find(&c.style, options->play.style, c.exercise.exercise);
    }
    if (result == CLI_GOOD) {
        result = read_runs(&c);
    }
    if (result == CLI_GOOD) {
        result = c.run_count > 0 ? print_offer(&c) : complain_none(&c);
    }
    eh_run_list_deinit(&c.list);
    free(c.runs);
    exercise_deinit(&c.exercise);
    return result;
}
