/* evenhand list */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "exercise_find.h"
#include "options.h"
#include "say.h"

static const struct command_usage usage = {
    .name = "list",
    .arguments = "[WORD]",
    .about = "Lists the exercises: name, bars, tempo to start and to aim at (quarter notes a\n"
             "minute), title. With WORD only those whose name or group holds it: rudiments,\n"
             "flams, paradiddle. Your own stand in the folder exercises of your data folder,\n"
             "usually ~/.local/share/evenhand/exercises, each a text file NAME.txt; folders in\n"
             "it are groups.",
    .most = 1,
};

static bool wanted(const struct named_file *file, const char *word) {
    return word == NULL || strstr(file->name, word) != NULL || strstr(file->group, word) != NULL;
}

/* The width of the widest name, so that the columns line up. */
static int name_width(const struct names *names, const char *word) {
    size_t width = 8;
    for (size_t i = 0; i < names->count; i++) {
        const size_t length = strlen(names->files[i].name);
        if (wanted(&names->files[i], word) && length > width) {
            width = length;
        }
    }
    return (int)width;
}

static int print_exercise(const struct named_file *file, int width) {
    struct found_exercise found;
    const int result = exercise_read(&found, file->path, NULL);
    if (result == CLI_GOOD) {
        printf("%-*s  %3d bars  %3.0f-%3.0f  %s\n", width, file->name,
               eh_exercise_bar_count(found.exercise), eh_exercise_tempo_start(found.exercise),
               eh_exercise_tempo_goal(found.exercise), eh_exercise_title(found.exercise));
        exercise_deinit(&found);
    }
    return result;
}

/* Headings are for people: what reads a file or a pipe finds an exercise's name at the beginning
 * of each line. */
static void print_heading(const char *group, bool first) {
    if (isatty(STDOUT_FILENO)) {
        printf("%s%s%s", first ? "" : "\n", group, group[0] == '\0' ? "" : ":\n");
    }
}

/* Returns CLI_FAILED when one could not be read, -1 when there is none. */
static int print_all(const struct names *names, const char *word) {
    const int width = name_width(names, word);
    const char *group = NULL;
    int result = -1;
    for (size_t i = 0; i < names->count; i++) {
        const struct named_file *file = &names->files[i];
        if (!wanted(file, word)) {
            continue;
        }
        if (group == NULL || strcmp(group, file->group) != 0) {
            print_heading(file->group, group == NULL);
            group = file->group;
        }
        if (print_exercise(file, width) != CLI_GOOD) {
            result = CLI_FAILED;
        } else if (result == -1) {
            result = CLI_GOOD;
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
        const char *word = words.count > 0 ? words.words[0] : NULL;
        result = print_all(&names, word);
        if (result == -1) {
            result = cli_complain("%s: no exercise's name or group holds that (\"evenhand list\" "
                                  "shows them all)",
                                  word);
        }
    }
    names_deinit(&names);
    return result;
}
