#include "store_parts.h"

static enum eh_status refuse(struct eh_store *store, const char *what) {
    return eh_fail(eh_db_error(store->db), EH_OUT_OF_RANGE, "the run cannot be stored: %s", what);
}

static enum eh_status check_numbers(struct eh_store *store, const struct eh_run_info *info) {
    if (!(info->tempo_bpm >= EH_STORE_BPM_MIN && info->tempo_bpm <= EH_STORE_BPM_MAX)) {
        return refuse(store, "its tempo is below 1 or above 60 million quarter notes a minute");
    }
    if (info->plan.first_bar < 0 || info->plan.last_bar < 0 || info->plan.passes < 0 ||
        info->plan.gap < 0) {
        return refuse(store, "its bars, passes or gap are negative");
    }
    if (info->count_off < 0 || info->count_off > UINT8_MAX) {
        return refuse(store, "its count-off has no taps or too many");
    }
    if (info->resolution_ns < 0 || info->utc_offset_s < -86400 || info->utc_offset_s > 86400) {
        return refuse(store, "its clock's resolution or time zone makes no sense");
    }
    if (info->zero_ns < -EH_CLICK_NS_MAX || info->zero_ns > EH_CLICK_NS_MAX) {
        return refuse(store, "its clock starts more than 70 years away");
    }
    if (eh_run_source_text(info->source)[0] == '\0') {
        return refuse(store, "its source is unknown");
    }
    return EH_OK;
}

static enum eh_status check_metres(struct eh_store *store, const struct eh_run_info *info) {
    for (size_t i = 0; i < info->metre_count; i++) {
        const struct eh_metre_change *m = &info->metres[i];
        if (m->beats == 0 || m->unit == 0 || (i > 0 && m->at <= m[-1].at)) {
            return refuse(store, "its metres make no sense");
        }
    }
    return EH_OK;
}

/* A text that many runs share is kept once. */
static enum eh_status add_sheet(struct eh_store *store, const char *text, int64_t *out_id) {
    struct eh_query *query = eh_db_query(store->db, Q_SHEET_ADD);
    eh_query_text(query, 1, text);
    enum eh_status status = eh_query_run(query, NULL);
    if (status != EH_OK) {
        return status;
    }
    query = eh_db_query(store->db, Q_SHEET_FIND);
    eh_query_text(query, 1, text);
    bool row = false;
    status = eh_query_step(query, &row);
    *out_id = status == EH_OK && row ? eh_column_int(query, 0) : 0;
    eh_query_rest(query);
    return status;
}

struct sheets {
    int64_t exercise, style, pad;
};

static enum eh_status add_sheets(struct eh_store *store, const struct eh_run_info *info,
                                 struct sheets *out_sheets) {
    enum eh_status status = add_sheet(store, info->exercise_text, &out_sheets->exercise);
    if (status == EH_OK) {
        status = add_sheet(store, info->style_text, &out_sheets->style);
    }
    if (status == EH_OK) {
        status = add_sheet(store, info->pad_text, &out_sheets->pad);
    }
    return status;
}

static enum eh_status add_row(struct eh_store *store, const struct eh_run_info *info,
                              const struct sheets *sheets, int64_t *out_run) {
    struct eh_query *query = eh_db_query(store->db, Q_RUN_ADD);
    eh_query_int(query, 1, info->started_utc_s);
    eh_query_int(query, 2, info->utc_offset_s);
    eh_query_text(query, 3, eh_run_source_text(info->source));
    eh_query_text(query, 4, info->player);
    eh_query_text(query, 5, info->port);
    eh_query_text(query, 6, info->demo_fault);
    eh_query_text(query, 7, info->demo_seed);
    eh_query_text(query, 8, info->exercise);
    eh_query_int(query, 9, sheets->exercise);
    eh_query_text(query, 10, info->style);
    eh_query_int(query, 11, sheets->style);
    eh_query_int(query, 12, sheets->pad);
    eh_query_int(query, 13, info->plan.first_bar);
    eh_query_int(query, 14, info->plan.last_bar);
    eh_query_int(query, 15, info->plan.passes);
    eh_query_int(query, 16, info->plan.gap);
    eh_query_real(query, 17, info->tempo_bpm);
    eh_query_int(query, 18, info->zero_ns);
    eh_query_int(query, 19, info->resolution_ns);
    eh_query_int(query, 20, info->no_click);
    eh_query_int(query, 21, info->count_off);
    eh_query_null(query, 22);
    if (info->sitting != 0) {
        eh_query_int(query, 22, info->sitting);
    }
    eh_query_text(query, 23, info->stage);
    eh_query_text(query, 24, info->silent_bars);
    const enum eh_status status = eh_query_run(query, NULL);
    *out_run = eh_db_last_row(store->db);
    return status;
}

