#include "exercise_find.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "evenhand/exercise_text.h"
#include "evenhand/musicxml.h"
#include "exercise_xml.h"
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

int exercise_read(struct found_exercise *out, const char *path, const char *part) {
    *out = (struct found_exercise){0};
    const bool named = exercise_xml_is_named(path);
    const size_t limit = named ? EH_MUSICXML_BYTES_MAX : EH_EXERCISE_BYTES_MAX;
    struct eh_error error;
    eh_error_clear(&error);
    if (read_file(&out->text, path, limit, &error) != EH_OK) {
        (void)cli_complain_error(path, &error);
        exercise_deinit(out);
        return CLI_FAILED;
    }
    if (out->text.length >= 4 && memcmp(out->text.data, "MThd", 4) == 0) {
        exercise_deinit(out);
        return cli_complain("%s: this is a MIDI file, what somebody played; an exercise is a text "
                            "or a MusicXML score (\"evenhand judge EXERCISE %s\" judges it)",
                            path, path);
    }
    if (named || eh_musicxml_recognise(out->text.data, out->text.length)) {
        return exercise_xml_read(out, path, part);
    }
    if (part != NULL) {
        exercise_deinit(out);
        return cli_complain("%s: --part chooses from a MusicXML score; this is a text", path);
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
int exercise_find(struct found_exercise *out, const char *wanted, const char *part) {
    *out = (struct found_exercise){0};
    if (strchr(wanted, '/') != NULL) {
        return exercise_read(out, wanted, part);
    }
    struct names names;
    exercise_names(&names);
    const struct named_file *file = names_find(&names, wanted);
    int result = CLI_GOOD;
    if (file != NULL) {
        result = exercise_read(out, file->path, part);
        if (result == CLI_GOOD) {
            memcpy(out->name, file->name, sizeof out->name);
        }
    } else if (wanted[0] != '\0' && access(wanted, F_OK) == 0) {
        result = exercise_read(out, wanted, part);
    } else {
        result = complain_unknown(wanted, &names);
    }
    names_deinit(&names);
    return result;
}
