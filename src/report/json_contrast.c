/* Two styles in turn as one document. */
#include <math.h>

#include "contrast_words.h"
#include "json_value.h"

enum { DECIMALS = 4 };

static void add_estimate(struct eh_text *out, const struct eh_estimate *e, double limit_low,
                         double limit_high) {
    eh_text_add(out, "\"value\": ");
    report_json_number(out, e->value, DECIMALS);
    eh_text_add(out, ", \"unit\": \"dB\"");
    eh_text_add(out, ", \"interval\": ");
    report_json_range(out, e->low, e->high, DECIMALS);
    eh_text_add(out, ", \"limit\": ");
    report_json_range(out, limit_low, limit_high, DECIMALS);
    eh_text_printf(out, ", \"n\": %zu, ", e->n);
}

static const char *fault_text(bool unclear, bool fault) {
    return unclear ? "null" : fault ? "true" : "false";
}

static void add_json_style(struct eh_text *out, const struct eh_report_contrast *c,
                           enum eh_contrast_level level) {
    const struct eh_contrast_height *h = &c->answer->heights[level];
    eh_text_add(out, "    { \"style\": ");
    report_json_string(out, contrast_name(c, level));
    eh_text_printf(out, ", \"passes\": %u, ", (unsigned)c->contrast->sides[level].passes);
    add_estimate(out, &h->height, h->limit_low, h->limit_high);
    eh_text_printf(
        out, "\"verdict\": \"%s\", \"fault\": %s }", eh_verdict_text(h->verdict),
        fault_text(h->verdict == EH_VERDICT_UNCLEAR, h->verdict != EH_VERDICT_RIGHT_SIZED));
}

static void add_runs(struct eh_text *out, const struct eh_report_contrast *c) {
    eh_text_add(out, "  \"runs\": [");
    for (size_t i = 0; i < c->run_count; i++) {
        eh_text_printf(out, "%s{ \"run\": ", i > 0 ? ", " : "");
        if (c->runs[i].number > 0) {
            eh_text_printf(out, "%lld", (long long)c->runs[i].number);
        } else {
            eh_text_add(out, "null");
        }
        eh_text_add(out, ", \"style\": ");
        report_json_string(out, contrast_name(c, c->runs[i].level));
        eh_text_add(out, " }");
    }
    eh_text_add(out, "],\n");
}

enum eh_status eh_report_contrast_json(const struct eh_report_contrast *c, struct eh_text *out) {
    const enum eh_contrast_verdict verdict = c->answer->verdict;
    struct eh_text text = {0};
    eh_text_add(out, "{\n  \"format\": \"evenhand-contrast/1\",\n  \"exercise\": ");
    report_json_string(out, c->title);
    eh_text_printf(out, ",\n  \"bars\": [%d, %d], \"bpm\": ", c->first_bar, c->last_bar);
    report_json_number(out, c->bpm, 3);
    eh_text_add(out, ",\n");
    add_runs(out, c);
    eh_text_add(out, "  \"styles\": [\n");
    add_json_style(out, c, EH_CONTRAST_LOWER);
    eh_text_add(out, ",\n");
    add_json_style(out, c, EH_CONTRAST_HIGHER);
    eh_text_add(out, "\n  ],\n  \"contrast\": { ");
    add_estimate(out, &c->answer->difference, c->contrast->least_db, (double)NAN);
    eh_text_printf(out, "\"verdict\": \"%s\", \"fault\": %s },\n",
                   eh_contrast_verdict_text(verdict),
                   fault_text(verdict == EH_CONTRAST_UNCLEAR, verdict != EH_CONTRAST_THERE));
    contrast_say(&text, c);
    eh_text_add(out, "  \"text\": ");
    report_json_string(out, eh_text_string(&text));
    eh_text_add(out, "\n}\n");
    out->failed |= text.failed;
    eh_text_deinit(&text);
    return eh_text_status(out);
}
