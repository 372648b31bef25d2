#include "json.h"

#include "evenhand/report.h"
#include "evenhand/report_pulse.h"
#include "evenhand/utc.h"
#include "json_value.h"
#include "number.h"
#include "offset.h"

static void add_exercise(struct eh_text *out, const struct eh_judgement *judgement) {
    size_t strokes = 0;
    (void)eh_exercise_strokes(judgement->exercise, &strokes);
    eh_text_add(out, "  \"exercise\": { \"title\": ");
    report_json_string(out, eh_exercise_title(judgement->exercise));
    eh_text_printf(out, ", \"bars\": %d, \"strokes\": %zu, \"passes\": %d },\n",
                   eh_exercise_bar_count(judgement->exercise), strokes,
                   (int)judgement->plan.passes);
}

static void add_take(struct eh_text *out, const struct eh_judgement *judgement) {
    const struct eh_take *take = judgement->take;
    eh_text_add(out, "  \"take\": { \"source\": ");
    report_json_string(out, take->source);
    eh_text_printf(out, ", \"hits\": %zu, \"start_ms\": %s, \"resolution_ms\": ", take->count,
                   report_ms(judgement->start_ns).text);
    report_json_number(out, (double)take->resolution_ns / (double)EH_NS_PER_MS, 6);
    eh_text_printf(out, ", \"reliable\": %s, \"dropped\": %u },\n",
                   report_json_bool(take->dropped == 0), (unsigned)take->dropped);
}

/* 0 stands for what is not known. */
static void add_velocity(struct eh_text *out, const char *key, double velocity) {
    eh_text_printf(out, ", \"%s\": ", key);
    if (velocity > 0.0) {
        report_json_number(out, velocity, 3);
    } else {
        eh_text_add(out, "null");
    }
}

/* What the levels rest on: another map would give other decibels. */
static void add_pad(struct eh_text *out, const struct eh_pad *pad) {
    eh_text_add(out, "  \"pad\": { \"name\": ");
    report_json_string(out, pad->name);
    eh_text_add(out, ", \"level_map\": ");
    report_json_string(out, pad->levels.name);
    eh_text_add(out, ", \"calibrated\": ");
    if (pad->calibrated_utc_s > 0) {
        eh_text_add_char(out, '"');
        eh_utc_print(pad->calibrated_utc_s, out);
        eh_text_add_char(out, '"');
    } else {
        eh_text_add(out, "null");
    }
    eh_text_add(out, ", \"level_scale_sd\": ");
    report_json_number(out, pad->levels.scale_sd, 4);
    add_velocity(out, "floor_velocity", pad->floor_velocity);
    add_velocity(out, "top_velocity", pad->top_velocity);
    eh_text_printf(out, ", \"delay_ms\": %s",
                   pad->delay_ns == 0 ? "null" : report_ms(pad->delay_ns).text);
    eh_text_printf(out, ", \"clock_ms\": %s },\n",
                   pad->clock_ns == 0 ? "null" : report_ms(pad->clock_ns).text);
}

static void add_tempo(struct eh_text *out, const struct eh_judgement *judgement) {
    eh_text_add(out, "  \"tempo\": { \"bpm\": ");
    report_json_number(out, judgement->bpm, 3);
    eh_text_add(out, ", \"offset_ms\": ");
    report_json_number(out, judgement->offset_ms, 3);
    if (judgement->pad->delay_ns != 0) {
        eh_text_add(out, ", \"player_offset_ms\": ");
        report_json_number(out, report_own_offset_ms(judgement), 3);
    }
    eh_text_add(out, ", \"drift_percent\": ");
    report_json_number(out, judgement->drift_percent, 3);
    if (judgement->no_click) {
        eh_text_add(out, ", \"click\": false, \"wander_percent\": ");
        report_json_number(out, judgement->free_tempo.wander_percent, 3);
    }
    eh_text_add(out, " },\n");
}

static void add_counts(struct eh_text *out, const struct eh_judgement *judgement) {
    eh_text_printf(out,
                   "  \"counts\": { \"strokes\": %zu, \"matched\": %u, \"missed\": %u, "
                   "\"extra\": %u, \"double_triggers\": %u },\n",
                   judgement->plan.due_count, (unsigned)judgement->matched,
                   (unsigned)judgement->missed, (unsigned)judgement->extra,
                   (unsigned)judgement->double_triggers);
}

enum eh_status eh_report_json_pulse(const struct eh_judgement *judgement,
                                    const struct eh_pulse *pulse, struct eh_text *out) {
    eh_text_add(out, "{\n  \"format\": \"evenhand-judgement/1\",\n");
    add_exercise(out, judgement);
    add_take(out, judgement);
    eh_text_add(out, "  \"style\": ");
    report_json_string(out, judgement->style->name);
    eh_text_add(out, ",\n");
    add_pad(out, judgement->pad);
    add_tempo(out, judgement);
    add_counts(out, judgement);
    report_json_findings(out, judgement);
    eh_text_add(out, ",\n");
    if (pulse->stretch_count > 0) {
        report_json_pulse(out, pulse);
        eh_text_add(out, ",\n");
    }
    report_json_strokes(out, judgement);
    eh_text_add(out, ",\n");
    report_json_unmatched(out, judgement);
    eh_text_add(out, ",\n");
    report_json_course(out, judgement);
    eh_text_add(out, "\n}\n");
    return eh_text_status(out);
}

enum eh_status eh_report_json(const struct eh_judgement *judgement, struct eh_text *out) {
    static const struct eh_pulse none = {.stretch_count = 0};
    return eh_report_json_pulse(judgement, &none, out);
}
