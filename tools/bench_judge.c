/* Measures the judging core: hits a second, growth with length, memory. Prints a table; judges
 * nothing. Usage: bench_judge EXERCISE-FILE [LARGEST-NUMBER-OF-PASSES] */
#include <malloc.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "evenhand/exercise_text.h"
#include "evenhand/judgement.h"
#include "evenhand/settings.h"

/* The processor's time on this process alone, so that other work on the machine counts little. */
static double now_s(void) {
    struct timespec t;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static char *read_file(const char *path, size_t *length) {
    FILE *file = fopen(path, "rb");
    char *text = malloc(1 << 20);
    if (file == NULL || text == NULL) {
        fprintf(stderr, "bench_judge: %s cannot be read\n", path);
        exit(1);
    }
    *length = fread(text, 1, 1 << 20, file);
    (void)fclose(file);
    return text;
}

static uint64_t state = 1;

static double even(void) {
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (double)(state >> 33) / 2147483648.0 - 0.5;
}

/* What is common in presses of the Groove MIDI Dataset 1.0.0 (CC BY 4.0): three notes, 47 and 36 ms
 * apart, 1 to 2 dB softer each. */
static void bounce(struct eh_take *take, struct eh_hit hit) {
    static const int64_t gaps_ns[] = {47 * EH_NS_PER_MS, 36 * EH_NS_PER_MS};
    for (size_t i = 0; i < sizeof gaps_ns / sizeof *gaps_ns; i++) {
        hit.at_ns += gaps_ns[i];
        hit.velocity = (uint16_t)(hit.velocity * 0.85);
        if (eh_take_add(take, &hit) != EH_OK) {
            exit(1);
        }
    }
}

/* Scatter of about 8 ms, 2 % left out, 2 % added. */
static void play(struct eh_take *take, const struct eh_plan *plan) {
    for (size_t i = 0; i < plan->due_count; i++) {
        const struct eh_stroke *stroke = eh_plan_stroke(plan, i);
        const double scatter = 16e6 * (even() + even());
        const double v = (stroke->accent ? 100.0 : 50.0) * (1.0 + 0.2 * even());
        struct eh_hit hit = {.at_ns = plan->due[i].at_ns + (int64_t)scatter,
                             .velocity = (uint16_t)(v * EH_VELOCITY_UNIT),
                             .note = 38};
        if (even() > -0.48 && eh_take_add(take, &hit) != EH_OK) {
            exit(1);
        }
        if (stroke->kind == EH_KIND_BUZZ) {
            bounce(take, hit);
        }
        hit.at_ns += plan->due[i].spacing_ns / 2;
        if (even() > 0.48 && eh_take_add(take, &hit) != EH_OK) {
            exit(1);
        }
    }
}

enum { LEAST_TIMES = 5 };
static const double least_s = 0.5;

static void measure(const struct eh_exercise *exercise, const struct eh_style *style, int passes) {
    struct eh_take take = {.resolution_ns = EH_NS_PER_MS};
    struct eh_error error = {0};
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    const struct eh_judge_request request = {.plan = {.passes = passes}};
    struct eh_plan plan;
    if (eh_tempo_map_init(&take.click, 0, 0, eh_ns_per_quarter(100.0)) != EH_OK ||
        eh_take_add_metre(&take, (struct eh_metre_change){0, 4, 4}) != EH_OK ||
        eh_plan_init(&plan, exercise, &request.plan, &take.click, 0, &error) != EH_OK) {
        fprintf(stderr, "bench_judge: %s\n", error.text);
        exit(1);
    }
    play(&take, &plan);
    struct eh_judgement *judgement = NULL;
    double best = INFINITY;
    const double begun = now_s();
    for (int i = 0; i < LEAST_TIMES || now_s() - begun < least_s; i++) {
        const double from = now_s();
        if (eh_judge(&judgement, exercise, &take, &pad, style, &request, &error) != EH_OK) {
            fprintf(stderr, "bench_judge: %s\n", error.text);
            exit(1);
        }
        best = fmin(best, now_s() - from);
        eh_judgement_free(judgement);
    }
    struct rusage usage;
    (void)getrusage(RUSAGE_SELF, &usage);
    printf("%8d  %9zu  %10.2f  %11.0f  %13ld\n", passes, take.count, best * 1e3,
           (double)take.count / best, usage.ru_maxrss);
    eh_plan_deinit(&plan);
    eh_take_deinit(&take);
}

int main(int argc, char **argv) {
    /* As the program does, see src/cli/main.c. */
    (void)mallopt(M_MMAP_THRESHOLD, 64 << 20);
    (void)mallopt(M_TRIM_THRESHOLD, 64 << 20);
    size_t length = 0;
    if (argc < 2) {
        fprintf(stderr, "usage: bench_judge EXERCISE-FILE [LARGEST-NUMBER-OF-PASSES]\n");
        return 2;
    }
    char *text = read_file(argv[1], &length);
    const int most = argc > 2 ? atoi(argv[2]) : 64;
    struct eh_exercise *exercise = NULL;
    struct eh_style style;
    struct eh_error error = {0};
    const char *ini = eh_style_shipped_text("rudimental");
    if (eh_exercise_parse(&exercise, text, length, &error) != EH_OK ||
        eh_style_parse(&style, ini, strlen(ini), &error) != EH_OK) {
        fprintf(stderr, "bench_judge: %s\n", error.text);
        return 1;
    }
    printf("%8s  %9s  %10s  %11s  %13s\n", "passes", "hits", "best ms", "hits a s",
           "peak memory kB");
    for (int passes = 1; passes <= most; passes *= 4) {
        measure(exercise, &style, passes);
    }
    eh_exercise_free(exercise);
    free(text);
    return 0;
}
