/* What was stored is what is loaded. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "support.h"

static void assert_same_info(const struct eh_run_info *a, const struct eh_run_info *b) {
    cr_assert_eq(a->started_utc_s, b->started_utc_s);
    cr_assert_eq(a->utc_offset_s, b->utc_offset_s);
    cr_assert_eq(a->source, b->source);
    cr_assert_str_eq(a->player, b->player);
    cr_assert_str_eq(a->port, b->port);
    cr_assert_str_eq(a->demo_fault, b->demo_fault);
    cr_assert_str_eq(a->demo_seed, b->demo_seed);
    cr_assert_str_eq(a->exercise, b->exercise);
    cr_assert_str_eq(a->exercise_text, b->exercise_text);
    cr_assert_str_eq(a->style, b->style);
    cr_assert_str_eq(a->style_text, b->style_text);
    cr_assert_str_eq(a->pad_text, b->pad_text);
    cr_assert_eq(a->plan.first_bar, b->plan.first_bar);
    cr_assert_eq(a->plan.last_bar, b->plan.last_bar);
    cr_assert_eq(a->plan.passes, b->plan.passes);
    cr_assert_eq(a->plan.gap, b->plan.gap);
    cr_assert_eq(a->tempo_bpm, b->tempo_bpm);
    cr_assert_eq(a->no_click, b->no_click);
    cr_assert_eq(a->count_off, b->count_off);
    cr_assert_eq(a->zero_ns, b->zero_ns);
    cr_assert_eq(a->resolution_ns, b->resolution_ns);
    cr_assert_eq(a->metre_count, b->metre_count);
    for (size_t i = 0; i < a->metre_count; i++) {
        cr_assert_eq(a->metres[i].at, b->metres[i].at);
        cr_assert_eq(a->metres[i].beats, b->metres[i].beats);
        cr_assert_eq(a->metres[i].unit, b->metres[i].unit);
    }
}

static void assert_same_hits(const struct eh_take *take, const struct eh_hit *hits, size_t n) {
    cr_assert_eq(take->count, n);
    for (size_t i = 0; i < n; i++) {
        cr_assert_eq(take->hits[i].at_ns, hits[i].at_ns, "hit %zu", i);
        cr_assert_eq(take->hits[i].velocity, hits[i].velocity, "hit %zu", i);
        cr_assert_eq(take->hits[i].note, hits[i].note, "hit %zu", i);
        cr_assert_eq(take->hits[i].channel, hits[i].channel, "hit %zu", i);
    }
}

/* By time, equal times in order of arrival, as a take keeps them. */
static void sort_hits(struct eh_hit *hits, size_t n) {
    for (size_t i = 1; i < n; i++) {
        const struct eh_hit hit = hits[i];
        size_t k = i;
        for (; k > 0 && hits[k - 1].at_ns > hit.at_ns; k--) {
            hits[k] = hits[k - 1];
        }
        hits[k] = hit;
    }
}

static int64_t begin(struct eh_store *store, const struct eh_run_info *info) {
    int64_t run = 0;
    cr_assert_eq(eh_store_run_begin(store, info, &run), EH_OK, "%s", eh_store_error(store)->text);
    return run;
}

static struct eh_run load(struct eh_store *store, int64_t number) {
    struct eh_run run;
    struct eh_error error = {0};
    cr_assert_eq(eh_store_run_load(store, number, &run, &error), EH_OK, "%s", error.text);
    return run;
}

static void add_hits(struct eh_store *store, int64_t run, const struct eh_hit *hits, size_t n) {
    cr_assert_eq(eh_store_run_add_hits(store, run, hits, n), EH_OK, "%s",
                 eh_store_error(store)->text);
}

