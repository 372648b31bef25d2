#include "climb_past.h"

#include <string.h>
#include <time.h>
#include <unistd.h>

#include "history_file.h"
#include "rejudge.h"
#include "say.h"

enum { SITTINGS_MOST = 50 };

static enum eh_ladder_stage stage_of(const char *word) {
    return strcmp(word, eh_ladder_stage_text(EH_STAGE_HAND_MOTION)) == 0 ? EH_STAGE_HAND_MOTION
                                                                         : EH_STAGE_PLAYED;
}

/* From the first click, or what stands for it, to the last hit. */
static double seconds_of(const struct eh_run *run) {
    const struct eh_take *take = &run->take;
    const int64_t first = run->click_count > 0 ? run->clicks[0].at_ns
                          : take->count > 0    ? take->hits[0].at_ns
                                               : 0;
    const int64_t last = take->count > 0 ? take->hits[take->count - 1].at_ns : first;
    return last > first ? (double)(last - first) / (double)EH_NS_PER_S : 0.0;
}

/* A pass at a tempo that the ladder does not have (it was changed by hand) is not told. */
static void tell(struct climb_past *past, struct eh_ladder *ladder, const struct rejudged *r,
                 bool broken_off) {
    const struct eh_ladder_pass pass = {
        .bpm = r->run.info.tempo_bpm,
        .stage = (uint8_t)stage_of(r->run.info.stage),
        .sitting = past->sitting,
        .seconds = seconds_of(&r->run),
        .broken_off = broken_off,
        .level_scale_sd = r->pad.levels.scale_sd,
        .findings = r->judgement->findings,
        .finding_count = r->judgement->finding_count,
    };
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_ladder_pass(ladder, &pass, &error) == EH_OK) {
        past->passes++;
    }
}

static bool is_same_music(const struct climb_past *past, const struct eh_run_info *info) {
    const char *text = past->texts[stage_of(info->stage)];
    return text != NULL && strcmp(text, info->exercise_text) == 0;
}

static void tell_run(struct climb_past *past, struct eh_ladder *ladder, struct eh_store *store,
                     const struct eh_run_row *row) {
    struct rejudged r;
    struct eh_error error;
    eh_error_clear(&error);
    const enum eh_status status = rejudge_run(&r, store, row->number, &error);
    if (status == EH_OK && is_same_music(past, &r.run.info)) {
        tell(past, ladder, &r, row->ended != EH_RUN_COMPLETE || row->dropped > 0);
    } else if (status != EH_OK && row->ended == EH_RUN_COMPLETE) {
        (void)cli_complain("run:%lld is passed over: %s", (long long)row->number, error.text);
    }
    rejudged_deinit(&r);
}

static int tell_sitting(struct climb_past *past, struct eh_ladder *ladder, struct eh_store *store,
                        const struct eh_store_sitting *sitting) {
    const struct eh_run_filter filter = {.sitting = sitting->number};
    const uint32_t before = past->passes;
    struct eh_run_list list = {0};
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_store_runs(store, &filter, &list, &error) != EH_OK) {
        return cli_complain_error("history", &error);
    }
    for (size_t i = list.count; i > 0; i--) {
        tell_run(past, ladder, store, &list.rows[i - 1]);
    }
    eh_run_list_deinit(&list);
    past->sittings += past->passes > before;
    return CLI_GOOD;
}

/* The player's own date, days since 1970. */
static int64_t day_of(int64_t utc_s, int32_t offset_s) {
    const int64_t local = utc_s + offset_s;
    return local / 86400 - (local % 86400 < 0);
}

/* The latest sitting goes on as the same one where it is of today and was not at its end: it was
 * cut short. Today is counted where the sitting was. */
static void note_open(struct climb_past *past, const struct eh_ladder *ladder,
                      const struct eh_store_sitting *latest, bool told) {
    const int64_t now = (int64_t)time(NULL);
    if (told && ladder->step.next != EH_LADDER_DONE &&
        day_of(latest->begun_utc_s, latest->utc_offset_s) == day_of(now, latest->utc_offset_s)) {
        past->open_sitting = latest->number;
        past->open_begun_utc_s = latest->begun_utc_s;
    } else if (past->passes > 0) {
        past->sitting++;
    }
}

static int tell_all(struct climb_past *past, struct eh_ladder *ladder, struct eh_store *store) {
    const struct eh_sitting_filter filter = {.kind = "climb",
                                             .player = past->player == NULL ? "" : past->player,
                                             .exercise = past->exercise,
                                             .asked = past->asked,
                                             .limit = SITTINGS_MOST};
    struct eh_sitting_list list = {0};
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_store_sittings(store, &filter, &list, &error) != EH_OK) {
        return cli_complain_error("history", &error);
    }
    int result = CLI_GOOD;
    bool told = false;
    for (size_t i = list.count; i > 0 && result == CLI_GOOD; i--) {
        const uint32_t before = past->passes;
        past->sitting++;
        result = tell_sitting(past, ladder, store, &list.rows[i - 1]);
        told = past->passes > before;
        past->sitting -= told ? 0 : 1; /* an empty sitting is none */
    }
    if (result == CLI_GOOD && list.count > 0) {
        note_open(past, ladder, &list.rows[0], told);
    }
    eh_sitting_list_deinit(&list);
    return result;
}

int climb_past_tell(struct climb_past *past, struct eh_ladder *ladder) {
    struct eh_store *store = NULL;
    past->sitting = 0;
    int result = CLI_GOOD;
    if (past->db == NULL || access(past->db, F_OK) == 0) { /* else this climb makes it */
        result = history_open_if_any(&store, past->db);
    }
    if (result == CLI_GOOD && store != NULL) {
        result = tell_all(past, ladder, store);
        eh_store_close(store);
    }
    past->sitting = past->sitting < 1 ? 1 : past->sitting;
    return result;
}
