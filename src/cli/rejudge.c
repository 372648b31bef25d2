#include "rejudge.h"

#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/pad_file.h"
#include "evenhand/settings.h"
#include "run_played.h"

/* Runs of the first version have no text of their pad; an empty one says the default pad. */
static enum eh_status read_texts(struct rejudged *out, struct eh_error *error) {
    const struct eh_run_info *info = &out->run.info;
    enum eh_status status =
        eh_exercise_parse(&out->exercise, info->exercise_text, strlen(info->exercise_text), error);
    if (status == EH_OK) {
        status = eh_style_parse(&out->style, info->style_text, strlen(info->style_text), error);
    }
    return status == EH_OK ? eh_pad_parse(&out->pad, info->pad_text, strlen(info->pad_text), error)
                           : status;
}

static enum eh_status judge(struct rejudged *out, struct eh_error *error) {
    const struct eh_run_info *info = &out->run.info;
    struct eh_take *take = &out->run.take;
    size_t silent_count = 0;
    enum eh_status status = run_silent(out->exercise, info, &out->silent, &silent_count, error);
    if (status != EH_OK) {
        return status;
    }
    const struct run_asked asked = {.plan = &info->plan,
                                    .no_click = info->no_click,
                                    .count_off = info->count_off,
                                    .complete = out->run.ended == EH_RUN_COMPLETE,
                                    .silent = out->silent,
                                    .silent_count = silent_count};
    eh_pad_keep_own(&out->pad, take);
    if (take->count == 0) {
        return eh_fail(error, EH_EMPTY, "there is no hit of the pad's in it");
    }
    struct eh_judge_request request;
    status = run_played(out->exercise, &out->pad, &asked, take, &request, error);
    return status == EH_OK ? eh_judge(&out->judgement, out->exercise, take, &out->pad, &out->style,
                                      &request, error)
                           : status;
}

enum eh_status rejudge_run(struct rejudged *out, struct eh_store *store, int64_t number,
                           struct eh_error *error) {
    *out = (struct rejudged){.run = {.number = 0}};
    enum eh_status status = eh_store_run_load(store, number, &out->run, error);
    if (status == EH_OK) {
        status = read_texts(out, error);
    }
    if (status == EH_OK) {
        status = judge(out, error);
    }
    if (status != EH_OK) {
        rejudged_deinit(out);
    }
    return status;
}

void rejudged_deinit(struct rejudged *rejudged) {
    free(rejudged->silent);
    eh_judgement_free(rejudged->judgement);
    eh_exercise_free(rejudged->exercise);
    eh_run_deinit(&rejudged->run);
    *rejudged = (struct rejudged){.run = {.number = 0}};
}
