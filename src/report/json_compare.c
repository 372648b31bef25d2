/* Two judgements of one take as one document. */
#include "evenhand/report.h"
#include "json_value.h"
#include "two.h"

static void add_verdict(struct eh_text *out, const struct eh_finding *f) {
    if (f == NULL) {
        eh_text_add(out, "null");
    } else {
        report_json_string(out, eh_verdict_text((enum eh_verdict)f->verdict));
    }
}

static void add_differences(struct eh_text *out, const struct eh_judgement *first,
                            const struct eh_judgement *second) {
    struct report_two twos[REPORT_TWOS_MAX];
    const size_t count = report_pair(first, second, twos);
    size_t shown = 0;
    eh_text_add(out, "\"differences\": [");
    for (size_t i = 0; i < count; i++) {
        if (twos[i].like != REPORT_DIFFERS) {
            continue;
        }
        const struct eh_finding *f = twos[i].of[0] != NULL ? twos[i].of[0] : twos[i].of[1];
        eh_text_printf(out, "%s  { \"aspect\": \"%s\", \"hand\": \"%s\", \"verdicts\": [",
                       shown++ > 0 ? ",\n" : "\n", eh_aspect_text((enum eh_aspect)f->aspect),
                       eh_side_text((enum eh_side)f->side));
        add_verdict(out, twos[i].of[0]);
        eh_text_add(out, ", ");
        add_verdict(out, twos[i].of[1]);
        eh_text_add(out, "] }");
    }
    eh_text_add(out, shown > 0 ? "\n],\n" : "],\n");
}

enum eh_status eh_report_compare_json(const struct eh_judgement *first,
                                      const struct eh_judgement *second, struct eh_text *out) {
    eh_text_add(out, "{\n\"format\": \"evenhand-comparison/1\",\n\"styles\": [");
    report_json_string(out, first->style->name);
    eh_text_add(out, ", ");
    report_json_string(out, second->style->name);
    eh_text_add(out, "],\n");
    add_differences(out, first, second);
    eh_text_add(out, "\"judgements\": [\n");
    enum eh_status status = eh_report_json(first, out);
    eh_text_add(out, ",\n");
    if (status == EH_OK) {
        status = eh_report_json(second, out);
    }
    eh_text_add(out, "]\n}\n");
    return status == EH_OK ? eh_text_status(out) : status;
}
