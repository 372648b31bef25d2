#include "made.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"

static void must(enum eh_status status, const char *what) {
    if (status != EH_OK) {
        fprintf(stderr, "%s: %s\n", what, eh_status_text(status));
        abort();
    }
}

static void hit_at(struct made *made, int64_t at_ns, double velocity, enum eh_fate_kind kind,
                   size_t due) {
    struct eh_judgement *j = &made->judgement;
    const struct eh_hit hit = {
        .at_ns = at_ns, .velocity = (uint16_t)lround(velocity * EH_VELOCITY_UNIT), .note = 38};
    must(eh_take_add(&made->take, &hit), "hit");
    j->fates = realloc(j->fates, made->take.count * sizeof *j->fates);
    if (j->fates == NULL) {
        abort();
    }
    j->fates[made->take.count - 1] = (struct eh_fate){.kind = (uint8_t)kind, .due = (uint32_t)due};
}

static void play(struct made *made) {
    struct eh_judgement *j = &made->judgement;
    for (size_t i = 0; i < j->plan.due_count; i++) {
        const struct eh_stroke *stroke = eh_plan_stroke(&j->plan, i);
        const int64_t at_ns = j->plan.due[i].at_ns + EH_NS_PER_MS;
        j->matches[i] = (struct eh_match){.hit = (int32_t)made->take.count};
        hit_at(made, at_ns, stroke->accent > 0 ? 96.0 : 64.0, EH_FATE_STROKE, i);
        if (stroke->kind == EH_KIND_BUZZ) {
            hit_at(made, at_ns + 40 * EH_NS_PER_MS, 40.0, EH_FATE_BOUNCE, i);
            hit_at(made, at_ns + 80 * EH_NS_PER_MS, 32.0, EH_FATE_BOUNCE, i);
            j->matches[i].bounces = 2;
        }
    }
}

void made_init(struct made *made, const char *text, double bpm, int passes) {
    *made = (struct made){.exercise = NULL};
    struct eh_error error = {.text = ""};
    if (eh_exercise_parse(&made->exercise, text, strlen(text), &error) != EH_OK) {
        fprintf(stderr, "exercise: %s\n", error.text);
        abort();
    }
    eh_pad_init_default(&made->pad);
    (void)snprintf(made->style.name, sizeof made->style.name, "rudimental");
    (void)snprintf(made->take.source, sizeof made->take.source, "made.mid");
    made->take.resolution_ns = EH_NS_PER_MS;
    struct eh_judgement *j = &made->judgement;
    *j = (struct eh_judgement){.exercise = made->exercise,
                               .take = &made->take,
                               .style = &made->style,
                               .pad = &made->pad,
                               .start_ns = 2 * EH_NS_PER_S,
                               .bpm = bpm,
                               .offset_ms = 1.0,
                               .drift_percent = 0.0};
    must(eh_tempo_map_init(&made->take.click, 0, j->start_ns, eh_ns_per_quarter(bpm)), "click");
    must(eh_take_add_metre(&made->take, (struct eh_metre_change){0, 4, 4}), "metre");
    const struct eh_plan_request request = {.passes = passes};
    must(eh_plan_init(&j->plan, made->exercise, &request, &made->take.click, 0, &error), "plan");
    j->matches = calloc(j->plan.due_count, sizeof *j->matches);
    if (j->matches == NULL) {
        abort();
    }
    play(made);
    j->matched = (uint32_t)j->plan.due_count;
}

void made_deinit(struct made *made) {
    eh_plan_deinit(&made->judgement.plan);
    free(made->judgement.matches);
    free(made->judgement.fates);
    free(made->judgement.courses);
    eh_take_deinit(&made->take);
    eh_exercise_free(made->exercise);
}

