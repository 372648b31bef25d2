/* Files of every version that was released are read, and brought up to date step by step. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store_parts.h"
#include "support.h"

/* Written by the first version of the program: 40 hits played to 14 clicks, and a demo run that
 * was never finished. */
static const char version_1[] = EVENHAND_SOURCE_DIR "/tests/history/data/version-1.db";

/* The same runs, and two pads. */
static const char version_2[] = EVENHAND_SOURCE_DIR "/tests/history/data/version-2.db";

/* The same, and a run of the demo player's without a click, after four taps. */
static const char version_3[] = EVENHAND_SOURCE_DIR "/tests/history/data/version-3.db";

/* The same, and two passes of a ladder. */
static const char version_4[] = EVENHAND_SOURCE_DIR "/tests/history/data/version-4.db";

static void assert_version_1(const char *path) {
    struct eh_store *store = open_or_fail(path, EH_STORE_READ);
    struct eh_error error = {0};
    struct eh_run run;
    cr_assert_eq(eh_store_run_load(store, 1, &run, &error), EH_OK, "%s", error.text);
    cr_assert_eq(run.take.count, 40);
    for (int k = 0; k < 40; k++) {
        const struct eh_hit *hit = &run.take.hits[k];
        cr_assert_eq(hit->at_ns, 2000000000LL + k * 125000000LL - (k % 3) * 1000000);
        cr_assert_eq(hit->velocity, 20000 + k * 1000);
        cr_assert_eq(hit->note, k % 7 ? 38 : 40);
        cr_assert_eq(hit->channel, 9);
    }
    cr_assert_eq(run.click_count, 14);
    cr_assert_eq(run.clicks[13].at_ns, 6500200000);
    cr_assert_eq(run.take.metre_count, 2);
    cr_assert_eq(run.take.metres[1].at, 161280);
    cr_assert_eq(run.take.metres[1].unit, 8);
    cr_assert_str_eq(run.info.exercise_text, "title Five-stroke roll\n| RRLLR- LLRRL- |\n");
    cr_assert_eq(run.info.plan.gap, 80640);
    cr_assert_eq(run.ended, EH_RUN_COMPLETE);
    cr_assert_str_eq(run.verdict.json, "{\"format\":\"evenhand-judgement/1\"}");
    cr_assert_eq(run.verdict.unclear, 2);
    eh_run_deinit(&run);
    cr_assert_eq(eh_store_run_load(store, 2, &run, &error), EH_OK, "%s", error.text);
    cr_assert_eq(run.ended, EH_RUN_UNFINISHED);
    cr_assert_str_eq(run.info.demo_fault, "weak-left-second");
    cr_assert_eq(run.info.tempo_bpm, 92.5);
    cr_assert_eq(run.take.hits[0].at_ns, -1);
    cr_assert_eq(run.take.hits[0].velocity, 65535);
    eh_run_deinit(&run);
    cr_assert_eq(eh_store_check(store, &error), EH_OK, "%s", error.text);
    eh_store_close(store);
}

Test(history_migrate, a_file_of_version_1_is_read_and_continued) {
    const struct folder folder = folder_make();
    file_copy(version_1, folder.db);
    assert_version_1(folder.db);
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    const struct eh_run_info info = plain_info();
    int64_t run = 0;
    cr_assert_eq(eh_store_run_begin(store, &info, &run), EH_OK);
    cr_assert_eq(run, 3);
    eh_store_close(store);
    assert_version_1(folder.db);
    folder_remove(&folder);
}

