#include "run_columns.h"

/* The order of RUN_COLUMNS in sql.c. */
enum {
    C_NUMBER,
    C_STARTED,
    C_OFFSET,
    C_SOURCE,
    C_ENDED,
    C_PLAYER,
    C_PORT,
    C_DEMO_FAULT,
    C_DEMO_SEED,
    C_EXERCISE,
    C_STYLE,
    C_FIRST_BAR,
    C_LAST_BAR,
    C_PASSES,
    C_GAP,
    C_TEMPO,
    C_DROPPED,
    C_NO_CLICK,
    C_COUNT_OFF,
    C_SITTING,
    C_STAGE,
    C_SILENT_BARS,
    C_VERSION,
    C_HEADLINE,
    C_FAULTS,
    C_UNCLEAR,
    C_JSON
};

enum eh_status eh_run_damaged(struct eh_store *store, int64_t run, const char *what) {
    return eh_fail(eh_db_error(store->db), EH_DAMAGED,
                   "the history is damaged (run %lld: %s); put back a copy, or delete the run",
                   (long long)run, what);
}

int64_t eh_run_column_within(struct eh_query *query, int column, int64_t least, int64_t most,
                             bool *bad) {
    const int64_t value = eh_column_int(query, column);
    if (value < least || value > most) {
        *bad = true;
        return least;
    }
    return value;
}

enum eh_status eh_run_column_text(struct eh_store *store, struct eh_query *query, int column,
                                  struct eh_pool **pool, const char **out_text) {
    *out_text = eh_pool_text(pool, eh_column_text(query, column));
    if (*out_text == NULL) {
        *out_text = "";
        return eh_fail(eh_db_error(store->db), EH_NO_MEMORY, "out of memory");
    }
    return EH_OK;
}

static enum eh_status read_texts(struct eh_store *store, struct eh_query *query,
                                 struct eh_pool **pool, struct eh_run_row *row) {
    const struct {
        int column;
        const char **text;
    } texts[] = {
        {C_PLAYER, &row->player},         {C_PORT, &row->port},
        {C_DEMO_FAULT, &row->demo_fault}, {C_DEMO_SEED, &row->demo_seed},
        {C_EXERCISE, &row->exercise},     {C_STYLE, &row->style},
        {C_STAGE, &row->stage},           {C_SILENT_BARS, &row->silent_bars},
        {C_JSON, &row->verdict.json},     {C_HEADLINE, &row->verdict.headline},
    };
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0] && status == EH_OK; i++) {
        status = eh_run_column_text(store, query, texts[i].column, pool, texts[i].text);
    }
    return status;
}

static void read_plan(struct eh_query *query, struct eh_plan_request *plan, bool *bad) {
    plan->first_bar = (int32_t)eh_run_column_within(query, C_FIRST_BAR, 0, INT32_MAX, bad);
    plan->last_bar = (int32_t)eh_run_column_within(query, C_LAST_BAR, 0, INT32_MAX, bad);
    plan->passes = (int32_t)eh_run_column_within(query, C_PASSES, 0, INT32_MAX, bad);
    plan->gap = eh_run_column_within(query, C_GAP, 0, INT64_MAX, bad);
}

static void read_verdict(struct eh_query *query, struct eh_run_row *row, bool *bad) {
    row->judged = !eh_column_is_null(query, C_VERSION);
    row->verdict.version =
        (int32_t)eh_run_column_within(query, C_VERSION, INT32_MIN, INT32_MAX, bad);
    row->verdict.faults = (uint32_t)eh_run_column_within(query, C_FAULTS, 0, UINT32_MAX, bad);
    row->verdict.unclear = (uint32_t)eh_run_column_within(query, C_UNCLEAR, 0, UINT32_MAX, bad);
}

enum eh_status eh_run_columns_read(struct eh_store *store, struct eh_query *query,
                                   struct eh_pool **pool, struct eh_run_row *out_row) {
    bool bad = false;
    *out_row = (struct eh_run_row){0};
    out_row->number = eh_column_int(query, C_NUMBER);
    out_row->started_utc_s = eh_column_int(query, C_STARTED);
    out_row->utc_offset_s = (int32_t)eh_run_column_within(query, C_OFFSET, -86400, 86400, &bad);
    out_row->dropped = (uint32_t)eh_run_column_within(query, C_DROPPED, 0, UINT32_MAX, &bad);
    out_row->tempo_bpm = eh_column_real(query, C_TEMPO);
    out_row->no_click = eh_run_column_within(query, C_NO_CLICK, 0, 1, &bad) == 1;
    out_row->count_off = (int32_t)eh_run_column_within(query, C_COUNT_OFF, 0, UINT8_MAX, &bad);
    out_row->sitting = eh_run_column_within(query, C_SITTING, 0, INT64_MAX, &bad);
    bad =
        bad || !(out_row->tempo_bpm >= EH_STORE_BPM_MIN && out_row->tempo_bpm <= EH_STORE_BPM_MAX);
    read_plan(query, &out_row->plan, &bad);
    read_verdict(query, out_row, &bad);
    bad = !eh_run_source_read(eh_column_text(query, C_SOURCE), &out_row->source) || bad;
    bad = !eh_run_ended_read(eh_column_text(query, C_ENDED), &out_row->ended) || bad;
    const enum eh_status status = read_texts(store, query, pool, out_row);
    if (status == EH_OK && bad) {
        return eh_run_damaged(store, out_row->number, "a value that makes no sense");
    }
    return status;
}
