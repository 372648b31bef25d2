#include <stdio.h>
#include <string.h>

#include "audition.h"
#include "evenhand/report_sheet.h"
#include "evenhand/utc.h"
#include "history_file.h"
#include "look.h"
#include "rejudge.h"
#include "say.h"

/* As a shell takes it: a name with anything odd in it in quotes. */
static void add_typed(struct eh_text *text, const char *name) {
    static const char plain[] =
        "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._/+-";
    if (name[0] != '\0' && name[strspn(name, plain)] == '\0') {
        eh_text_add(text, name);
        return;
    }
    eh_text_add_char(text, '\'');
    for (const char *c = name; *c != '\0'; c++) {
        if (*c == '\'') {
            eh_text_add(text, "'\\''");
        } else {
            eh_text_add_char(text, *c);
        }
    }
    eh_text_add_char(text, '\'');
}

static void add_played(struct eh_text *text, const struct audition_sheet *sheet) {
    const int64_t local_s = sheet->played_utc_s + sheet->utc_offset_s;
    int64_t year = 0;
    int month = 0;
    int day = 0;
    if (sheet->run <= 0) {
        return;
    }
    eh_civil_date(local_s >= 0 ? local_s / 86400 : (local_s - 86399) / 86400, &year, &month, &day);
    const int minute = (int)(((local_s % 86400) + 86400) % 86400 / 60);
    eh_text_printf(text, "Run %lld, %04lld-%02d-%02d %02d:%02d", (long long)sheet->run,
                   (long long)year, month, day, minute / 60, minute % 60);
}

static enum eh_status add_sheet(const struct audition_sheet *sheet, struct eh_text *out) {
    struct eh_text name = {0};
    struct eh_text played = {0};
    struct eh_places places = {0};
    struct eh_tempo_course course;
    struct eh_report_look look = cli_look();
    look.played_utc_s = sheet->played_utc_s;
    add_typed(&name, sheet->name);
    add_played(&played, sheet);
    enum eh_status status = eh_places_find(&places, sheet->judgement);
    if (status == EH_OK) {
        status = eh_tempo_course_find(&course, sheet->judgement);
    }
    if (status == EH_OK) {
        const struct eh_sheet page = {.judgement = sheet->judgement,
                                      .places = &places,
                                      .course = &course,
                                      .name = eh_text_string(&name),
                                      .played = eh_text_string(&played)};
        status = eh_report_sheet(&page, &look, out);
    }
    eh_places_deinit(&places);
    eh_text_deinit(&name);
    eh_text_deinit(&played);
    return status;
}

int audition_sheet_print(const struct audition_sheet *sheet) {
    struct eh_text text = {0};
    const enum eh_status status = add_sheet(sheet, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    return status == EH_OK ? CLI_GOOD : cli_complain("audition: %s", eh_status_text(status));
}

/* ---- A stored run ---- */

static int print_json(const struct eh_judgement *judgement) {
    struct eh_text text = {0};
    const enum eh_status status = eh_report_json(judgement, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    return status == EH_OK ? CLI_GOOD : cli_complain("audition: %s", eh_status_text(status));
}

static int print_run(const struct audition_options *options, const struct rejudged *rejudged) {
    const struct eh_run_info *info = &rejudged->run.info;
    const struct audition_sheet sheet = {.judgement = rejudged->judgement,
                                         .name = options->play.exercise,
                                         .run = options->run,
                                         .played_utc_s = info->started_utc_s,
                                         .utc_offset_s = info->utc_offset_s};
    return options->play.json ? print_json(rejudged->judgement) : audition_sheet_print(&sheet);
}

int audition_of(const struct audition_options *options) {
    struct found_exercise exercise;
    struct eh_store *store = NULL;
    struct rejudged rejudged = {.run = {.number = 0}};
    struct eh_error error;
    eh_error_clear(&error);
    int result = exercise_find(&exercise, options->play.exercise, options->play.part);
    if (result != CLI_GOOD) {
        return result;
    }
    result = history_open(&store, options->play.db, EH_STORE_READ);
    if (result == CLI_GOOD && rejudge_run(&rejudged, store, options->run, &error) != EH_OK) {
        result = cli_complain_error(options->of, &error);
    }
    if (result == CLI_GOOD && strcmp(rejudged.run.info.exercise, exercise.name) != 0 &&
        !eh_exercise_equal(rejudged.exercise, exercise.exercise)) {
        result = cli_complain("%s is a run of %s: evenhand audition %s --of %s", options->of,
                              rejudged.run.info.exercise, rejudged.run.info.exercise, options->of);
    }
    if (result == CLI_GOOD) {
        result = print_run(options, &rejudged);
    }
    rejudged_deinit(&rejudged);
    eh_store_close(store);
    exercise_deinit(&exercise);
    return result;
}
