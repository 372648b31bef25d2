/* The pulse as a member of the judgement document. */
#include "evenhand/pulse.h"

#include "json.h"
#include "json_value.h"

static void add_estimate(struct eh_text *out, const char *name, const struct eh_estimate *e) {
    eh_text_printf(out, "\"%s\": { \"value\": ", name);
    report_json_number(out, e->value, 3);
    eh_text_add(out, ", \"interval\": ");
    if (e->low == e->low && e->high == e->high) {
        eh_text_add(out, "[");
        report_json_number(out, e->low, 3);
        eh_text_add(out, ", ");
        report_json_number(out, e->high, 3);
        eh_text_add(out, "]");
    } else {
        eh_text_add(out, "null");
    }
    eh_text_add(out, " }");
}

static void add_verdict(struct eh_text *out, const struct eh_estimate *drift_ms,
                        const struct eh_estimate *tempo_percent, double tolerance_ms,
                        uint8_t verdict) {
    add_estimate(out, "drift_ms", drift_ms);
    eh_text_add(out, ", ");
    add_estimate(out, "tempo_percent", tempo_percent);
    eh_text_add(out, ", \"tolerance_ms\": ");
    report_json_number(out, tolerance_ms, 3);
    eh_text_printf(out, ", \"n\": %zu, \"verdict\": \"%s\"", drift_ms->n,
                   eh_pulse_text((enum eh_pulse_verdict)verdict));
}

static void add_stretch(struct eh_text *out, const struct eh_pulse_stretch *s) {
    eh_text_printf(out, "      { \"pass\": %d, \"bars\": [%d, %d], \"length\": %zu, ",
                   (int)s->pass + 1, (int)s->first_written, (int)s->last_written, s->bar_count);
    add_verdict(out, &s->drift_ms, &s->tempo_percent, s->tolerance_ms, s->verdict);
    eh_text_add(out, ", \"back\": ");
    if (s->returned) {
        eh_text_add(out, "{ ");
        add_estimate(out, "offset_ms", &s->return_ms);
        eh_text_add(out, ", \"beats\": ");
        if (s->beats_back == EH_PULSE_NOT_BACK) {
            eh_text_add(out, "null }");
        } else {
            eh_text_printf(out, "%d }", (int)s->beats_back);
        }
    } else {
        eh_text_add(out, "null");
    }
    eh_text_add(out, " }");
}

static void add_length(struct eh_text *out, const struct eh_pulse_length *l) {
    eh_text_printf(out, "      { \"bars\": %zu, \"stretches\": %zu, ", l->bars, l->stretches);
    add_verdict(out, &l->drift_ms, &l->tempo_percent, l->tolerance_ms, l->verdict);
    eh_text_add(out, " }");
}

static void add_count(struct eh_text *out, const char *name, size_t bars) {
    if (bars > 0) {
        eh_text_printf(out, ", \"%s\": %zu", name, bars);
    } else {
        eh_text_printf(out, ", \"%s\": null", name);
    }
}

void report_json_pulse(struct eh_text *out, const struct eh_pulse *pulse) {
    eh_text_add(out, "  \"pulse\": { \"usual_offset_ms\": ");
    report_json_number(out, pulse->usual_ms, 3);
    eh_text_add(out, ", \"scatter_ms\": ");
    report_json_number(out, pulse->scatter_ms, 3);
    add_count(out, "held_bars", pulse->held_bars);
    add_count(out, "lost_bars", pulse->lost_bars);
    eh_text_add(out, ",\n    \"stretches\": [\n");
    for (size_t i = 0; i < pulse->stretch_count; i++) {
        add_stretch(out, &pulse->stretches[i]);
        eh_text_add(out, i + 1 < pulse->stretch_count ? ",\n" : "\n");
    }
    eh_text_add(out, "    ],\n    \"lengths\": [\n");
    for (size_t i = 0; i < pulse->length_count; i++) {
        add_length(out, &pulse->lengths[i]);
        eh_text_add(out, i + 1 < pulse->length_count ? ",\n" : "\n");
    }
    eh_text_add(out, "    ] }");
}