Test(history_store, a_run_comes_back_as_it_was_stored) {
    const struct folder folder = folder_make();
    struct eh_run_info info = plain_info();
    const struct eh_metre_change metres[] = {{.at = -80640, .beats = 4, .unit = 4},
                                             {.at = 0, .beats = 7, .unit = 8}};
    info.metres = metres;
    info.metre_count = 2;
    info.source = EH_SOURCE_DEMO;
    info.demo_fault = "late-left-second";
    info.demo_seed = "18446744073709551615";
    info.tempo_bpm = 97.3;
    info.no_click = true;
    info.count_off = 4;
    info.started_utc_s = -5;
    info.utc_offset_s = -34200;
    struct eh_hit hits[9];
    even_hits(hits, 9);
    const struct eh_run_click clicks[] = {{-20160, 1500000000}, {0, 2000100000}};

    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const int64_t number = begin(store, &info);
    add_hits(store, number, hits, 4);
    cr_assert_eq(eh_store_run_add_clicks(store, number, clicks, 1), EH_OK);
    add_hits(store, number, hits + 4, 0);
    add_hits(store, number, hits + 4, 5);
    cr_assert_eq(eh_store_run_add_clicks(store, number, clicks + 1, 1), EH_OK);
    cr_assert_eq(eh_store_run_end(store, number, EH_RUN_SILENCE, 4294967295u), EH_OK);
    eh_store_close(store);

    store = open_or_fail(folder.db, EH_STORE_READ);
    struct eh_run run = load(store, number);
    assert_same_info(&run.info, &info);
    assert_same_hits(&run.take, hits, 9);
    cr_assert_eq(run.number, number);
    cr_assert_eq(run.ended, EH_RUN_SILENCE);
    cr_assert_eq(run.take.dropped, 4294967295u);
    cr_assert_eq(run.take.resolution_ns, 1000);
    cr_assert_str_eq(run.take.source, "run:1");
    cr_assert_eq(run.take.metre_count, 2);
    cr_assert_eq(run.take.metres[1].beats, 7);
    cr_assert_eq(run.click_count, 2);
    cr_assert_eq(run.clicks[0].at, -20160);
    cr_assert_eq(run.clicks[1].at_ns, 2000100000);
    cr_assert(!run.judged);
    cr_assert_str_eq(run.verdict.json, "");
    eh_run_deinit(&run);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, thousands_of_random_hits_in_random_chunks_come_back) {
    enum { HITS = 5000 };
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    struct eh_hit *hits = calloc(HITS, sizeof *hits);
    uint64_t state = 20260101;
    for (int round = 0; round < 3; round++) {
        for (size_t i = 0; i < HITS; i++) {
            hits[i] = random_hit(&state);
        }
        hits[7] = hits[6]; /* equal times keep their order */
        hits[7].note = (uint8_t)(hits[6].note ^ 1);
        hits[10] = (struct eh_hit){INT64_MIN, UINT16_MAX, 127, 15};
        hits[11] = (struct eh_hit){INT64_MAX, 0, 0, 0};
        const int64_t number = begin(store, &info);
        for (size_t at = 0; at < HITS;) {
            const size_t n = 1 + random_next(&state) % 97;
            const size_t chunk = n < HITS - at ? n : HITS - at;
            add_hits(store, number, hits + at, chunk);
            at += chunk;
        }
        sort_hits(hits, HITS);
        struct eh_run run = load(store, number);
        assert_same_hits(&run.take, hits, HITS);
        eh_run_deinit(&run);
    }
    free(hits);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, any_text_and_any_tempo_come_back) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const char *const texts[] = {NULL,
                                 "",
                                 "'; DROP TABLE run; --",
                                 "a\n\"b\"\tc",
                                 "\xc3\xa9t\xc3\xbc",
                                 "\xff\xfe not UTF-8"};
    const double tempos[] = {1.0, 20.0, 99.99999999999999, 1.0 / 3.0 + 60, 400.0, 6.0e7};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct eh_run_info info = plain_info();
        info.player = info.port = info.exercise = info.style = texts[i];
        info.exercise_text = info.style_text = info.pad_text = texts[i];
        info.demo_fault = info.demo_seed = texts[i];
        info.tempo_bpm = tempos[i];
        const int64_t number = begin(store, &info);
        struct eh_run run = load(store, number);
        const char *expected = texts[i] == NULL ? "" : texts[i];
        cr_assert_str_eq(run.info.player, expected);
        cr_assert_str_eq(run.info.exercise_text, expected);
        cr_assert_str_eq(run.info.pad_text, expected);
        cr_assert_str_eq(run.info.demo_seed, expected);
        cr_assert_eq(run.info.tempo_bpm, tempos[i]);
        eh_run_deinit(&run);
    }
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, without_clicks_and_metres_the_nominal_tempo_and_common_time_hold) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_run_info info = plain_info();
    info.metres = NULL;
    info.metre_count = 0;
    const int64_t number = begin(store, &info);
    struct eh_run run = load(store, number);
    cr_assert_eq(run.take.metre_count, 1);
    cr_assert_eq(run.take.metres[0].beats, 4);
    cr_assert_eq(run.info.metre_count, 0);
    cr_assert_eq(eh_tempo_map_ns(&run.take.click, 0), info.zero_ns);
    cr_assert_eq(eh_tempo_map_ns(&run.take.click, 3 * EH_TICKS_PER_QUARTER),
                 info.zero_ns + 3 * INT64_C(500000000));
    eh_run_deinit(&run);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, a_judgement_is_kept_and_replaced) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    const int64_t number = begin(store, &info);
    struct eh_run_verdict verdict = {
        .version = 3, .json = "{\"findings\":[]}", .headline = "nothing to fix", .unclear = 2};
    cr_assert_eq(eh_store_run_set_judgement(store, number, &verdict), EH_OK);
    verdict = (struct eh_run_verdict){.version = 4, .headline = "left late", .faults = 1};
    cr_assert_eq(eh_store_run_set_judgement(store, number, &verdict), EH_OK);
    struct eh_run run = load(store, number);
    cr_assert(run.judged);
    cr_assert_eq(run.verdict.version, 4);
    cr_assert_str_eq(run.verdict.json, "");
    cr_assert_str_eq(run.verdict.headline, "left late");
    cr_assert_eq(run.verdict.faults, 1);
    cr_assert_eq(run.verdict.unclear, 0);
    eh_run_deinit(&run);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, a_run_can_be_continued_by_another_store_where_it_ended) {
    const struct folder folder = folder_make();
    struct eh_hit hits[6];
    even_hits(hits, 6);
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    const int64_t first = begin(store, &info);
    add_hits(store, first, hits, 3);
    const int64_t second = begin(store, &info);
    add_hits(store, second, hits, 1);
    add_hits(store, first, hits + 3, 1);
    eh_store_close(store);
    store = open_or_fail(folder.db, EH_STORE_WRITE);
    add_hits(store, first, hits + 4, 2);
    struct eh_run run = load(store, first);
    assert_same_hits(&run.take, hits, 6);
    eh_run_deinit(&run);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, two_stores_that_write_one_run_cannot_overwrite_each_other) {
    const struct folder folder = folder_make();
    struct eh_hit hits[4];
    even_hits(hits, 4);
    struct eh_store *one = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_store *two = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    const int64_t number = begin(one, &info);
    add_hits(two, number, hits, 2);
    add_hits(one, number, hits, 2); /* the same hits: as good as stored */
    add_hits(two, number, hits + 2, 1);
    cr_assert_eq(eh_store_run_add_hits(one, number, hits + 3, 1), EH_BUSY);
    cr_assert_str_eq(eh_store_error(one)->text,
                     "another program is writing run 1; let only one play it");
    struct eh_run run = load(one, number);
    assert_same_hits(&run.take, hits, 3);
    eh_run_deinit(&run);
    eh_store_close(two);
    eh_store_close(one);
    folder_remove(&folder);
}

