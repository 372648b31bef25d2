/* A climb as one document. */
#include "climb.h"
#include "json_value.h"

enum { DECIMALS = 4 };

static void add_held(struct eh_text *out, const struct eh_ladder *ladder,
                     enum eh_ladder_stage stage) {
    struct eh_held held;
    if (!eh_ladder_held(ladder, stage, &held)) {
        eh_text_add(out, "null");
        return;
    }
    eh_text_add(out, "{ \"bpm\": ");
    report_json_number(out, held.bpm, DECIMALS);
    eh_text_add(out, ", \"interval\": ");
    report_json_range(out, held.low, held.high, DECIMALS);
    eh_text_printf(out, ", \"open_low\": %s, \"open_high\": %s, \"answers\": ",
                   report_json_bool(held.open_low), report_json_bool(held.open_high));
    report_json_number(out, held.passes, DECIMALS);
    eh_text_add(out, " }");
}

static void add_rungs(struct eh_text *out, const struct eh_ladder *ladder,
                      enum eh_ladder_stage stage) {
    const char *between = "";
    for (size_t i = 0; i < ladder->rung_count; i++) {
        const struct eh_ladder_tally *tally = &ladder->rungs[i].stages[stage];
        if (tally->clean_passes + tally->unclean_passes + tally->unclear_passes == 0) {
            continue;
        }
        eh_text_printf(out, "%s\n      { \"bpm\": ", between);
        report_json_number(out, ladder->rungs[i].bpm, DECIMALS);
        eh_text_printf(out, ", \"clean\": %u, \"not_clean\": %u, \"unclear\": %u, \"passed\": %s }",
                       (unsigned)tally->clean_passes, (unsigned)tally->unclean_passes,
                       (unsigned)tally->unclear_passes, report_json_bool(tally->passed));
        between = ",";
    }
}

static void add_stage(struct eh_text *out, const struct eh_ladder *ladder,
                      enum eh_ladder_stage stage) {
    eh_text_add(out, "    { \"stage\": ");
    report_json_string(out, eh_ladder_stage_text(stage));
    eh_text_add(out, ", \"passed_bpm\": ");
    report_json_number(out, eh_ladder_passed(ladder, stage), DECIMALS);
    eh_text_add(out, ", \"held\": ");
    add_held(out, ladder, stage);
    eh_text_add(out, ",\n      \"tempos\": [");
    add_rungs(out, ladder, stage);
    eh_text_add(out, "] }");
}

static void add_broke(struct eh_text *out, const struct eh_ladder *ladder) {
    const struct eh_ladder_fault broke = eh_ladder_broke(ladder);
    if (!broke.known) {
        eh_text_add(out, "null");
        return;
    }
    eh_text_add(out, "{ \"bpm\": ");
    report_json_number(out, broke.bpm, DECIMALS);
    eh_text_add(out, ", \"stage\": ");
    report_json_string(out, eh_ladder_stage_text((enum eh_ladder_stage)broke.stage));
    eh_text_add(out, ", \"aspect\": ");
    report_json_string(out, eh_aspect_text((enum eh_aspect)broke.aspect));
    eh_text_add(out, ", \"hand\": ");
    report_json_string(out, eh_side_text((enum eh_side)broke.side));
    eh_text_add(out, ", \"verdict\": ");
    report_json_string(out, eh_verdict_text((enum eh_verdict)broke.verdict));
    eh_text_add(out, ", \"direction\": ");
    report_json_string(out, eh_direction_text((enum eh_direction)broke.direction));
    eh_text_add(out, ",\n    \"value\": ");
    report_json_number(out, broke.e.value, DECIMALS);
    eh_text_add(out, ", \"unit\": ");
    report_json_string(out, broke.unit);
    eh_text_add(out, ", \"interval\": ");
    report_json_range(out, broke.e.low, broke.e.high, DECIMALS);
    eh_text_add(out, ", \"limit\": ");
    report_json_range(out, broke.limit_low, broke.limit_high, DECIMALS);
    eh_text_printf(out, ", \"n\": %zu, \"passes\": %u }", broke.e.n, (unsigned)broke.passes);
}

enum eh_status eh_report_climb_json(const struct eh_report_climb *climb, struct eh_text *out) {
    const struct eh_ladder *ladder = climb->ladder;
    eh_text_add(out, "{\n  \"format\": \"evenhand-climb/1\",\n  \"exercise\": ");
    report_json_string(out, climb->title);
    eh_text_add(out, ",\n  \"style\": ");
    report_json_string(out, climb->style);
    eh_text_add(out, ", \"from_bpm\": ");
    report_json_number(out, ladder->request.from_bpm, DECIMALS);
    eh_text_add(out, ", \"to_bpm\": ");
    report_json_number(out, ladder->request.to_bpm, DECIMALS);
    eh_text_add(out, ", \"step_bpm\": ");
    report_json_number(out, ladder->request.step_bpm, DECIMALS);
    eh_text_printf(out,
                   ",\n  \"passes\": %d, \"earlier_passes\": %u, \"end\": ", (int)ladder->passes,
                   (unsigned)climb->earlier_passes);
    report_json_string(out, eh_ladder_end_text((enum eh_ladder_end)ladder->step.end));
    eh_text_add(out, ", \"next_bpm\": ");
    report_json_number(out, ladder->step.bpm, DECIMALS);
    eh_text_add(out, ",\n  \"stages\": [\n");
    if (ladder->request.hand_motion) {
        add_stage(out, ladder, EH_STAGE_HAND_MOTION);
        eh_text_add(out, ",\n");
    }
    add_stage(out, ladder, EH_STAGE_PLAYED);
    eh_text_add(out, "\n  ],\n  \"broke\": ");
    add_broke(out, ladder);
    eh_text_add(out, "\n}\n");
    return eh_text_status(out);
}
