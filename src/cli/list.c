/* evenhand list */
#include <stdio.h>

#include "command.h"
#include "exercise_find.h"
#include "options.h"
#include "say.h"

static const struct command_usage usage = {
    .name = "list",
    .arguments = "",
    .about = "Lists the exercises: name, bars, tempo to start and to aim at (quarter notes a\n"
             "minute), title. Your own stand in the folder exercises of your data folder,\n"
             "usually ~/.local/share/evenhand/exercises, each a text file NAME.txt.",
};

/* The width of the widest name, so that the columns line up. */
static int name_width(const struct names *names) {
    size_t width = 8;
    for (size_t i = 0; i < names->count; i++) {
        size_t length = 0;
        while (names->files[i].name[length] != '\0') {
            length++;
        }
        width = length > width ? length : width;
    }
    return (int)width;
}

static int print_exercise(const struct named_file *file, int width) {
    struct found_exercise found;
    const int result = exercise_read(&found, file->path);
    if (result == CLI_GOOD) {
        printf("%-*s  %3d bars  %3.0f-%3.0f  %s\n", width, file->name,
               eh_exercise_bar_count(found.exercise), eh_exercise_tempo_start(found.exercise),
               eh_exercise_tempo_goal(found.exercise), eh_exercise_title(found.exercise));
        exercise_deinit(&found);
    }
    return result;
}

static int print_all(const struct names *names) {
    const int width = name_width(names);
    int result = CLI_GOOD;
    for (size_t i = 0; i < names->count; i++) {
        if (print_exercise(&names->files[i], width) != CLI_GOOD) {
            result = CLI_FAILED;
        }
    }
    return result;
}

int cli_list(int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(&usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct names names;
    exercise_names(&names);
    int result = CLI_GOOD;
    if (names.failed) {
        result = cli_complain("not enough memory to list the exercises");
    } else if (names.count == 0) {
        result = cli_complain("no exercises: their folder should stand beside the program "
                              "(exercises) or in your data folder");
    } else {
        result = print_all(&names);
    }
    names_deinit(&names);
    return result;
}
