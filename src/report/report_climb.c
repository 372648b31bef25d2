/* The lines of a climb, and its end. */
#include "evenhand/report_climb.h"

#include <math.h>

#include "climb.h"
#include "phrase.h"
#include "pooled.h"

struct report_number climb_tempo(double bpm) {
    const long long hundredths = llround(bpm * 100.0);
    return report_fixed(bpm, hundredths % 100 == 0 ? 0 : hundredths % 10 == 0 ? 1 : 2);
}

void climb_add_fault(struct eh_text *out, const struct eh_ladder_fault *fault) {
    const struct eh_finding finding = report_pooled(fault);
    eh_text_printf(out, "%s: %s", report_verdict(&finding).text,
                   report_measure(&finding, finding.value).text);
    eh_text_printf(out, " (fine: %s; n=%u)", report_limit(&finding).text, (unsigned)finding.n);
}

static void wrap(const struct report_paper *paper, const char *lead, struct eh_text *text) {
    report_wrap(paper, lead, eh_text_string(text));
    paper->out->failed |= text->failed;
    eh_text_deinit(text);
}

static void add_stage(struct eh_text *text, const struct eh_ladder *ladder, uint8_t stage) {
    if (ladder->request.hand_motion) {
        eh_text_printf(text, ", %s", eh_ladder_stage_text((enum eh_ladder_stage)stage));
    }
}

static void add_aspects(struct eh_text *text, uint32_t aspects) {
    const char *between = "; what counts: ";
    for (int aspect = 0; aspect < EH_ASPECT_COUNT; aspect++) {
        if ((aspects >> aspect & 1U) != 0) {
            eh_text_printf(text, "%s%s", between, eh_aspect_text((enum eh_aspect)aspect));
            between = ", ";
        }
    }
}

static bool is_all(uint32_t aspects) {
    return aspects == (UINT32_C(1) << EH_ASPECT_COUNT) - 1;
}

static void add_rule(const struct report_paper *paper, const struct eh_report_climb *climb) {
    const struct eh_ladder_request *r = &climb->ladder->request;
    struct eh_text text = {0};
    eh_text_printf(&text, "%s, %s to", climb->style, climb_tempo(r->from_bpm).text);
    eh_text_printf(&text, " %s by", climb_tempo(r->to_bpm).text);
    eh_text_printf(&text, " %s", climb_tempo(r->step_bpm).text);
    if (climb->first_bar > 0 && climb->first_bar == climb->last_bar) {
        eh_text_printf(&text, ", bar %d", (int)climb->first_bar);
    } else if (climb->last_bar > 0) {
        eh_text_printf(&text, ", bars %d to %d", (int)(climb->first_bar > 0 ? climb->first_bar : 1),
                       (int)climb->last_bar);
    } else if (climb->first_bar > 0) {
        eh_text_printf(&text, ", from bar %d", (int)climb->first_bar);
    }
    eh_text_printf(&text, "; %d clean pass%s up, two that are not lead back", (int)r->in_a_row,
                   r->in_a_row == 1 ? " leads" : "es in a row lead");
    if (r->hand_motion) {
        eh_text_add(&text, "; hand motion first");
    }
    if (!is_all(r->aspects)) {
        add_aspects(&text, r->aspects);
    }
    eh_text_add(&text, ".");
    wrap(paper, "", &text);
}

void eh_report_climb_head(const struct eh_report_climb *climb, const struct eh_report_look *look,
                          struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    report_wrap(&paper, "", climb->title);
    add_rule(&paper, climb);
    if (climb->earlier_passes > 0) {
        struct eh_text text = {0};
        eh_text_printf(&text, "Goes on from %u pass%s of %u earlier sitting%s",
                       (unsigned)climb->earlier_passes, climb->earlier_passes == 1 ? "" : "es",
                       (unsigned)climb->earlier_sittings, climb->earlier_sittings == 1 ? "" : "s");
        eh_text_printf(&text, ", at %s; --anew begins anew.",
                       climb_tempo(climb->ladder->step.bpm).text);
        wrap(&paper, "", &text);
    }
}

void eh_report_climb_next(const struct eh_report_climb *climb, double bpm,
                          enum eh_ladder_stage stage, const struct eh_report_look *look,
                          struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    struct eh_text text = {0};
    eh_text_printf(&text, "%s to the quarter", climb_tempo(bpm).text);
    add_stage(&text, climb->ladder, (uint8_t)stage);
    eh_text_add(out, paper.colour ? "\x1b[1m" : "");
    wrap(&paper, "Next: ", &text);
    eh_text_add(out, paper.colour ? "\x1b[0m" : "");
}