static void assert_version_2(const char *path) {
    struct eh_store *store = open_or_fail(path, EH_STORE_READ);
    struct eh_error error = {0};
    struct eh_store_pad pad;
    struct eh_store_pad_list list;
    cr_assert_eq(eh_store_pad_get(store, "Kit:Kit MIDI 1 24:0", "", &pad, &error), EH_OK, "%s",
                 error.text);
    cr_expect_str_eq(pad.port, "Kit:Kit MIDI 1");
    cr_expect_eq(pad.made_utc_s, 1795662600);
    cr_expect_str_eq(pad.text, "[pad]\nname = kit\n");
    eh_store_pad_deinit(&pad);
    cr_assert_eq(eh_store_pad_get(store, "Kit:Kit MIDI 1", "ada", &pad, NULL), EH_OK);
    cr_expect_str_eq(pad.text, "[range]\ntop_velocity = 120\n");
    eh_store_pad_deinit(&pad);
    cr_assert_eq(eh_store_pads(store, &list, NULL), EH_OK);
    cr_expect_eq(list.count, 2);
    eh_store_pad_list_deinit(&list);
    cr_assert_eq(eh_store_check(store, &error), EH_OK, "%s", error.text);
    eh_store_close(store);
    assert_version_1(path);
}

Test(history_migrate, a_file_of_version_2_is_read_and_one_of_version_1_becomes_its_equal) {
    const struct folder folder = folder_make();
    file_copy(version_2, folder.db);
    assert_version_2(folder.db);
    file_copy(version_1, folder.db);
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    cr_assert_eq(
        eh_store_pad_set(store, "Kit:Kit MIDI 1 20:0", NULL, 1795662600, "[pad]\nname = kit\n"),
        EH_OK);
    cr_assert_eq(eh_store_pad_set(store, "Kit:Kit MIDI 1 28:0", "ada", 1795662601,
                                  "[range]\ntop_velocity = 120\n"),
                 EH_OK);
    eh_store_close(store);
    assert_version_2(folder.db);
    folder_remove(&folder);
}

Test(history_migrate, a_file_of_version_3_is_read_and_runs_before_it_had_a_click) {
    const struct folder folder = folder_make();
    struct eh_error error = {0};
    struct eh_run run;
    file_copy(version_3, folder.db);
    assert_version_2(folder.db);
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_READ);
    cr_assert_eq(eh_store_run_load(store, 3, &run, &error), EH_OK, "%s", error.text);
    cr_expect(run.info.no_click);
    cr_expect_eq(run.info.count_off, 4);
    cr_expect_eq(run.click_count, 0);
    cr_expect_eq(run.take.count, 4 + 8);
    cr_expect_eq(run.take.hits[0].at_ns, 0, "the first hit opens the run");
    cr_expect_eq(run.take.hits[1].at_ns, 954038312);
    eh_run_deinit(&run);
    cr_assert_eq(eh_store_run_load(store, 2, &run, &error), EH_OK, "%s", error.text);
    cr_expect(!run.info.no_click);
    cr_expect_eq(run.info.count_off, 0);
    eh_run_deinit(&run);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_migrate, a_file_of_version_4_is_read_and_runs_before_it_were_alone) {
    const struct folder folder = folder_make();
    struct eh_error error = {0};
    struct eh_run run;
    struct eh_sitting_list list;
    char care[16];
    file_copy(version_4, folder.db);
    assert_version_2(folder.db);
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_READ);
    cr_assert_eq(eh_store_sittings(store, NULL, &list, &error), EH_OK, "%s", error.text);
    cr_assert_eq(list.count, 1);
    cr_expect_str_eq(list.rows[0].kind, "climb");
    cr_expect_str_eq(list.rows[0].asked, "from 70 to 120 step 4");
    cr_expect_eq(list.rows[0].utc_offset_s, 3600);
    eh_sitting_list_deinit(&list);
    for (int64_t number = 4; number <= 5; number++) {
        cr_assert_eq(eh_store_run_load(store, number, &run, &error), EH_OK, "%s", error.text);
        cr_expect_eq(run.info.sitting, 1);
        cr_expect_str_eq(run.info.stage, number == 4 ? "hand motion" : "as written");
        cr_expect_str_eq(run.info.silent_bars, number == 4 ? "" : "every-other");
        eh_run_deinit(&run);
    }
    cr_assert_eq(eh_store_run_load(store, 3, &run, &error), EH_OK, "%s", error.text);
    cr_expect_eq(run.info.sitting, 0);
    cr_expect_str_eq(run.info.stage, "");
    eh_run_deinit(&run);
    cr_assert_eq(eh_store_kept_get(store, "care", care, sizeof care, &error), EH_OK);
    cr_expect_str_eq(care, "2026-11-26");
    eh_store_close(store);
    folder_remove(&folder);
}

