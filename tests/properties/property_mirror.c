#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "compare.h"
#include "property.h"
#include "sheet.h"

static void mirror(struct sample *s) {
    struct eh_exercise *mirrored = sheet_mirrored(s->exercise);
    eh_exercise_free(s->exercise);
    s->exercise = mirrored;
    for (int note = 0; note < 128; note++) {
        uint8_t *zone = &s->pad.zones[note];
        *zone = *zone == EH_ZONE_LEFT    ? EH_ZONE_RIGHT
                : *zone == EH_ZONE_RIGHT ? EH_ZONE_LEFT
                                         : *zone;
    }
}

static uint8_t other_side(uint8_t side) {
    return side == EH_SIDE_LEFT ? EH_SIDE_RIGHT : side == EH_SIDE_RIGHT ? EH_SIDE_LEFT : side;
}

static uint8_t other_direction(uint8_t direction) {
    switch (direction) {
    case EH_DIRECTION_LEFT_LATE:
        return EH_DIRECTION_RIGHT_LATE;
    case EH_DIRECTION_RIGHT_LATE:
        return EH_DIRECTION_LEFT_LATE;
    case EH_DIRECTION_LEFT_SOFT:
        return EH_DIRECTION_RIGHT_SOFT;
    case EH_DIRECTION_RIGHT_SOFT:
        return EH_DIRECTION_LEFT_SOFT;
    default:
        return direction;
    }
}

/* The hand that a sentence speaks of stands at its beginning. */
static void swap_words(char *text) {
    static const char *const heads[][2] = {{"left ", "right "},
                                           {"the left hand ", "the right hand "}};
    for (int i = 0; i < 4; i++) {
        const char *from = heads[i / 2][i % 2];
        const char *to = heads[i / 2][1 - i % 2];
        if (strncmp(text, from, strlen(from)) == 0) {
            char rest[EH_FINDING_TEXT];
            (void)snprintf(rest, sizeof rest, "%s", text + strlen(from));
            (void)snprintf(text, EH_FINDING_TEXT, "%s%.440s", to, rest);
            return;
        }
    }
}

/* A buzz's sentence says further on which hand is the softer one. */
static void swap_softer(char *text) {
    static const char *const softer[] = {"; left presses are ", "; right presses are "};
    for (int i = 0; i < 2; i++) {
        char *at = strstr(text, softer[i]);
        if (at != NULL) {
            char rest[EH_FINDING_TEXT];
            (void)snprintf(rest, sizeof rest, "%s", at + strlen(softer[i]));
            (void)snprintf(at, EH_FINDING_TEXT - (size_t)(at - text), "%s%s", softer[1 - i], rest);
            return;
        }
    }
}

static bool compares_hands(const struct eh_finding *f) {
    return f->aspect == EH_ASPECT_HAND_LEVEL || f->aspect == EH_ASPECT_HAND_TIMING;
}

/* "-1 to 5 dB, left less right": the reason's numbers keep their direction. */
static void cut_reason(struct eh_finding *f) {
    char *reason = strchr(f->text, ';');
    if (compares_hands(f) && reason != NULL) {
        *reason = '\0';
    }
}

static void swap_finding(struct eh_finding *f) {
    f->side = other_side(f->side);
    f->direction = other_direction(f->direction);
    if (compares_hands(f)) {
        const double low = f->low;
        f->value = -f->value;
        f->low = -f->high;
        f->high = -low;
    }
    swap_words(f->text);
    swap_softer(f->text);
}

static int by_question(const void *a, const void *b) {
    const struct eh_finding *x = a;
    const struct eh_finding *y = b;
    return x->aspect != y->aspect ? (int)x->aspect - (int)y->aspect : (int)x->side - (int)y->side;
}

static bool mirrored(struct eh_judgement *a, struct eh_judgement *b, struct eh_text *why) {
    for (size_t i = 0; i < a->finding_count; i++) {
        swap_finding(&a->findings[i]);
        cut_reason(&a->findings[i]);
    }
    for (size_t i = 0; i < b->finding_count; i++) {
        cut_reason(&b->findings[i]);
    }
    qsort(a->findings, a->finding_count, sizeof a->findings[0], by_question);
    if (!compare_matches(a->matches, b->matches, a->plan.due_count, why) ||
        !compare_fates(a->fates, b->fates, a->take->count, why) ||
        !compare_findings(a, b, 1e-9, why)) {
        return false;
    }
    if (a->course_count != b->course_count || !compare_near(a->offset_ms, b->offset_ms, 0.0) ||
        !compare_near(a->drift_percent, b->drift_percent, 1e-9)) {
        eh_text_printf(why, "offset %.9f ms, drift %.9f %%, %zu courses; then %.9f, %.9f, %zu",
                       a->offset_ms, a->drift_percent, a->course_count, b->offset_ms,
                       b->drift_percent, b->course_count);
        return false;
    }
    return true;
}

bool property_mirror(const struct sample *sample, struct eh_text *why) {
    struct sample other;
    enum eh_status status = EH_OK;
    enum eh_status other_status = EH_OK;
    sample_copy(&other, sample);
    mirror(&other);
    struct eh_judgement *a = sample_judge(sample, &status);
    struct eh_judgement *b = sample_judge(&other, &other_status);
    bool same = status == other_status;
    if (!same) {
        eh_text_printf(why, "%s, then %s", eh_status_text(status), eh_status_text(other_status));
    } else if (a != NULL) {
        same = mirrored(a, b, why);
    }
    eh_judgement_free(a);
    eh_judgement_free(b);
    sample_deinit(&other);
    return same;
}
