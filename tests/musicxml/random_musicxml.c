/* Writes random exercises as MusicXML, for programs of others to look at. Arguments: a folder, how
 * many, the first seed. */
#include <stdio.h>
#include <stdlib.h>

#include "evenhand/musicxml.h"
#include "random_exercise.h"

static int save(const char *folder, unsigned long long seed) {
    char path[4096];
    struct eh_text xml = {0};
    struct eh_exercise *exercise = random_exercise(seed);
    (void)snprintf(path, sizeof path, "%s/random-%llu.musicxml", folder, seed);
    FILE *file = eh_musicxml_write(exercise, &xml) == EH_OK ? fopen(path, "wb") : NULL;
    const int done = file != NULL && fwrite(xml.data, 1, xml.length, file) == xml.length;
    const int closed = file != NULL && fclose(file) == 0;
    eh_exercise_free(exercise);
    eh_text_deinit(&xml);
    return done && closed;
}

int main(int argc, char **argv) {
    if (argc != 4) {
        (void)fprintf(stderr, "random_musicxml FOLDER COUNT SEED\n");
        return 2;
    }
    const unsigned long long first = strtoull(argv[3], NULL, 10);
    const unsigned long long count = strtoull(argv[2], NULL, 10);
    for (unsigned long long i = 0; i < count; i++) {
        if (!save(argv[1], first + i)) {
            (void)fprintf(stderr, "seed %llu could not be written\n", first + i);
            return 1;
        }
    }
    return 0;
}
