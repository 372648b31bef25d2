/* Runs that belong together, and small things to remember. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "support.h"

static int64_t begin(struct eh_store *store, const char *kind, const char *player,
                     const char *exercise, const char *asked) {
    const struct eh_store_sitting sitting = {.begun_utc_s = 1764063330,
                                             .utc_offset_s = -3600,
                                             .kind = kind,
                                             .player = player,
                                             .exercise = exercise,
                                             .asked = asked};
    int64_t number = 0;
    cr_assert_eq(eh_store_sitting_begin(store, &sitting, &number), EH_OK, "%s",
                 eh_store_error(store)->text);
    return number;
}

static int64_t add_run(struct eh_store *store, int64_t sitting, const char *stage) {
    struct eh_run_info info = plain_info();
    info.sitting = sitting;
    info.stage = stage;
    int64_t run = 0;
    cr_assert_eq(eh_store_run_begin(store, &info, &run), EH_OK, "%s", eh_store_error(store)->text);
    return run;
}

static void expect_found(struct eh_store *store, struct eh_sitting_filter filter,
                         const char *numbers) {
    struct eh_sitting_list list;
    struct eh_error error = {0};
    char found[64] = "";
    cr_assert_eq(eh_store_sittings(store, &filter, &list, &error), EH_OK, "%s", error.text);
    for (size_t i = 0; i < list.count; i++) {
        const size_t used = strlen(found);
        (void)snprintf(found + used, sizeof found - used, "%lld ", (long long)list.rows[i].number);
    }
    cr_expect_str_eq(found, numbers);
    eh_sitting_list_deinit(&list);
}

Test(history_sittings, are_listed_newest_first_and_found_by_what_they_are) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    cr_expect_eq(begin(store, "climb", "Ada", "rolls", "from 70 to 120"), 1);
    cr_expect_eq(begin(store, "climb", NULL, "rolls", "from 70 to 120"), 2);
    cr_expect_eq(begin(store, "today", "Ada", NULL, "20 minutes"), 3);
    cr_expect_eq(begin(store, "climb", "Ada", "rolls", "from 80 to 120"), 4);
    expect_found(store, (struct eh_sitting_filter){0}, "4 3 2 1 ");
    expect_found(store, (struct eh_sitting_filter){.kind = "climb"}, "4 2 1 ");
    expect_found(store, (struct eh_sitting_filter){.player = "Ada"}, "4 3 1 ");
    expect_found(store, (struct eh_sitting_filter){.player = ""}, "2 ");
    expect_found(store, (struct eh_sitting_filter){.exercise = "rolls", .limit = 2}, "4 2 ");
    expect_found(
        store,
        (struct eh_sitting_filter){
            .kind = "climb", .player = "Ada", .exercise = "rolls", .asked = "from 70 to 120"},
        "1 ");
    expect_found(store, (struct eh_sitting_filter){.asked = "from 70"}, "");
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_sittings, hold_their_runs_and_only_these) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_error error = {0};
    struct eh_run_list list;
    struct eh_run run;
    const int64_t alone = add_run(store, 0, NULL);
    const int64_t sitting = begin(store, "climb", "", "rolls", "");
    const int64_t first = add_run(store, sitting, "hand motion");
    const int64_t second = add_run(store, sitting, "as written");
    const struct eh_run_filter filter = {.sitting = sitting};
    cr_assert_eq(eh_store_runs(store, &filter, &list, &error), EH_OK, "%s", error.text);
    cr_assert_eq(list.count, 2);
    cr_expect_eq(list.rows[0].number, second);
    cr_expect_eq(list.rows[1].number, first);
    cr_expect_eq(list.rows[1].sitting, sitting);
    cr_expect_str_eq(list.rows[1].stage, "hand motion");
    eh_run_list_deinit(&list);
    cr_assert_eq(eh_store_run_load(store, alone, &run, &error), EH_OK, "%s", error.text);
    cr_expect_eq(run.info.sitting, 0);
    eh_run_deinit(&run);
    struct eh_run_info info = plain_info();
    info.sitting = 7;
    int64_t number = 0;
    cr_expect_eq(eh_store_run_begin(store, &info, &number), EH_NOT_FOUND);
    cr_expect(strstr(eh_store_error(store)->text, "no sitting 7") != NULL);
    struct eh_store_sitting bad = {.utc_offset_s = 86401};
    cr_expect_eq(eh_store_sitting_begin(store, &bad, &number), EH_OUT_OF_RANGE);
    cr_expect_eq(number, 0);
    cr_expect_eq(eh_store_check(store, &error), EH_OK, "%s", error.text);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_sittings, small_things_are_kept_until_they_are_said_anew) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    char value[8] = "before";
    struct eh_error error = {0};
    cr_assert_eq(eh_store_kept_get(store, "care", value, sizeof value, &error), EH_OK);
    cr_expect_str_eq(value, "");
    cr_assert_eq(eh_store_kept_set(store, "care", "one"), EH_OK);
    cr_assert_eq(eh_store_kept_set(store, "care", "and another"), EH_OK);
    cr_assert_eq(eh_store_kept_get(store, "care", value, sizeof value, &error), EH_OK);
    cr_expect_str_eq(value, "and ano", "cut to fit");
    eh_store_close(store);
    store = open_or_fail(folder.db, EH_STORE_READ);
    cr_expect_eq(eh_store_kept_set(store, "care", "three"), EH_NO_ACCESS);
    eh_store_close(store);
    folder_remove(&folder);
}