void made_miss(struct made *made, size_t due) {
    struct eh_judgement *j = &made->judgement;
    const size_t gone = (size_t)j->matches[due].hit;
    const size_t after = made->take.count - gone - 1;
    memmove(&made->take.hits[gone], &made->take.hits[gone + 1], after * sizeof *made->take.hits);
    memmove(&j->fates[gone], &j->fates[gone + 1], after * sizeof *j->fates);
    made->take.count--;
    for (size_t i = 0; i < j->plan.due_count; i++) {
        if (j->matches[i].hit > (int32_t)gone) {
            j->matches[i].hit--;
        }
    }
    j->matches[due].hit = EH_NO_HIT;
    j->matched--;
    j->missed++;
}

void made_append(struct made *made, double ms, double velocity, enum eh_fate_kind fate) {
    hit_at(made, made->judgement.start_ns + llround(ms * 1e6), velocity, fate, 0);
    made->judgement.extra += fate == EH_FATE_EXTRA;
    made->judgement.double_triggers += fate == EH_FATE_DOUBLE_TRIGGER;
}

void made_move(struct made *made, size_t due, double ms) {
    const struct eh_judgement *j = &made->judgement;
    made->take.hits[j->matches[due].hit].at_ns = j->plan.due[due].at_ns + llround(ms * 1e6);
}

static const char *unit_of(enum eh_aspect aspect) {
    switch (aspect) {
    case EH_ASPECT_DIDDLE_SPACING:
        return "share";
    case EH_ASPECT_FLAM_GAP:
    case EH_ASPECT_HAND_TIMING:
    case EH_ASPECT_TIMING:
        return "ms";
    case EH_ASPECT_TEMPO:
        return "percent";
    case EH_ASPECT_MISSED:
    case EH_ASPECT_STICKING:
        return "strokes";
    case EH_ASPECT_EXTRA:
    case EH_ASPECT_RIM:
        return "hits";
    case EH_ASPECT_BUZZ:
        return "notes";
    case EH_ASPECT_DIDDLE_LEVEL:
    case EH_ASPECT_ACCENT:
    case EH_ASPECT_UNMARKED_ACCENT:
    case EH_ASPECT_TAP_LEVEL:
    case EH_ASPECT_GRACE_LEVEL:
    case EH_ASPECT_HAND_LEVEL:
    case EH_ASPECT_DYNAMICS:
    case EH_ASPECT_HAIRPIN:
    case EH_ASPECT_COUNT:
        break;
    }
    return "dB";
}

static bool first_verdict(enum eh_verdict verdict) {
    switch (verdict) {
    case EH_VERDICT_EVEN:
    case EH_VERDICT_RIGHT_SIZED:
    case EH_VERDICT_NONE:
    case EH_VERDICT_RIGHT:
    case EH_VERDICT_SOFT:
    case EH_VERDICT_SUSTAINED:
    case EH_VERDICT_MATCHED:
    case EH_VERDICT_STEADY:
    case EH_VERDICT_AS_WRITTEN:
    case EH_VERDICT_SHAPED:
        return true;
    default:
        return false;
    }
}

struct eh_finding *made_find(struct made *made, enum eh_aspect aspect, enum eh_side side,
                             enum eh_verdict verdict, enum eh_direction direction) {
    struct eh_finding *f = &made->judgement.findings[made->judgement.finding_count++];
    const enum eh_fault fault = verdict == EH_VERDICT_UNCLEAR ? EH_FAULT_UNCLEAR
                                : first_verdict(verdict)      ? EH_FAULT_NO
                                                              : EH_FAULT_YES;
    *f = (struct eh_finding){.aspect = (uint8_t)aspect,
                             .side = (uint8_t)side,
                             .verdict = (uint8_t)verdict,
                             .direction = (uint8_t)direction,
                             .fault = (uint8_t)fault};
    made_numbers(f, NAN, NAN, NAN, NAN, NAN);
    (void)snprintf(f->unit, sizeof f->unit, "%s", unit_of(aspect));
    (void)snprintf(f->text, sizeof f->text, "%s: %s", eh_aspect_text(aspect),
                   eh_verdict_text(verdict));
    return f;
}

void made_numbers(struct eh_finding *finding, double value, double low, double high,
                  double limit_low, double limit_high) {
    finding->value = value;
    finding->low = low;
    finding->high = high;
    finding->limit_low = limit_low;
    finding->limit_high = limit_high;
}