Test(history_store, what_makes_no_sense_is_refused_and_leaves_no_run) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_metre_change falling[] = {{.at = 5, .beats = 4, .unit = 4},
                                              {.at = 5, .beats = 3, .unit = 4}};
    const struct eh_metre_change empty[] = {{.at = 0, .beats = 0, .unit = 4}};
    struct eh_run_info bad[14];
    for (size_t i = 0; i < 14; i++) {
        bad[i] = plain_info();
    }
    bad[0].tempo_bpm = NAN;
    bad[1].tempo_bpm = 0.999;
    bad[2].tempo_bpm = INFINITY;
    bad[3].plan.first_bar = -1;
    bad[4].plan.passes = -1;
    bad[5].plan.gap = -1;
    bad[6].resolution_ns = -1;
    bad[7].utc_offset_s = 86401;
    bad[8].zero_ns = INT64_MIN;
    bad[9].source = (enum eh_run_source)9;
    bad[10].metres = falling;
    bad[10].metre_count = 2;
    bad[11].metres = empty;
    bad[12].count_off = -1;
    bad[13].count_off = 256;
    for (size_t i = 0; i < 14; i++) {
        int64_t run = 77;
        cr_assert_eq(eh_store_run_begin(store, &bad[i], &run), EH_OUT_OF_RANGE, "case %zu", i);
        cr_assert_eq(run, 0);
        cr_assert_neq(eh_store_error(store)->text[0], '\0');
    }
    const struct eh_run_info good = plain_info();
    const int64_t number = begin(store, &good);
    cr_assert_eq(number, 1);
    const struct eh_hit hits[] = {{.note = 38}, {.note = 128}};
    const struct eh_hit channel = {.channel = 16};
    const struct eh_run_click click = {.at = INT64_MAX};
    cr_assert_eq(eh_store_run_add_hits(store, number, hits, 2), EH_OUT_OF_RANGE);
    cr_assert_eq(eh_store_run_add_hits(store, number, &channel, 1), EH_OUT_OF_RANGE);
    cr_assert_eq(eh_store_run_add_clicks(store, number, &click, 1), EH_OUT_OF_RANGE);
    struct eh_run run = load(store, number);
    cr_assert_eq(run.take.count, 0, "a chunk is stored whole or not at all");
    eh_run_deinit(&run);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, an_unknown_run_is_named_with_those_that_exist) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    const struct eh_run_verdict verdict = {0};
    struct eh_error error = {0};
    struct eh_run run;
    cr_assert_eq(eh_store_run_load(store, 3, &run, &error), EH_NOT_FOUND);
    cr_assert_str_eq(error.text, "there is no run 3; the history is empty");
    for (int i = 0; i < 9; i++) {
        (void)begin(store, &info);
    }
    cr_assert_eq(eh_store_run_delete(store, 5, &error), EH_OK);
    cr_assert_eq(eh_store_run_delete(store, 7, &error), EH_OK);
    cr_assert_eq(eh_store_run_load(store, 5, &run, &error), EH_NOT_FOUND);
    cr_assert_str_eq(error.text, "there is no run 5; the history holds 1 to 4, 6, 8 to 9");
    cr_assert_eq(run.memory, NULL);
    cr_assert_eq(eh_store_run_load(store, -1, &run, &error), EH_NOT_FOUND);
    const struct eh_hit hit = {.note = 38};
    const struct eh_run_click click = {0};
    cr_assert_eq(eh_store_run_add_hits(store, 99, &hit, 1), EH_NOT_FOUND);
    cr_assert_eq(eh_store_run_add_clicks(store, 99, &click, 1), EH_NOT_FOUND);
    cr_assert_eq(eh_store_run_end(store, 99, EH_RUN_STOPPED, 0), EH_NOT_FOUND);
    cr_assert_eq(eh_store_run_set_judgement(store, 99, &verdict), EH_NOT_FOUND);
    cr_assert_eq(eh_store_run_delete(store, 99, &error), EH_NOT_FOUND);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_store, a_deleted_run_takes_everything_with_it_and_its_number_never_returns) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_hit hits[3];
    even_hits(hits, 3);
    const struct eh_run_click click = {0, 0};
    const struct eh_run_verdict verdict = {.json = "{}"};
    struct eh_run_info info = plain_info();
    const int64_t kept = begin(store, &info);
    info.exercise_text = "a text of its own: unmistakable-7319";
    const int64_t gone = begin(store, &info);
    add_hits(store, gone, hits, 3);
    cr_assert_eq(eh_store_run_add_clicks(store, gone, &click, 1), EH_OK);
    cr_assert_eq(eh_store_run_set_judgement(store, gone, &verdict), EH_OK);
    struct eh_error error = {0};
    cr_assert_eq(eh_store_run_delete(store, gone, &error), EH_OK, "%s", error.text);
    cr_assert_eq(eh_store_run_add_hits(store, gone, hits, 1), EH_NOT_FOUND);
    cr_assert_eq(eh_store_check(store, &error), EH_OK, "%s", error.text);
    cr_assert_eq(begin(store, &info), gone + 1);
    cr_assert_eq(eh_store_run_delete(store, gone + 1, &error), EH_OK);
    struct eh_run run = load(store, kept);
    cr_assert_str_eq(run.info.exercise_text, plain_info().exercise_text);
    eh_run_deinit(&run);
    eh_store_close(store);
    size_t size = 0;
    unsigned char *bytes = file_read(folder.db, &size);
    bool found = false;
    for (size_t i = 0; i + 17 < size; i++) {
        found = found || memcmp(bytes + i, "unmistakable-7319", 17) == 0;
    }
    cr_assert(!found, "the deleted text is still in the file");
    free(bytes);
    folder_remove(&folder);
}

