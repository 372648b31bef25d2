#include "json.h"

#include "json_value.h"
#include "number.h"

static void add_place(struct eh_text *out, const struct eh_stroke *stroke) {
    eh_text_printf(out, "\"bar\": %d, \"beat\": \"%s\"", (int)stroke->bar,
                   report_beat_fraction(stroke->in_bar).text);
}

/* A buzz: its first note and every bounce that names this stroke. */
static void add_buzz_hits(struct eh_text *out, const struct eh_judgement *judgement, size_t due) {
    const struct eh_match *match = &judgement->matches[due];
    eh_text_printf(out, ", \"hits\": [%d", (int)match->hit);
    int32_t left = match->bounces;
    for (size_t i = (size_t)match->hit + 1; left > 0 && i < judgement->take->count; i++) {
        const struct eh_fate *fate = &judgement->fates[i];
        if (fate->kind == EH_FATE_BOUNCE && fate->due == due) {
            eh_text_printf(out, ", %zu", i);
            left--;
        }
    }
    eh_text_add_char(out, ']');
}

static void add_hit(struct eh_text *out, const struct eh_judgement *judgement, size_t due) {
    const struct eh_match *match = &judgement->matches[due];
    if (match->hit == EH_NO_HIT) {
        eh_text_add(out, "null");
        return;
    }
    const struct eh_hit *hit = &judgement->take->hits[match->hit];
    eh_text_printf(out, "%d", (int)match->hit);
    if (eh_plan_stroke(&judgement->plan, due)->kind == EH_KIND_BUZZ) {
        add_buzz_hits(out, judgement, due);
    }
    eh_text_add(out, ", \"offset_ms\": ");
    report_json_number(out, eh_judgement_offset_ms(judgement, due), 3);
    eh_text_printf(out, ", \"velocity\": %s, \"level_db\": ", report_velocity(hit->velocity).text);
    report_json_number(out, eh_pad_level_db(judgement->pad, eh_hit_velocity(hit)), 3);
    if (match->shift_ns != 0) {
        eh_text_printf(out, ", \"shift_ms\": %s", report_ms(match->shift_ns).text);
    }
}

static void add_stroke(struct eh_text *out, const struct eh_judgement *judgement, size_t due) {
    const struct eh_plan *plan = &judgement->plan;
    const struct eh_stroke *stroke = eh_plan_stroke(plan, due);
    eh_text_add(out, "    { ");
    add_place(out, stroke);
    if (plan->passes > 1) {
        eh_text_printf(out, ", \"pass\": %d", (int)plan->bars[plan->due[due].bar].pass + 1);
    }
    eh_text_printf(out, ", \"due_ms\": %s", report_ms(plan->due[due].at_ns).text);
    eh_text_printf(out, ", \"hand\": \"%s\", \"kind\": \"%s\", \"accent\": %s, \"hit\": ",
                   eh_hand_text((enum eh_hand)stroke->hand),
                   eh_kind_text((enum eh_kind)stroke->kind), report_json_bool(stroke->accent != 0));
    add_hit(out, judgement, due);
    eh_text_add(out, " }");
}

void report_json_strokes(struct eh_text *out, const struct eh_judgement *judgement) {
    eh_text_add(out, "  \"strokes\": [");
    for (size_t i = 0; i < judgement->plan.due_count; i++) {
        eh_text_add(out, i > 0 ? ",\n" : "\n");
        add_stroke(out, judgement, i);
    }
    eh_text_add(out, "\n  ]");
}

void report_json_unmatched(struct eh_text *out, const struct eh_judgement *judgement) {
    bool any = false;
    eh_text_add(out, "  \"unmatched\": [");
    for (size_t i = 0; i < judgement->take->count; i++) {
        const enum eh_fate_kind kind = (enum eh_fate_kind)judgement->fates[i].kind;
        if (kind == EH_FATE_EXTRA || kind == EH_FATE_DOUBLE_TRIGGER) {
            eh_text_printf(out, "%s\n    { \"hit\": %zu, \"reason\": \"%s\" }", any ? "," : "", i,
                           eh_fate_text(kind));
            any = true;
        }
    }
    eh_text_add(out, any ? "\n  ]" : "]");
}

void report_json_course(struct eh_text *out, const struct eh_judgement *judgement) {
    eh_text_add(out, "  \"course\": [");
    for (size_t i = 0; i < judgement->course_count; i++) {
        const struct eh_course *course = &judgement->courses[i];
        eh_text_printf(out, "%s\n    { \"kind\": \"%s\", ", i > 0 ? "," : "",
                       eh_course_text((enum eh_course_kind)course->kind));
        add_place(out, eh_plan_stroke(&judgement->plan, course->due));
        eh_text_printf(out, ", \"time_ms\": %s }", report_ms(course->at_ns).text);
    }
    eh_text_add(out, judgement->course_count > 0 ? "\n  ]" : "]");
}
