#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "chance.h"
#include "compare.h"
#include "evenhand/exercise_text.h"
#include "evenhand/settings.h"
#include "evenhand/store.h"
#include "property.h"

/* One history for all runs of this program, made anew by each. */
static struct eh_store *open_history(void) {
    static struct eh_store *store;
    struct eh_error error;
    char path[64];
    if (store == NULL) {
        (void)snprintf(path, sizeof path, "properties-%ld.db", (long)getpid());
        if (eh_store_open(&store, path, EH_STORE_WRITE, &error) != EH_OK) {
            (void)fprintf(stderr, "%s: %s\n", path, error.text);
            abort();
        }
        (void)unlink(path); /* open until the program ends */
    }
    return store;
}

static void must(enum eh_status status) {
    if (status != EH_OK) {
        (void)fprintf(stderr, "history: %s: %s\n", eh_status_text(status),
                      eh_store_error(open_history())->text);
        abort();
    }
}

/* Clicks as a practice stores them: one a quarter, as far as the run goes. */
static size_t make_clicks(const struct sample *s, struct eh_run_click **out) {
    const int64_t last_ns = s->take.count > 0 ? s->take.hits[s->take.count - 1].at_ns : 0;
    const eh_ticks end = eh_tempo_map_tick(&s->take.click, last_ns);
    const size_t n = (size_t)(end / EH_TICKS_PER_QUARTER) + 2;
    *out = calloc(n, sizeof **out);
    if (*out == NULL) {
        abort();
    }
    for (size_t i = 0; i < n; i++) {
        const eh_ticks at = (eh_ticks)i * EH_TICKS_PER_QUARTER;
        (*out)[i] = (struct eh_run_click){at, eh_tempo_map_ns(&s->take.click, at)};
    }
    return n;
}

static int64_t keep_run(const struct sample *s, const char *exercise, const char *style,
                        const struct eh_run_click *clicks, size_t click_count) {
    struct chance chance = {.state = ~s->seed};
    struct eh_store *store = open_history();
    int64_t run = 0;
    const struct eh_run_info info = {.exercise = "made",
                                     .exercise_text = exercise,
                                     .style = s->style.name,
                                     .style_text = style,
                                     .plan = s->request.plan,
                                     .tempo_bpm = eh_bpm(s->take.click.segments[0].ns_per_quarter),
                                     .resolution_ns = s->take.resolution_ns,
                                     .metres = s->take.metres,
                                     .metre_count = s->take.metre_count};
    must(eh_store_run_begin(store, &info, &run));
    for (size_t i = 0; i < s->take.count;) {
        const size_t left = s->take.count - i;
        const size_t most = 1 + (size_t)chance_below(&chance, 60);
        const size_t n = left < most ? left : most;
        must(eh_store_run_add_hits(store, run, s->take.hits + i, n));
        i += n;
    }
    must(eh_store_run_add_clicks(store, run, clicks, click_count));
    must(eh_store_run_end(store, run, EH_RUN_COMPLETE, 0));
    return run;
}

/* What play judges at its end: the take in memory, on the click as it was heard. */
static void judge_in_memory(const struct sample *s, const struct eh_run_click *clicks,
                            size_t click_count, int64_t run, struct eh_text *json) {
    struct sample played;
    sample_copy(&played, s);
    eh_tempo_map_deinit(&played.take.click);
    must(eh_click_map_from_times(&played.take.click, clicks, click_count, 0,
                                 s->take.click.segments[0].ns_per_quarter, false));
    (void)snprintf(played.take.source, sizeof played.take.source, "run:%lld", (long long)run);
    sample_json(&played, json);
    sample_deinit(&played);
}

/* What judge makes of the stored run: everything comes from the history but the pad. */
static void judge_stored(const struct sample *s, int64_t number, struct eh_text *json) {
    struct eh_run run;
    struct eh_error error;
    struct sample loaded = *s;
    must(eh_store_run_load(open_history(), number, &run, &error));
    loaded.take = run.take;
    loaded.request.plan = run.info.plan;
    must(eh_exercise_parse(&loaded.exercise, run.info.exercise_text, strlen(run.info.exercise_text),
                           &error));
    must(eh_style_parse(&loaded.style, run.info.style_text, strlen(run.info.style_text), &error));
    sample_json(&loaded, json);
    eh_exercise_free(loaded.exercise);
    eh_run_deinit(&run);
}

bool property_store(const struct sample *sample, struct eh_text *why) {
    struct eh_run_click *clicks = NULL;
    const size_t click_count = make_clicks(sample, &clicks);
    struct eh_text exercise = {0};
    struct eh_text style = {0};
    struct eh_text one = {0};
    struct eh_text other = {0};
    must(eh_exercise_print(sample->exercise, &exercise));
    eh_style_print(&sample->style, &style);
    const int64_t run =
        keep_run(sample, eh_text_string(&exercise), eh_text_string(&style), clicks, click_count);
    judge_in_memory(sample, clicks, click_count, run, &one);
    judge_stored(sample, run, &other);
    const bool same = compare_bytes(eh_text_string(&one), eh_text_string(&other), why);
    eh_text_deinit(&exercise);
    eh_text_deinit(&style);
    eh_text_deinit(&one);
    eh_text_deinit(&other);
    free(clicks);
    return same;
}