void eh_report_climb_pass(const struct eh_report_climb *climb, int number,
                          const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    const struct eh_ladder_step *step = &climb->ladder->step;
    struct eh_text text = {0};
    struct eh_text lead = {0};
    eh_text_printf(&lead, "  pass %d  ", number);
    eh_text_printf(&text, "%s%s", step->answer == EH_PASS_UNCLEAN ? "not clean " : "",
                   step->reason);
    wrap(&paper, eh_text_string(&lead), &text);
    out->failed |= lead.failed;
    eh_text_deinit(&lead);
}

/* ---- The end ---- */

static void add_held(const struct report_paper *paper, const struct eh_ladder *ladder,
                     enum eh_ladder_stage stage) {
    struct eh_held held;
    struct eh_text text = {0};
    if (!eh_ladder_held(ladder, stage, &held)) {
        eh_text_add(&text, "No pass was decided, so there is no estimate.");
        wrap(paper, "", &text);
        return;
    }
    if (held.open_high) {
        eh_text_printf(&text, "Tempo held: %s or more", report_fixed(held.low, 0).text);
        eh_text_add(&text, ", no tempo was fast enough to fail");
    } else if (held.open_low) {
        eh_text_printf(&text, "Tempo held: %s or less", report_fixed(held.high, 0).text);
        eh_text_add(&text, ", no tempo was slow enough to hold");
    } else {
        eh_text_printf(&text, "Tempo held: %s to the quarter,", report_fixed(held.bpm, 0).text);
        eh_text_printf(&text, " 90 %% interval %s to", report_fixed(held.low, 1).text);
        eh_text_printf(&text, " %s", report_fixed(held.high, 1).text);
    }
    eh_text_printf(&text, " (n=%s answer%s). There three passes of four are clean.",
                   report_fixed(held.passes, held.passes == floor(held.passes) ? 0 : 1).text,
                   held.passes == 1.0 ? "" : "s");
    wrap(paper, "", &text);
}

static void add_passed(const struct report_paper *paper, const struct eh_ladder *ladder,
                       enum eh_ladder_stage stage) {
    const double bpm = eh_ladder_passed(ladder, stage);
    struct eh_text text = {0};
    if (isnan(bpm)) {
        eh_text_add(&text, "No tempo was passed in this sitting.");
    } else {
        eh_text_printf(&text, "Highest tempo passed in this sitting: %s.", climb_tempo(bpm).text);
    }
    wrap(paper, "", &text);
}

static void add_broke(const struct report_paper *paper, const struct eh_ladder *ladder) {
    const struct eh_ladder_fault broke = eh_ladder_broke(ladder);
    struct eh_text text = {0};
    if (!broke.known) {
        eh_text_add(&text, "Nothing broke: no tempo failed that was not passed afterwards.");
    } else {
        eh_text_printf(&text, "What broke first: at %s", climb_tempo(broke.bpm).text);
        add_stage(&text, ladder, broke.stage);
        eh_text_add(&text, ", ");
        climb_add_fault(&text, &broke);
        eh_text_printf(&text, ", in %u pass%s.", (unsigned)broke.passes,
                       broke.passes == 1 ? "" : "es");
    }
    wrap(paper, "", &text);
}

static void add_next_time(const struct report_paper *paper, const struct eh_ladder *ladder) {
    struct eh_text text = {0};
    eh_text_printf(&text, "Another day it goes on at %s", climb_tempo(ladder->step.bpm).text);
    add_stage(&text, ladder, ladder->request.hand_motion ? (uint8_t)EH_STAGE_HAND_MOTION : 0);
    eh_text_add(&text, ".");
    wrap(paper, "", &text);
}

enum eh_status eh_report_climb(const struct eh_report_climb *climb,
                               const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    const struct eh_ladder *ladder = climb->ladder;
    struct eh_text text = {0};
    eh_text_printf(&text, "The climb of %d pass%s: %s", (int)ladder->passes,
                   ladder->passes == 1 ? "" : "es",
                   eh_ladder_end_text((enum eh_ladder_end)ladder->step.end));
    report_heading(&paper, eh_text_string(&text));
    out->failed |= text.failed;
    eh_text_deinit(&text);
    for (int stage = EH_STAGE_COUNT - 1; stage >= 0; stage--) {
        if (stage == EH_STAGE_HAND_MOTION && !ladder->request.hand_motion) {
            continue;
        }
        if (ladder->request.hand_motion) {
            report_heading(&paper, stage == EH_STAGE_HAND_MOTION ? "Hand motion" : "As written");
        }
        add_held(&paper, ladder, (enum eh_ladder_stage)stage);
        add_passed(&paper, ladder, (enum eh_ladder_stage)stage);
        climb_plot(&paper, ladder, (enum eh_ladder_stage)stage);
    }
    eh_text_add(out, "\n");
    add_broke(&paper, ladder);
    add_next_time(&paper, ladder);
    return eh_text_status(out);
}
