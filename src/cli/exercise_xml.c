#include "exercise_xml.h"

#include <stdio.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/musicxml.h"
#include "say.h"

static const char *const suffixes[] = {".musicxml", ".mxl", ".xml"};

enum { SUFFIXES = sizeof suffixes / sizeof suffixes[0] };

/* The suffix of PATH, or NULL. */
static const char *suffix_of(const char *path) {
    const size_t length = strlen(path);
    for (size_t i = 0; i < SUFFIXES; i++) {
        const size_t tail = strlen(suffixes[i]);
        if (length > tail && strcmp(path + length - tail, suffixes[i]) == 0) {
            return suffixes[i];
        }
    }
    return NULL;
}

bool exercise_xml_is_named(const char *path) {
    return suffix_of(path) != NULL;
}

static void list_remark(const char *path, const struct eh_musicxml_remark *remark) {
    const bool several = strchr(remark->measures, ',') != NULL;
    if (remark->measures[0] == '\0') {
        (void)cli_complain("%s: note: %s", path, remark->text);
    } else {
        (void)cli_complain("%s:%d: note: measure%s %s: %s", path, remark->line, several ? "s" : "",
                           remark->measures, remark->text);
    }
}

static void list_remarks(const char *path, const struct eh_musicxml_remarks *remarks) {
    for (size_t i = 0; i < remarks->count; i++) {
        list_remark(path, &remarks->rows[i]);
    }
    if (remarks->left_out > 0) {
        (void)cli_complain("%s: note: %zu further remarks are left out", path, remarks->left_out);
    }
}

/* What is kept with a run, and shown, is our own text. */
static int to_text(struct found_exercise *out, const char *path) {
    eh_text_deinit(&out->text);
    if (eh_exercise_print(out->exercise, &out->text) != EH_OK) {
        exercise_deinit(out);
        return cli_complain("%s: not enough memory", path);
    }
    return CLI_GOOD;
}

int exercise_xml_read(struct found_exercise *out, const char *path, const char *part) {
    struct eh_musicxml_remarks remarks = {0};
    struct eh_error error;
    eh_error_clear(&error);
    const char *suffix = suffix_of(path);
    names_of_path(out->name, path, suffix == NULL ? EXERCISE_SUFFIX : suffix);
    const enum eh_status status =
        eh_musicxml_read(&out->exercise, out->text.data, out->text.length, part, &remarks, &error);
    list_remarks(path, &remarks);
    eh_musicxml_remarks_deinit(&remarks);
    if (status != EH_OK) {
        (void)cli_complain_error(path, &error);
        exercise_deinit(out);
        return CLI_FAILED;
    }
    return to_text(out, path);
}
