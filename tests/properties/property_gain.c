#include <math.h>

#include "chance.h"
#include "compare.h"
#include "property.h"

/* Velocities that a factor of K / 16 (K 8 .. 24) leaves exact, above the least that a pad sends and
 * below the top: 4096 .. 40960 of 65024, in steps of 16. Rim strokes have a gate in the pad's own
 * numbers, so they are struck on the head here. */
static void prepare(struct sample *s) {
    for (size_t i = 0; i < s->take.count; i++) {
        struct eh_hit *hit = &s->take.hits[i];
        const double share = fmin((double)hit->velocity / EH_VELOCITY_TOP, 1.0);
        hit->velocity = (uint16_t)((256 + lround(share * 2304.0)) * 16);
        hit->note = s->pad.zones[hit->note] == EH_ZONE_RIM ? 38 : hit->note;
    }
    s->pad.levels = (struct eh_level_map){.name = "default"};
}

static void turn(struct sample *s, int sixteenths) {
    for (size_t i = 0; i < s->take.count; i++) {
        struct eh_hit *hit = &s->take.hits[i];
        hit->velocity = (uint16_t)(hit->velocity / 16 * sixteenths);
    }
}

/* Whether one velocity makes up a third of the hits: a spread of levels may then be nothing, and
 * the last bit of a logarithm decides what is compared with what. */
static bool is_of_one_level(const struct eh_take *take) {
    for (size_t i = 0; i < take->count; i++) {
        size_t alike = 0;
        for (size_t k = 0; k < take->count; k++) {
            alike += take->hits[k].velocity == take->hits[i].velocity;
        }
        if (3 * alike > take->count) {
            return true;
        }
    }
    return false;
}

typedef bool comparison(const struct eh_judgement *a, const struct eh_judgement *b,
                        struct eh_text *why);

static bool same_numbers(const struct eh_judgement *a, const struct eh_judgement *b,
                         struct eh_text *why) {
    return is_of_one_level(a->take) ||
           (compare_matches(a->matches, b->matches, a->plan.due_count, why) &&
            compare_fates(a->fates, b->fates, a->take->count, why) &&
            compare_findings(a, b, 1e-9, why));
}

static bool holds(const struct sample *sample, comparison *same, struct eh_text *why) {
    struct chance chance = {.state = ~sample->seed};
    const int sixteenths = 8 + chance_below(&chance, 17);
    struct sample plain;
    struct sample turned;
    enum eh_status status = EH_OK;
    enum eh_status other = EH_OK;
    sample_copy(&plain, sample);
    prepare(&plain);
    sample_copy(&turned, &plain);
    turn(&turned, sixteenths);
    struct eh_judgement *a = sample_judge(&plain, &status);
    struct eh_judgement *b = sample_judge(&turned, &other);
    bool good = status == other;
    if (!good) {
        eh_text_printf(why, "%s, then %s", eh_status_text(status), eh_status_text(other));
    } else if (a != NULL) {
        good = same(a, b, why);
    }
    if (!good) {
        eh_text_printf(why, " (velocities times %d/16)", sixteenths);
    }
    eh_judgement_free(a);
    eh_judgement_free(b);
    sample_deinit(&plain);
    sample_deinit(&turned);
    return good;
}

bool property_gain(const struct sample *sample, struct eh_text *why) {
    return holds(sample, compare_verdicts, why);
}

bool property_levels(const struct sample *sample, struct eh_text *why) {
    return holds(sample, same_numbers, why);
}