Test(history_store, a_copy_is_a_whole_history_and_never_replaces_a_file) {
    const struct folder folder = folder_make();
    char copy[128];
    (void)snprintf(copy, sizeof copy, "%s/a copy?#%%.db", folder.path);
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_hit hits[3];
    even_hits(hits, 3);
    const struct eh_run_info info = plain_info();
    const int64_t number = begin(store, &info);
    add_hits(store, number, hits, 3);
    struct eh_error error = {0};
    cr_assert_eq(eh_store_copy(store, copy, &error), EH_OK, "%s", error.text);
    cr_assert_eq(eh_store_copy(store, copy, &error), EH_NO_ACCESS);
    cr_assert_eq(eh_store_copy(store, folder.path, &error), EH_NO_ACCESS);
    cr_assert_eq(eh_store_copy(store, "/nowhere/at/all.db", &error), EH_NOT_FOUND);
    eh_store_close(store);
    for (int mode = EH_STORE_READ; mode <= EH_STORE_WRITE; mode++) {
        store = open_or_fail(copy, (enum eh_store_mode)mode);
        struct eh_run run = load(store, number);
        assert_same_info(&run.info, &info);
        assert_same_hits(&run.take, hits, 3);
        eh_run_deinit(&run);
        eh_store_close(store);
    }
    store = open_or_fail(folder.db, EH_STORE_READ);
    cr_assert_eq(unlink(copy), 0);
    cr_assert_eq(eh_store_copy(store, copy, &error), EH_OK, "a reader may copy: %s", error.text);
    eh_store_close(store);
    folder_remove(&folder);
}
