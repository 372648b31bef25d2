#include "exercise_find.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "evenhand/exercise_text.h"
#include "nearest.h"
#include "read_file.h"
#include "say.h"

void exercise_deinit(struct found_exercise *found) {
    eh_exercise_free(found->exercise);
    eh_text_deinit(&found->text);
    *found = (struct found_exercise){0};
}

void exercise_names(struct names *out_names) {
    struct folder_list folders;
    folders_exercises(&folders);
    names_gather(out_names, &folders, EXERCISE_SUFFIX);
}

/* Parses OUT->text. */
static int parse(struct found_exercise *out, const char *where) {
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_exercise_parse(&out->exercise, out->text.data, out->text.length, &error) == EH_OK) {
        return CLI_GOOD;
    }
    (void)cli_complain_text(where, &error, out->text.data, out->text.length);
    exercise_deinit(out);
    return CLI_FAILED;
}

int exercise_from_text(struct found_exercise *out, const char *name, const char *where,
                       const char *text, size_t length) {
    *out = (struct found_exercise){0};
    names_of_path(out->name, name, EXERCISE_SUFFIX);
    eh_text_add_bytes(&out->text, text, length);
    if (eh_text_status(&out->text) != EH_OK) {
        exercise_deinit(out);
        return cli_complain("%s: not enough memory", where);
    }
    return parse(out, where);
}

static bool ends_in(const char *text, const char *suffix) {
    const size_t length = strlen(text);
    const size_t tail = strlen(suffix);
    return length >= tail && strcmp(text + length - tail, suffix) == 0;
}

/* Better one clear word than a complaint about the first angle bracket. */
static bool is_music_xml(const char *path) {
    return ends_in(path, ".musicxml") || ends_in(path, ".mxl") || ends_in(path, ".xml");
}

int exercise_read(struct found_exercise *out, const char *path) {
    *out = (struct found_exercise){0};
    struct eh_error error;
    eh_error_clear(&error);
    if (read_file(&out->text, path, EH_EXERCISE_BYTES_MAX, &error) != EH_OK) {
        (void)cli_complain_error(path, &error);
        exercise_deinit(out);
        return CLI_FAILED;
    }
    if (is_music_xml(path)) {
        exercise_deinit(out);
        return cli_complain("%s: this version does not read MusicXML; write the exercise as text "
                            "(docs/exercise-format.md)",
                            path);
    }
    names_of_path(out->name, path, EXERCISE_SUFFIX);
    return parse(out, path);
}

static int complain_unknown(const char *wanted, const struct names *names) {
    struct nearest nearest;
    nearest_init(&nearest, wanted);
    for (size_t i = 0; i < names->count; i++) {
        nearest_offer(&nearest, names->files[i].name);
    }
    struct eh_text near = {0};
    nearest_add_to(&nearest, &near);
    (void)cli_complain("%s: no exercise and no file of that name%s (\"evenhand list\" shows the "
                       "exercises)",
                       wanted, eh_text_string(&near));
    eh_text_deinit(&near);
    return CLI_FAILED;
}

/* A name goes before a file of the same name in the current folder; what holds a slash is a path.
 */
int exercise_find(struct found_exercise *out, const char *wanted) {
    *out = (struct found_exercise){0};
    if (strchr(wanted, '/') != NULL) {
        return exercise_read(out, wanted);
    }
    struct names names;
    exercise_names(&names);
    const struct named_file *file = names_find(&names, wanted);
    int result = CLI_GOOD;
    if (file != NULL) {
        result = exercise_read(out, file->path);
        if (result == CLI_GOOD) {
            memcpy(out->name, file->name, sizeof out->name);
        }
    } else if (wanted[0] != '\0' && access(wanted, F_OK) == 0) {
        result = exercise_read(out, wanted);
    } else {
        result = complain_unknown(wanted, &names);
    }
    names_deinit(&names);
    return result;
}
