/* Every allocation of reading and printing fails once: each time the answer is "out of memory", and
 * nothing is left behind. The linker leads malloc and its kin through here (--wrap). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/hand_motion.h"
#include "failing_malloc.h"

static void must(int holds, const char *what, long n) {
    if (!holds) {
        (void)fprintf(stderr, "failing allocation %ld: expected %s\n", n, what);
        exit(EXIT_FAILURE);
    }
}

/* Everything that allocates: all header lines, groups, repeats and endings, hairpins, and enough of
 * each for a row to grow. */
static char *rich_text(void) {
    enum { ROOM = 40000, TURNS = 90 };
    static const char turn[] =
        "|: p cresc 16:RLR/lL> 8:3[RLR] dim 4:Rz - p | 1st p 4:R cresc LR f L :| 2nd 1:R |\n";
    char *text = malloc(ROOM);
    must(text != NULL, "memory for the test", -1);
    char *at = text;
    at += snprintf(at, 200, "title: T\nabout: one\nabout: two\nstyle: s\ntempo: 60 to 90\n");
    for (int i = 0; i < TURNS; i++) {
        memcpy(at, turn, sizeof turn);
        at += sizeof turn - 1;
    }
    return text;
}

/* True once no allocation failed any more. */
static int read_with_failure(const char *text, long n, struct eh_exercise **out) {
    struct eh_error error;
    const long before = alive;
    until_failure = n;
    const enum eh_status status = eh_exercise_parse(out, text, strlen(text), &error);
    const int reached = until_failure >= 0;
    until_failure = -1;
    if (reached) {
        must(status == EH_OK, "success once nothing fails", n);
        return 1;
    }
    must(status == EH_NO_MEMORY, "out of memory", n);
    must(error.status == EH_NO_MEMORY && error.text[0] != '\0', "words for it", n);
    must(*out == NULL, "no exercise", n);
    must(alive == before, "nothing left behind", n);
    return 0;
}

static int print_with_failure(const struct eh_exercise *exercise, long n) {
    struct eh_text out = {0};
    until_failure = n;
    const enum eh_status status = eh_exercise_print(exercise, &out);
    const int reached = until_failure >= 0;
    until_failure = -1;
    must(status == (reached ? EH_OK : EH_NO_MEMORY), "out of memory from printing, or success", n);
    eh_text_deinit(&out);
    return reached;
}

static int move_with_failure(const struct eh_exercise *exercise, long n) {
    struct eh_exercise *motion = NULL;
    struct eh_error error;
    const long before = alive;
    until_failure = n;
    const enum eh_status status = eh_exercise_hand_motion(&motion, exercise, &error);
    const int reached = until_failure >= 0;
    until_failure = -1;
    must(status == (reached ? EH_OK : EH_NO_MEMORY), "out of memory from moving, or success", n);
    must(reached || motion == NULL, "no hand motion", n);
    eh_exercise_free(motion);
    must(alive == before, "nothing left behind", n);
    return reached;
}

int main(void) {
    char *text = rich_text();
    struct eh_exercise *exercise = NULL;
    long reads = 0;
    long prints = 0;
    long moves = 0;
    while (!read_with_failure(text, reads, &exercise)) {
        reads++;
    }
    while (!print_with_failure(exercise, prints)) {
        prints++;
    }
    while (!move_with_failure(exercise, moves)) {
        moves++;
    }
    eh_exercise_free(exercise);
    free(text);
    must(alive == 0, "nothing left at the end", -1);
    must(reads > 20 && prints > 3 && moves > 20, "more allocations than these", reads);
    printf("%ld allocations of reading and %ld of printing failed in turn\n", reads, prints);
    return EXIT_SUCCESS;
}
