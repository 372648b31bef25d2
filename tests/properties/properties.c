/* Properties over random runs.
 *
 *   properties NAME [FIRST [RUNS]]     holds NAME against RUNS seeds from FIRST on
 *   properties write FOLDER RUNS       writes sane runs as files, a command a line
 *
 * EVENHAND_PROPERTY_RUNS sets how many (for a long night: 300000), EVENHAND_PROPERTY_SEED from
 * where on. The first failures are made smaller and written into the folder where the program runs,
 * as files that `evenhand judge` reads. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "property.h"
#include "shrink.h"

static const struct property properties[] = {
    {"chunks", "hits come one by one or all at once: the same bytes", SAMPLE_ANY, 0,
     property_chunks},
    {"shift", "all times later: only the clock's times change", SAMPLE_ANY, 0, property_shift},
    {"offset", "hits later or earlier: only offsets change", SAMPLE_CLEAN, 10, property_offset},
    {"mirror", "hands swapped: findings swapped", SAMPLE_ANY, 0, property_mirror},
    {"gain", "velocities scaled: no verdict changes", SAMPLE_ANY, 0, property_gain},
    {"levels", "velocities scaled: no number changes", SAMPLE_ANY, 20, property_levels},
    {"document", "what is said adds up", SAMPLE_ANY, 0, property_document},
    {"settling", "settled within a second or at the bar's end", SAMPLE_ANY, 20, property_settling},
    {"store", "kept and judged again: the same bytes", SAMPLE_ANY, 0, property_store},
};
enum { PROPERTIES = sizeof properties / sizeof properties[0], SHOWN = 3 };

/* From a text or, where it is NULL, from the environment. */
static unsigned long long number(const char *text, const char *name, unsigned long long otherwise) {
    const char *said = text != NULL ? text : getenv(name);
    return said != NULL ? strtoull(said, NULL, 10) : otherwise;
}

/* The same run from its seed, and a smaller one as files. */
static void show(const struct property *property, struct sample *sample) {
    char path[64];
    struct eh_text why = {0};
    struct eh_text command = {0};
    (void)property->holds(sample, &why);
    (void)printf("seed %llu: %s\n  again: properties %s %llu 1\n", (unsigned long long)sample->seed,
                 eh_text_string(&why), property->name, (unsigned long long)sample->seed);
    eh_text_deinit(&why);
    shrink(property, sample);
    (void)property->holds(sample, &why);
    (void)snprintf(path, sizeof path, "failed-%s-%llu", property->name,
                   (unsigned long long)sample->seed);
    if (sample_write(sample, path, &command)) {
        (void)printf("  smaller, %zu hits, bars %d to %d, %d passes: %s\n  %s\n",
                     sample->take.count, (int)sample->request.plan.first_bar,
                     (int)sample->request.plan.last_bar, (int)sample->request.plan.passes,
                     eh_text_string(&why), eh_text_string(&command));
    } else {
        (void)printf("  %s cannot be written\n", path);
    }
    eh_text_deinit(&why);
    eh_text_deinit(&command);
}

static int run(const struct property *property, unsigned long long first, unsigned long long runs) {
    unsigned long long failed = 0;
    unsigned long long hits = 0;
    for (unsigned long long seed = first; seed < first + runs; seed++) {
        struct sample sample;
        struct eh_text why = {0};
        sample_make(&sample, seed, property->kind);
        hits += sample.take.count;
        if (!property->holds(&sample, &why) && failed++ < SHOWN) {
            show(property, &sample);
        }
        eh_text_deinit(&why);
        sample_deinit(&sample);
    }
    (void)printf("%s: %s. %llu runs from seed %llu, %llu hits: %llu failed\n", property->name,
                 property->says, runs, first, hits, failed);
    const unsigned long long rare = ((unsigned long long)property->rare * runs + 9999) / 10000;
    return failed <= rare && hits > 10 * runs ? EXIT_SUCCESS : EXIT_FAILURE;
}

static int write_runs(const char *folder, unsigned long long runs) {
    for (unsigned long long seed = 1; seed <= runs; seed++) {
        char path[256];
        struct sample sample;
        struct eh_text command = {0};
        sample_make(&sample, seed, SAMPLE_SANE);
        (void)snprintf(path, sizeof path, "%s/%llu", folder, seed);
        if (!sample_write(&sample, path, &command)) {
            (void)fprintf(stderr, "%s cannot be written\n", path);
            return EXIT_FAILURE;
        }
        (void)puts(eh_text_string(&command));
        eh_text_deinit(&command);
        sample_deinit(&sample);
    }
    return EXIT_SUCCESS;
}

int main(int argc, char **argv) {
    if (argc == 4 && strcmp(argv[1], "write") == 0) {
        return write_runs(argv[2], strtoull(argv[3], NULL, 10));
    }
    for (size_t i = 0; i < PROPERTIES && argc >= 2 && argc <= 4; i++) {
        if (strcmp(properties[i].name, argv[1]) == 0) {
            return run(&properties[i],
                       number(argc > 2 ? argv[2] : NULL, "EVENHAND_PROPERTY_SEED", 1),
                       number(argc > 3 ? argv[3] : NULL, "EVENHAND_PROPERTY_RUNS", 1000));
        }
    }
    (void)fprintf(stderr, "usage: properties NAME [FIRST [RUNS]] | write FOLDER RUNS\n");
    return 2;
}
