/* evenhand show */
#include <math.h>
#include <stdio.h>

#include "command.h"
#include "evenhand/exercise_text.h"
#include "exercise_find.h"
#include "options.h"
#include "say.h"

struct tally {
    size_t main, right, left, doubles, buzzes, graces, accents;
};

static struct tally count_strokes(const struct eh_exercise *exercise) {
    struct tally tally = {0};
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        const struct eh_stroke *stroke = &strokes[i];
        tally.accents += stroke->accent > 0;
        tally.doubles += stroke->kind == EH_KIND_SECOND;
        tally.buzzes += stroke->kind == EH_KIND_BUZZ;
        if (stroke->kind == EH_KIND_GRACE) {
            tally.graces++;
            continue;
        }
        tally.main++;
        tally.right += stroke->hand == EH_HAND_RIGHT;
        tally.left += stroke->hand == EH_HAND_LEFT;
    }
    return tally;
}

/* "3 doubles", and nothing for none. */
static void print_some(size_t count, const char *one, const char *many) {
    if (count > 0) {
        printf(", %zu %s", count, count == 1 ? one : many);
    }
}

/* At the tempo to start with; the tempo counts quarter notes. */
static int seconds_of(const struct eh_exercise *exercise) {
    const double quarters = (double)eh_exercise_length(exercise) / (double)EH_TICKS_PER_QUARTER;
    return (int)lround(quarters * 60.0 / eh_exercise_tempo_start(exercise));
}

static void print_counts(const struct eh_exercise *exercise) {
    const struct tally tally = count_strokes(exercise);
    size_t played = 0;
    (void)eh_exercise_bars(exercise, &played);
    const int written = eh_exercise_bar_count(exercise);
    printf("%d bar%s", written, written == 1 ? "" : "s");
    if (played != (size_t)written) {
        printf(" (%zu played)", played);
    }
    printf(": %zu strokes, %zu right, %zu left", tally.main, tally.right, tally.left);
    print_some(tally.accents, "accent", "accents");
    print_some(tally.doubles, "double", "doubles");
    print_some(tally.buzzes, "buzz", "buzzes");
    print_some(tally.graces, "grace note", "grace notes");
    const int seconds = seconds_of(exercise);
    printf("\nstart at %.15g, aim at %.15g quarter notes a minute; %d:%02d long at the start\n",
           eh_exercise_tempo_start(exercise), eh_exercise_tempo_goal(exercise), seconds / 60,
           seconds % 60);
}

static int print_exercise(const struct found_exercise *found) {
    struct eh_text text = {0};
    if (eh_exercise_print(found->exercise, &text) != EH_OK || text.failed) {
        eh_text_deinit(&text);
        return cli_complain("%s: not enough memory to print it", found->name);
    }
    print_counts(found->exercise);
    printf("\n%s", eh_text_string(&text));
    eh_text_deinit(&text);
    return CLI_GOOD;
}

static enum options_answer parse(int argc, char **argv, struct command_words *out_words,
                                 const char **out_part) {
    const struct option_row rows[] = {EXERCISE_PART_ROW(*out_part)};
    const struct command_usage usage = {
        .name = "show",
        .arguments = "EXERCISE",
        .about = "Prints an exercise: what it trains, how much there is to play, and its text\n"
                 "with the sticking of every bar. EXERCISE is a name from \"evenhand list\", a\n"
                 "text file or a MusicXML file.",
        .options = rows,
        .option_count = sizeof rows / sizeof rows[0],
        .least = 1,
        .most = 1,
    };
    return options_parse(&usage, argc, argv, out_words);
}

int cli_show(int argc, char **argv) {
    struct command_words words;
    const char *part = NULL;
    const enum options_answer answer = parse(argc, argv, &words, &part);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct found_exercise found;
    int result = exercise_find(&found, words.words[0], part);
    if (result == CLI_GOOD) {
        result = print_exercise(&found);
        exercise_deinit(&found);
    }
    return result;
}
