#include <stdio.h>

#include "run_columns.h"

/* The columns of Q_RUN_GET after the common ones. */
enum {
    C_EXERCISE_TEXT = EH_RUN_COLUMNS,
    C_STYLE_TEXT,
    C_PAD_TEXT,
    C_ZERO,
    C_RESOLUTION,
    C_METRE_COUNT,
    C_CLICK_COUNT
};

/* A run while it is being loaded. */
struct loading {
    struct eh_store *store;
    struct eh_run *run;
    struct eh_pool *pool;
    struct eh_metre_change *metres;
    struct eh_run_click *clicks;
};

static enum eh_status no_memory(struct eh_store *store) {
    return eh_fail(eh_db_error(store->db), EH_NO_MEMORY, "out of memory");
}

static void take_common(struct eh_run *run, const struct eh_run_row *row) {
    run->number = row->number;
    run->ended = row->ended;
    run->judged = row->judged;
    run->verdict = row->verdict;
    run->take.dropped = row->dropped;
    run->info.started_utc_s = row->started_utc_s;
    run->info.utc_offset_s = row->utc_offset_s;
    run->info.source = row->source;
    run->info.player = row->player;
    run->info.port = row->port;
    run->info.demo_fault = row->demo_fault;
    run->info.demo_seed = row->demo_seed;
    run->info.exercise = row->exercise;
    run->info.style = row->style;
    run->info.plan = row->plan;
    run->info.no_click = row->no_click;
    run->info.count_off = row->count_off;
    run->info.sitting = row->sitting;
    run->info.stage = row->stage;
    run->info.silent_bars = row->silent_bars;
    run->info.tempo_bpm = row->tempo_bpm;
}

static enum eh_status read_sheets(struct loading *l, struct eh_query *query) {
    struct eh_run_info *info = &l->run->info;
    enum eh_status status =
        eh_run_column_text(l->store, query, C_EXERCISE_TEXT, &l->pool, &info->exercise_text);
    if (status == EH_OK) {
        status = eh_run_column_text(l->store, query, C_STYLE_TEXT, &l->pool, &info->style_text);
    }
    if (status == EH_OK) {
        status = eh_run_column_text(l->store, query, C_PAD_TEXT, &l->pool, &info->pad_text);
    }
    return status;
}

/* Room for the metres and clicks, as many as there are. */
static enum eh_status make_room(struct loading *l, struct eh_query *query) {
    l->run->info.metre_count = (size_t)eh_column_int(query, C_METRE_COUNT);
    l->run->click_count = (size_t)eh_column_int(query, C_CLICK_COUNT);
    l->metres = eh_pool_take(&l->pool, l->run->info.metre_count * sizeof *l->metres);
    l->clicks = eh_pool_take(&l->pool, l->run->click_count * sizeof *l->clicks);
    l->run->info.metres = l->metres;
    l->run->clicks = l->clicks;
    return l->metres == NULL || l->clicks == NULL ? no_memory(l->store) : EH_OK;
}

static enum eh_status read_row(struct loading *l, struct eh_query *query) {
    struct eh_run_row row;
    bool bad = false;
    enum eh_status status = eh_run_columns_read(l->store, query, &l->pool, &row);
    if (status == EH_OK) {
        take_common(l->run, &row);
        l->run->info.zero_ns =
            eh_run_column_within(query, C_ZERO, -EH_CLICK_NS_MAX, EH_CLICK_NS_MAX, &bad);
        l->run->info.resolution_ns = eh_run_column_within(query, C_RESOLUTION, 0, INT64_MAX, &bad);
        l->run->take.resolution_ns = l->run->info.resolution_ns;
        status = read_sheets(l, query);
    }
    if (status == EH_OK) {
        status = make_room(l, query);
    }
    return status == EH_OK && bad ? eh_run_damaged(l->store, row.number, "its clock") : status;
}

static enum eh_status load_row(struct loading *l, int64_t run) {
    enum eh_status status = eh_store_require_run(l->store, run);
    if (status != EH_OK) {
        return status;
    }
    struct eh_query *query = eh_db_query(l->store->db, Q_RUN_GET);
    eh_query_int(query, 1, run);
    bool row = false;
    status = eh_query_step(query, &row);
    if (status == EH_OK) {
        /* The run is there, so what is missing is one of its texts. */
        status = row ? read_row(l, query) : eh_run_damaged(l->store, run, "a text is missing");
    }
    eh_query_rest(query);
    return status;
}