static enum eh_status add_metres(struct eh_store *store, int64_t run,
                                 const struct eh_run_info *info) {
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < info->metre_count && status == EH_OK; i++) {
        struct eh_query *query = eh_db_query(store->db, Q_METRE_ADD);
        eh_query_int(query, 1, run);
        eh_query_int(query, 2, (int64_t)i);
        eh_query_int(query, 3, info->metres[i].at);
        eh_query_int(query, 4, info->metres[i].beats);
        eh_query_int(query, 5, info->metres[i].unit);
        status = eh_query_run(query, NULL);
    }
    return status;
}

static enum eh_status add_run(struct eh_store *store, const struct eh_run_info *info,
                              int64_t *out_run) {
    struct sheets sheets;
    enum eh_status status =
        info->sitting == 0 ? EH_OK : eh_store_require_sitting(store, info->sitting);
    if (status == EH_OK) {
        status = add_sheets(store, info, &sheets);
    }
    if (status == EH_OK) {
        status = add_row(store, info, &sheets, out_run);
    }
    return status == EH_OK ? add_metres(store, *out_run, info) : status;
}

enum eh_status eh_store_run_begin(struct eh_store *store, const struct eh_run_info *info,
                                  int64_t *out_run) {
    int64_t run = 0;
    *out_run = 0;
    enum eh_status status = check_numbers(store, info);
    if (status == EH_OK) {
        status = check_metres(store, info);
    }
    if (status == EH_OK) {
        status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    }
    if (status != EH_OK) {
        return status;
    }
    status = eh_db_finish(store->db, add_run(store, info, &run));
    if (status == EH_OK) {
        *out_run = run;
        store->run = run;
        store->hits = 0;
        store->clicks = 0;
    }
    return status;
}

enum eh_status eh_store_run_end(struct eh_store *store, int64_t run, enum eh_run_ended ended,
                                uint32_t dropped) {
    enum eh_status status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    if (status != EH_OK) {
        return status;
    }
    status = eh_store_require_run(store, run);
    if (status == EH_OK) {
        struct eh_query *query = eh_db_query(store->db, Q_RUN_END);
        eh_query_int(query, 1, run);
        eh_query_text(query, 2, eh_run_ended_text(ended));
        eh_query_int(query, 3, dropped);
        status = eh_query_run(query, NULL);
    }
    status = eh_db_finish(store->db, status);
    return status == EH_OK ? eh_db_checkpoint(store->db) : status;
}

static enum eh_status set_verdict(struct eh_store *store, int64_t run,
                                  const struct eh_run_verdict *verdict) {
    const enum eh_status status = eh_store_require_run(store, run);
    if (status != EH_OK) {
        return status;
    }
    struct eh_query *query = eh_db_query(store->db, Q_VERDICT_SET);
    eh_query_int(query, 1, run);
    eh_query_int(query, 2, verdict->version);
    eh_query_text(query, 3, verdict->json);
    eh_query_text(query, 4, verdict->headline);
    eh_query_int(query, 5, verdict->faults);
    eh_query_int(query, 6, verdict->unclear);
    return eh_query_run(query, NULL);
}

enum eh_status eh_store_run_set_judgement(struct eh_store *store, int64_t run,
                                          const struct eh_run_verdict *verdict) {
    const enum eh_status status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    return status == EH_OK ? eh_db_finish(store->db, set_verdict(store, run, verdict)) : status;
}

static enum eh_status delete_run(struct eh_store *store, int64_t run) {
    enum eh_status status = eh_store_require_run(store, run);
    if (status == EH_OK) {
        struct eh_query *query = eh_db_query(store->db, Q_RUN_DELETE);
        eh_query_int(query, 1, run);
        status = eh_query_run(query, NULL);
    }
    return status == EH_OK ? eh_query_run(eh_db_query(store->db, Q_SHEET_SWEEP), NULL) : status;
}

enum eh_status eh_store_run_delete(struct eh_store *store, int64_t run, struct eh_error *error) {
    enum eh_status status = eh_store_begin_write(store, EH_DB_PATIENT_MS);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, delete_run(store, run));
    }
    if (status == EH_OK && run == store->run) {
        store->run = 0;
    }
    return eh_store_tell(store, status, error);
}
