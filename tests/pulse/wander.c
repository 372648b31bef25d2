#include "wander.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "evenhand/exercise_text.h"
#include "evenhand/pulse.h"
#include "random.h"

enum { BEATS_A_BAR = 4, SOUNDING = 2, BARS_MOST = 2 * SOUNDING + 16 };

struct scene {
    struct eh_exercise *exercise;
    struct eh_plan plan;
    struct eh_hit *hits;
    struct eh_match *matches;
    bool silent[BARS_MOST];
    double beat_ms[BARS_MOST * BEATS_A_BAR + 1]; /* how late each beat of the player is */
};

static void stop(const char *what) {
    (void)fprintf(stderr, "%s\n", what);
    abort();
}

static void make(struct scene *scene, const struct wander_case *what) {
    static const char *const bars[] = {[1] = "4: R L R L",
                                       [2] = "8: R L R L R L R L",
                                       [4] = "16: R L R L R L R L R L R L R L R L"};
    const int count = 2 * SOUNDING + what->bars;
    struct eh_text text = {0};
    struct eh_tempo_map click = {0};
    const struct eh_plan_request request = {.passes = 1};
    struct eh_error error = {0};
    eh_text_add(&text, "title: a row\ntempo: 80 to 120\nmetre: 4/4\n\n");
    for (int i = 0; i < count; i++) {
        eh_text_printf(&text, "%s%s", i > 0 ? " | " : "", bars[what->strokes]);
        scene->silent[i] = i >= SOUNDING && i < SOUNDING + what->bars;
    }
    if (eh_exercise_parse(&scene->exercise, text.data, text.length, &error) != EH_OK ||
        eh_tempo_map_init(&click, 0, 0, eh_ns_per_quarter(100)) != EH_OK ||
        eh_plan_init(&scene->plan, scene->exercise, &request, &click, 0, &error) != EH_OK) {
        stop(error.text);
    }
    scene->hits = calloc(scene->plan.due_count, sizeof *scene->hits);
    scene->matches = calloc(scene->plan.due_count, sizeof *scene->matches);
    if (scene->hits == NULL || scene->matches == NULL) {
        stop("no memory");
    }
    eh_tempo_map_deinit(&click);
    eh_text_deinit(&text);
}

/* The walk of the player's beat: beat I + 1 from beat I, by whether the click sounds at beat I. */
static void walk(struct scene *scene, const struct wander_case *what, struct eh_random *random) {
    const struct wander_player *p = &what->player;
    const int beats = (2 * SOUNDING + what->bars) * BEATS_A_BAR;
    scene->beat_ms[0] = 0.0;
    for (int i = 0; i < beats; i++) {
        const double here = scene->beat_ms[i];
        const bool silent = scene->silent[i / BEATS_A_BAR];
        const double own = silent ? 600.0 / (1.0 + p->percent / 100.0) - 600.0 : -0.5 * here;
        scene->beat_ms[i + 1] = here + own + p->timekeeper_ms * eh_random_normal(random);
    }
}

static void play(struct scene *scene, const struct wander_case *what, struct eh_random *random) {
    walk(scene, what, random);
    for (size_t i = 0; i < scene->plan.due_count; i++) {
        const size_t beat = i / (size_t)what->strokes;
        const double in = (double)(i % (size_t)what->strokes) / what->strokes;
        const double off = scene->beat_ms[beat] * (1.0 - in) + scene->beat_ms[beat + 1] * in +
                           what->player.stroke_ms * eh_random_normal(random);
        scene->hits[i].at_ns = scene->plan.due[i].at_ns + (int64_t)(off * EH_NS_PER_MS);
        scene->matches[i].hit = (int32_t)i;
    }
}

static bool contradicts(const struct eh_pulse_stretch *s, double truth_ms) {
    switch ((enum eh_pulse_verdict)s->verdict) {
    case EH_PULSE_HELD:
        return fabs(truth_ms) > s->tolerance_ms;
    case EH_PULSE_RUSHED:
        return truth_ms >= -s->tolerance_ms;
    case EH_PULSE_DRAGGED:
        return truth_ms <= s->tolerance_ms;
    case EH_PULSE_UNCLEAR:
        break;
    }
    return false;
}

static void count(struct wander_rates *rates, const struct eh_pulse_stretch *s, double truth_ms) {
    rates->runs++;
    rates->covered += truth_ms >= s->drift_ms.low && truth_ms <= s->drift_ms.high;
    rates->said[s->verdict]++;
    rates->wrong += contradicts(s, truth_ms);
    rates->width_ms += s->drift_ms.high - s->drift_ms.low;
}

struct wander_rates wander_try(const struct wander_case *what, int runs, uint64_t seed) {
    static struct scene scene; /* too large for a stack */
    struct wander_rates rates = {.runs = 0};
    struct eh_random random;
    scene = (struct scene){.exercise = NULL};
    make(&scene, what);
    eh_random_seed(&random, seed, 1);
    const int first = SOUNDING * BEATS_A_BAR;
    for (int run = 0; run < runs; run++) {
        struct eh_pulse pulse;
        play(&scene, what, &random);
        if (eh_pulse_measure(&pulse, &scene.plan, scene.matches, scene.hits, scene.silent) !=
            EH_OK) {
            stop("measure");
        }
        count(&rates, &pulse.stretches[0],
              scene.beat_ms[first + what->bars * BEATS_A_BAR] - scene.beat_ms[first]);
        eh_pulse_deinit(&pulse);
    }
    rates.width_ms /= runs;
    eh_plan_deinit(&scene.plan);
    eh_exercise_free(scene.exercise);
    free(scene.hits);
    free(scene.matches);
    return rates;
}
