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

/* A later program, as this one will be some day. */
static struct eh_schema later(const char *steps[3], const char *step_2, const char *step_3) {
    steps[0] = eh_schema_history.steps[0];
    steps[1] = step_2;
    steps[2] = step_3;
    return (struct eh_schema){.steps = steps, .count = step_3 == NULL ? 2 : 3};
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
    const char *steps[3];
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
        cr_assert_not_null(strstr(error.text, "its version 3, this program knows up to 1"));
        cr_assert_eq(open_later(folder.db, EH_STORE_READ, &schema, &error), EH_OK);
    }
    cr_assert_eq(unlink(folder.db), 0);
    cr_assert_eq(open_later(folder.db, EH_STORE_WRITE, &schema, &error), EH_OK);
    folder_remove(&folder);
}

Test(history_migrate, a_step_that_fails_leaves_the_file_as_it_was) {
    const struct folder folder = folder_make();
    const char *steps[3];
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
    const char *steps[3];
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
