/* Every allocation of ours in reading and writing fails once: each time the answer is "out of
 * memory", and nothing is left behind. The linker leads malloc and its kin through here (--wrap);
 * libxml2 and libzip allocate by themselves. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/musicxml.h"
#include "failing_malloc.h"
#include "random_exercise.h"

static void must(int holds, const char *what, long n) {
    if (!holds) {
        (void)fprintf(stderr, "allocation %ld: %s\n", n, what);
        exit(EXIT_FAILURE);
    }
}

/* Reads BYTES with the allocation N failing; whether that went well all the same, because there are
 * fewer. */
static int read_once(const struct eh_text *bytes, long n) {
    struct eh_exercise *exercise = NULL;
    struct eh_musicxml_remarks remarks = {0};
    struct eh_error error;
    const long before = alive;
    until_failure = n;
    const enum eh_status status =
        eh_musicxml_read(&exercise, bytes->data, bytes->length, NULL, &remarks, &error);
    const int reached = until_failure < 0;
    until_failure = -1;
    must(reached ? status == EH_NO_MEMORY : status == EH_OK, "the answer", n);
    must((exercise != NULL) == (status == EH_OK), "an exercise", n);
    eh_exercise_free(exercise);
    eh_musicxml_remarks_deinit(&remarks);
    must(alive == before, "something is left behind", n);
    return status == EH_OK;
}

static int write_once(const struct eh_exercise *exercise, long n, int packed) {
    struct eh_text bytes = {0};
    const long before = alive;
    until_failure = n;
    const enum eh_status status =
        packed ? eh_musicxml_write_packed(exercise, &bytes) : eh_musicxml_write(exercise, &bytes);
    const int reached = until_failure < 0;
    until_failure = -1;
    must(reached ? status == EH_NO_MEMORY : status == EH_OK, "the answer", n);
    eh_text_deinit(&bytes);
    must(alive == before, "something is left behind", n);
    return status == EH_OK;
}

static void try_exercise(const struct eh_exercise *exercise) {
    for (int packed = 0; packed < 2; packed++) {
        struct eh_text bytes = {0};
        long n = 0;
        while (!write_once(exercise, n, packed)) {
            n++;
        }
        must(n >= 3, "writing allocates", n);
        must((packed ? eh_musicxml_write_packed(exercise, &bytes)
                     : eh_musicxml_write(exercise, &bytes)) == EH_OK,
             "writing", n);
        n = 0;
        while (!read_once(&bytes, n)) {
            n++;
        }
        must(n >= 15, "reading allocates", n);
        eh_text_deinit(&bytes);
    }
}

int main(void) {
    for (uint64_t seed = 1; seed <= 12; seed++) {
        struct eh_exercise *exercise = random_exercise(seed);
        try_exercise(exercise);
        eh_exercise_free(exercise);
    }
    printf("every allocation has failed once\n");
    return EXIT_SUCCESS;
}
