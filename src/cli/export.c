/* evenhand export */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "evenhand/exercise_text.h"
#include "evenhand/musicxml.h"
#include "exercise_find.h"
#include "options.h"
#include "say.h"
#include "write_file.h"

struct export_options {
    const char *exercise, *file, *part;
};

/* The forms by the ending of the file's name. */
struct form {
    const char *suffix;
    enum eh_status (*write)(const struct eh_exercise *exercise, struct eh_text *out);
};

static const struct form forms[] = {
    {".musicxml", eh_musicxml_write},
    {".xml", eh_musicxml_write},
    {".mxl", eh_musicxml_write_packed},
    {".txt", eh_exercise_print},
    {".mid", NULL}, /* the demo player's, played as written */
};

static const struct form *form_of(const char *file) {
    const size_t length = strlen(file);
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        const size_t tail = strlen(forms[i].suffix);
        if (length > tail && strcmp(file + length - tail, forms[i].suffix) == 0) {
            return &forms[i];
        }
    }
    return NULL;
}

static int save(const struct export_options *options, const struct found_exercise *found) {
    struct eh_text bytes = {0};
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status = form_of(options->file)->write(found->exercise, &bytes);
    if (status != EH_OK) {
        (void)eh_fail(&error, status, "it cannot be written: %s", eh_status_text(status));
    } else {
        status = write_new_file(options->file, bytes.data, bytes.length, &error);
    }
    eh_text_deinit(&bytes);
    if (status != EH_OK) {
        return cli_complain_error(options->file, &error);
    }
    (void)printf("%s: %s, %d bars\n", options->file, found->name,
                 eh_exercise_bar_count(found->exercise));
    return CLI_GOOD;
}

/* A MIDI file is a performance: the demo player's, without a person's scatter. */
static int perform(const struct export_options *options) {
    const char *const with_part[] = {"--part", options->part};
    const char *arguments[9] = {"demo", "--exact", "--save", options->file};
    int count = 4;
    for (int i = 0; options->part != NULL && i < 2; i++) {
        arguments[count++] = with_part[i];
    }
    arguments[count++] = "--"; /* whatever the exercise is called */
    arguments[count++] = options->exercise;
    return cli_demo(count, (char **)arguments);
}

static enum options_answer parse(struct export_options *out, int argc, char **argv) {
    const struct option_row rows[] = {EXERCISE_PART_ROW(out->part)};
    const struct command_usage usage = {
        .name = "export",
        .arguments = "EXERCISE FILE",
        .about = "Writes an exercise as a new file: MusicXML 4.0 (.musicxml, .xml), the same\n"
                 "compressed (.mxl), our text (.txt), or a MIDI file played as written, after a\n"
                 "bar of count-in (.mid), by the ending of FILE's name.",
        .options = rows,
        .option_count = sizeof rows / sizeof rows[0],
        .least = 2,
        .most = 2,
    };
    struct command_words words;
    const enum options_answer answer = options_parse(&usage, argc, argv, &words);
    if (answer == OPTIONS_RUN && form_of(words.words[1]) == NULL) {
        (void)options_complain(&usage,
                               "%s: expected a name that ends in .musicxml, .xml, .mxl, .txt "
                               "or .mid",
                               words.words[1]);
        return OPTIONS_WRONG;
    }
    out->exercise = words.words[0];
    out->file = words.words[1];
    return answer;
}

int cli_export(int argc, char **argv) {
    struct export_options options = {0};
    const enum options_answer answer = parse(&options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    if (form_of(options.file)->write == NULL) {
        return perform(&options);
    }
    struct found_exercise found;
    int result = exercise_find(&found, options.exercise, options.part);
    if (result == CLI_GOOD) {
        result = save(&options, &found);
        exercise_deinit(&found);
    }
    return result;
}