enum { NOW = 4, LATER_MAX = NOW + 2 };

/* A later program, as this one will be some day. */
static struct eh_schema later(const char *steps[LATER_MAX], const char *next,
                              const char *after_next) {
    cr_assert_eq(eh_schema_history.count, NOW);
    memcpy(steps, eh_schema_history.steps, NOW * sizeof *steps);
    steps[NOW] = next;
    steps[NOW + 1] = after_next;
    return (struct eh_schema){.steps = steps, .count = after_next == NULL ? NOW + 1 : NOW + 2};
}

static enum eh_status open_later(const char *path, enum eh_store_mode mode,
                                 const struct eh_schema *schema, struct eh_error *error) {
    struct eh_store *store = NULL;
    const enum eh_status status = eh_store_open_schema(&store, path, mode, schema, error);
    eh_store_close(store);
    return status;
}

Test(history_migrate, missing_steps_are_taken_in_order_by_writer_and_reader) {
    const struct folder folder = folder_make();
    const char *steps[LATER_MAX];
    const struct eh_schema schema =
        later(steps, "ALTER TABLE run ADD COLUMN mood TEXT NOT NULL DEFAULT ''",
              "CREATE INDEX run_by_mood ON run (mood); UPDATE run SET mood = 'calm'");
    struct eh_error error = {0};
    for (int mode = EH_STORE_READ; mode <= EH_STORE_WRITE; mode++) {
        file_copy(version_1, folder.db);
        cr_assert_eq(open_later(folder.db, (enum eh_store_mode)mode, &schema, &error), EH_OK, "%s",
                     error.text);
        struct eh_store *store = NULL;
        cr_assert_eq(eh_store_open(&store, folder.db, EH_STORE_READ, &error), EH_NEWER_VERSION);
        cr_assert_not_null(strstr(error.text, "its version 6, this program knows up to 4"));
        cr_assert_eq(open_later(folder.db, EH_STORE_READ, &schema, &error), EH_OK);
    }
    cr_assert_eq(unlink(folder.db), 0);
    cr_assert_eq(open_later(folder.db, EH_STORE_WRITE, &schema, &error), EH_OK);
    folder_remove(&folder);
}

Test(history_migrate, a_step_that_fails_leaves_the_file_as_it_was) {
    const struct folder folder = folder_make();
    const char *steps[LATER_MAX];
    const struct eh_schema schema =
        later(steps, "ALTER TABLE run ADD COLUMN mood TEXT NOT NULL DEFAULT ''",
              "DELETE FROM hit; CREATE TABLE run (again)");
    struct eh_error error = {0};
    file_copy(version_1, folder.db);
    cr_assert_eq(open_later(folder.db, EH_STORE_WRITE, &schema, &error), EH_DAMAGED);
    assert_version_1(folder.db);
    folder_remove(&folder);
}

static const struct eh_schema *child_schema;

static int read_as_nobody(const char *path) {
    struct eh_error error = {0};
    if (!drop_rights()) {
        return 9;
    }
    const enum eh_status status = open_later(path, EH_STORE_READ, child_schema, &error);
    return status == EH_NO_ACCESS && strstr(error.text, "older version") != NULL ? 0 : 1;
}

Test(history_migrate, an_older_file_that_cannot_be_written_is_not_read_wrongly) {
    const struct folder folder = folder_make();
    const char *steps[LATER_MAX];
    const struct eh_schema schema = later(steps, "ALTER TABLE run ADD COLUMN mood TEXT", NULL);
    file_copy(version_1, folder.db);
    cr_assert_eq(chmod(folder.db, 0444), 0);
    cr_assert_eq(chmod(folder.path, 0555), 0);
    child_schema = &schema;
    const pid_t child = fork();
    if (child == 0) {
        _exit(read_as_nobody(folder.db));
    }
    cr_assert_eq(child_wait(child), 0);
    folder_remove(&folder);
}
