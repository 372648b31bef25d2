/* The list of runs. */
#include <criterion/criterion.h>
#include <stdio.h>

#include "support.h"

static int64_t add_run(struct eh_store *store, const char *exercise, const char *player,
                       int64_t started_utc_s, size_t hit_count) {
    struct eh_run_info info = plain_info();
    struct eh_hit hits[8];
    int64_t run = 0;
    info.exercise = exercise;
    info.player = player;
    info.started_utc_s = started_utc_s;
    even_hits(hits, 8);
    cr_assert_eq(eh_store_run_begin(store, &info, &run), EH_OK);
    cr_assert_eq(eh_store_run_add_hits(store, run, hits, hit_count), EH_OK);
    return run;
}

static void expect(struct eh_store *store, const struct eh_run_filter *filter,
                   const char *expected) {
    struct eh_run_list list;
    struct eh_error error = {0};
    cr_assert_eq(eh_store_runs(store, filter, &list, &error), EH_OK, "%s", error.text);
    char numbers[64] = "";
    size_t length = 0;
    for (size_t i = 0; i < list.count && length < sizeof numbers; i++) {
        length += (size_t)snprintf(numbers + length, sizeof numbers - length, "%lld ",
                                   (long long)list.rows[i].number);
    }
    cr_assert_str_eq(numbers, expected);
    eh_run_list_deinit(&list);
    cr_assert_eq(list.rows, NULL);
}

Test(history_list, the_newest_come_first_and_each_filter_holds_alone_and_together) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    expect(store, NULL, "");
    (void)add_run(store, "paradiddle", "", 1000, 0);
    (void)add_run(store, "paradiddle", "Ada", 2000, 0);
    (void)add_run(store, "five", "Ada", 3000, 0);
    (void)add_run(store, "paradiddle", "Ada", 2500, 0);
    const struct {
        struct eh_run_filter filter;
        const char *expected;
    } cases[] = {
        {{0}, "4 3 2 1 "},
        {{.limit = 2}, "4 3 "},
        {{.limit = 9}, "4 3 2 1 "},
        {{.exercise = "paradiddle"}, "4 2 1 "},
        {{.exercise = "Paradiddle"}, ""},
        {{.player = "Ada"}, "4 3 2 "},
        {{.player = ""}, "1 "},
        {{.since_utc_s = 2500}, "4 3 "},
        {{.since_utc_s = 2501}, "3 "},
        {{.before = 3}, "2 1 "},
        {{.limit = 1, .before = 3}, "2 "},
        {{.limit = 1, .exercise = "paradiddle", .player = "Ada", .before = 4}, "2 "},
        {{.exercise = "%"}, ""},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        expect(store, &cases[i].filter, cases[i].expected);
    }
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_list, a_line_says_what_was_played_and_what_came_of_it) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_verdict verdict = {
        .version = 7, .json = "{\"a\":1}", .headline = "left late", .faults = 2, .unclear = 1};
    const int64_t run = add_run(store, "five", "Ada", 1764063330, 7);
    cr_assert_eq(eh_store_run_end(store, run, EH_RUN_STOPPED, 5), EH_OK);
    cr_assert_eq(eh_store_run_set_judgement(store, run, &verdict), EH_OK);
    (void)add_run(store, "five", "Ada", 1764063999, 0);
    struct eh_run_list list;
    cr_assert_eq(eh_store_runs(store, NULL, &list, NULL), EH_OK);
    cr_assert_eq(list.count, 2);
    const struct eh_run_row *row = &list.rows[1];
    cr_assert_eq(row->number, run);
    cr_assert_eq(row->started_utc_s, 1764063330);
    cr_assert_eq(row->utc_offset_s, 3600);
    cr_assert_eq(row->source, EH_SOURCE_LIVE);
    cr_assert_eq(row->ended, EH_RUN_STOPPED);
    cr_assert_str_eq(row->player, "Ada");
    cr_assert_str_eq(row->port, "Practice pad:0");
    cr_assert_str_eq(row->exercise, "five");
    cr_assert_str_eq(row->style, "rudimental");
    cr_assert_eq(row->plan.passes, 2);
    cr_assert_eq(row->plan.last_bar, 4);
    cr_assert_eq(row->tempo_bpm, 120.0);
    cr_assert(!row->no_click);
    cr_assert_eq(row->hits, 7);
    cr_assert_eq(row->dropped, 5);
    cr_assert(row->judged);
    cr_assert_eq(row->verdict.version, 7);
    cr_assert_eq(row->verdict.faults, 2);
    cr_assert_eq(row->verdict.unclear, 1);
    cr_assert_str_eq(row->verdict.headline, "left late");
    cr_assert_str_eq(row->verdict.json, "");
    row = &list.rows[0];
    cr_assert_eq(row->ended, EH_RUN_UNFINISHED);
    cr_assert_eq(row->hits, 0);
    cr_assert(!row->judged);
    cr_assert_str_eq(row->verdict.headline, "");
    eh_run_list_deinit(&list);
    const struct eh_run_filter with_json = {.before = run + 1, .with_json = true};
    cr_assert_eq(eh_store_runs(store, &with_json, &list, NULL), EH_OK);
    cr_assert_str_eq(list.rows[0].verdict.json, "{\"a\":1}");
    eh_run_list_deinit(&list);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_list, many_runs_are_listed_whole) {
    enum { RUNS = 200 };
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    for (int i = 0; i < RUNS; i++) {
        (void)add_run(store, i % 2 == 0 ? "even" : "odd", "", i, (size_t)(i % 8));
    }
    struct eh_run_list list;
    cr_assert_eq(eh_store_runs(store, NULL, &list, NULL), EH_OK);
    cr_assert_eq(list.count, RUNS);
    for (int i = 0; i < RUNS; i++) {
        const struct eh_run_row *row = &list.rows[RUNS - 1 - i];
        cr_assert_eq(row->number, i + 1);
        cr_assert_eq(row->hits, (uint32_t)(i % 8));
        cr_assert_str_eq(row->exercise, i % 2 == 0 ? "even" : "odd");
    }
    eh_run_list_deinit(&list);
    eh_store_close(store);
    folder_remove(&folder);
}
