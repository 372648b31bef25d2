#include "json.h"

#include <math.h>

#include "json_value.h"
#include "number.h"

enum { VALUE_DECIMALS = 4 };

static const char *fault_text(enum eh_fault fault) {
    switch (fault) {
    case EH_FAULT_NO:
        return "false";
    case EH_FAULT_YES:
        return "true";
    case EH_FAULT_UNCLEAR:
        break;
    }
    return "null";
}

/* [low, high]; null altogether when VALUE is unknown or neither end is known. */
static void add_range(struct eh_text *out, double value, double low, double high) {
    const bool known = report_known(value);
    report_json_range(out, known ? low : (double)NAN, known ? high : (double)NAN, VALUE_DECIMALS);
}

static void add_measure(struct eh_text *out, const struct eh_finding *f) {
    const bool interval = report_known(f->low) && report_known(f->high);
    eh_text_add(out, "      \"value\": ");
    report_json_number(out, f->value, VALUE_DECIMALS);
    eh_text_add(out, ", \"unit\": ");
    report_json_string(out, f->unit);
    eh_text_add(out, ", \"interval\": ");
    add_range(out, interval ? f->value : (double)NAN, f->low, f->high);
    eh_text_add(out, ", \"limit\": ");
    add_range(out, f->value, f->limit_low, f->limit_high);
    eh_text_printf(out, ", \"n\": %u,\n", (unsigned)f->n);
}

static void add_bars(struct eh_text *out, const struct eh_finding *f) {
    eh_text_add(out, "      \"bars\": [");
    for (uint32_t i = 0; i < f->bar_count && i < EH_FINDING_BARS; i++) {
        eh_text_printf(out, "%s%d", i > 0 ? ", " : "", (int)f->bars[i]);
    }
    eh_text_add(out, "], \"text\": ");
    report_json_string(out, f->text);
}

static void add_finding(struct eh_text *out, const struct eh_finding *f) {
    eh_text_printf(out, "    { \"aspect\": \"%s\", \"hand\": \"%s\", \"verdict\": \"%s\", ",
                   eh_aspect_text((enum eh_aspect)f->aspect), eh_side_text((enum eh_side)f->side),
                   eh_verdict_text((enum eh_verdict)f->verdict));
    eh_text_add(out, "\"direction\": ");
    report_json_string(out, eh_direction_text((enum eh_direction)f->direction));
    eh_text_printf(out, ", \"fault\": %s,\n", fault_text((enum eh_fault)f->fault));
    add_measure(out, f);
    add_bars(out, f);
    eh_text_add(out, " }");
}

void report_json_findings(struct eh_text *out, const struct eh_judgement *judgement) {
    eh_text_add(out, "  \"findings\": [");
    for (size_t i = 0; i < judgement->finding_count; i++) {
        eh_text_add(out, i > 0 ? ",\n" : "\n");
        add_finding(out, &judgement->findings[i]);
    }
    eh_text_add(out, judgement->finding_count > 0 ? "\n  ]" : "]");
}