static enum eh_status load_metre(struct loading *l, struct eh_query *query, size_t i) {
    if (l->metres == NULL || i >= l->run->info.metre_count) {
        return eh_run_damaged(l->store, l->run->number, "its metres");
    }
    bool bad = eh_column_int(query, 0) != (int64_t)i;
    const struct eh_metre_change metre = {
        .at = eh_column_int(query, 1),
        .beats = (uint8_t)eh_run_column_within(query, 2, 1, UINT8_MAX, &bad),
        .unit = (uint8_t)eh_run_column_within(query, 3, 1, UINT8_MAX, &bad)};
    if (bad || (i > 0 && metre.at <= l->metres[i - 1].at)) {
        return eh_run_damaged(l->store, l->run->number, "its metres");
    }
    l->metres[i] = metre;
    return eh_take_add_metre(&l->run->take, metre) == EH_OK ? EH_OK : no_memory(l->store);
}

static enum eh_status load_click(struct loading *l, struct eh_query *query, size_t i) {
    if (l->clicks == NULL || i >= l->run->click_count) {
        return eh_run_damaged(l->store, l->run->number, "its clicks");
    }
    bool bad = eh_column_int(query, 0) != (int64_t)i;
    const struct eh_run_click click = {
        .at = eh_run_column_within(query, 1, -EH_CLICK_TICKS_MAX, EH_CLICK_TICKS_MAX, &bad),
        .at_ns = eh_run_column_within(query, 2, -EH_CLICK_NS_MAX, EH_CLICK_NS_MAX, &bad)};
    if (bad) {
        return eh_run_damaged(l->store, l->run->number, "its clicks");
    }
    l->clicks[i] = click;
    return EH_OK;
}

static enum eh_status load_hit(struct loading *l, struct eh_query *query, size_t i) {
    bool bad = eh_column_int(query, 0) != (int64_t)i;
    const struct eh_hit hit = {.at_ns = eh_column_int(query, 1),
                               .velocity =
                                   (uint16_t)eh_run_column_within(query, 2, 0, UINT16_MAX, &bad),
                               .note = (uint8_t)eh_run_column_within(query, 3, 0, 127, &bad),
                               .channel = (uint8_t)eh_run_column_within(query, 4, 0, 15, &bad)};
    if (bad) {
        return eh_run_damaged(l->store, l->run->number, "its hits");
    }
    return eh_take_add(&l->run->take, &hit) == EH_OK ? EH_OK : no_memory(l->store);
}

/* Gives each row of a statement that is bound to a run to LOAD. */
static enum eh_status load_each(struct loading *l, enum eh_store_query which,
                                enum eh_status (*load)(struct loading *, struct eh_query *,
                                                       size_t)) {
    struct eh_query *query = eh_db_query(l->store->db, which);
    eh_query_int(query, 1, l->run->number);
    bool row = false;
    enum eh_status status = eh_query_step(query, &row);
    for (size_t i = 0; status == EH_OK && row; i++) {
        status = load(l, query, i);
        if (status == EH_OK) {
            status = eh_query_step(query, &row);
        }
    }
    eh_query_rest(query);
    return status;
}

/* What the take has beyond its rows. */
static enum eh_status complete_take(struct loading *l) {
    struct eh_run *run = l->run;
    (void)snprintf(run->take.source, sizeof run->take.source, "run:%lld", (long long)run->number);
    if (run->info.metre_count == 0) {
        const struct eh_metre_change common = {.at = 0, .beats = 4, .unit = 4};
        if (eh_take_add_metre(&run->take, common) != EH_OK) {
            return no_memory(l->store);
        }
    }
    const enum eh_status status = eh_click_map_from_times(
        &run->take.click, run->clicks, run->click_count, run->info.zero_ns,
        eh_ns_per_quarter(run->info.tempo_bpm), run->info.source == EH_SOURCE_FILE);
    if (status == EH_OUT_OF_RANGE) {
        return eh_run_damaged(l->store, run->number, "its clicks");
    }
    return status == EH_OK ? EH_OK : no_memory(l->store);
}

static enum eh_status load_all(struct loading *l, int64_t run) {
    enum eh_status status = load_row(l, run);
    if (status == EH_OK) {
        status = load_each(l, Q_METRE_GET, load_metre);
    }
    if (status == EH_OK) {
        status = load_each(l, Q_CLICK_GET, load_click);
    }
    if (status == EH_OK) {
        status = load_each(l, Q_HIT_GET, load_hit);
    }
    return status == EH_OK ? complete_take(l) : status;
}

enum eh_status eh_store_run_load(struct eh_store *store, int64_t run, struct eh_run *out_run,
                                 struct eh_error *error) {
    struct loading l = {.store = store, .run = out_run};
    *out_run = (struct eh_run){0};
    /* One snapshot, although another program may be writing the run. */
    enum eh_status status = eh_db_begin_read(store->db);
    if (status == EH_OK) {
        status = eh_db_finish(store->db, load_all(&l, run));
    }
    out_run->memory = l.pool;
    if (status != EH_OK) {
        eh_run_deinit(out_run);
    }
    return eh_store_tell(store, status, error);
}

void eh_run_deinit(struct eh_run *run) {
    eh_take_deinit(&run->take);
    eh_pool_free(run->memory);
    *run = (struct eh_run){0};
}
