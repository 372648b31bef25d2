/* Two styles in turn: what is asked, what came of it. */
#include <math.h>

#include "contrast_words.h"
#include "evenhand/report.h"
#include "number.h"
#include "paper.h"

enum { NAME_COLUMNS = 14, ASKED_COLUMNS = 13 };

void eh_report_contrast_ask(const struct eh_style *style, int number, int count,
                            const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    struct eh_text line = {0};
    eh_text_printf(&line, "%d of %d: %s. Accents %s to %s marks above the taps (%s to %s dB).",
                   number, count, style->name, contrast_marks(style->accent_low_db).text,
                   contrast_marks(style->accent_high_db).text,
                   report_fixed(style->accent_low_db, 1).text,
                   report_fixed(style->accent_high_db, 1).text);
    eh_text_add(out, paper.colour ? "\n\x1b[1m" : "\n");
    report_wrap(&paper, "", eh_text_string(&line));
    eh_text_add(out, paper.colour ? "\x1b[0m" : "");
    out->failed |= line.failed;
    eh_text_deinit(&line);
}

void eh_report_contrast_pass(const struct eh_judgement *judgement,
                             const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    struct eh_text line = {0};
    struct eh_pool pool = {0};
    double low = 0.0;
    double high = 0.0;
    for (size_t i = 0; i < judgement->finding_count; i++) {
        if (judgement->findings[i].aspect == EH_ASPECT_ACCENT) {
            (void)eh_pool_add(&pool, &judgement->findings[i], judgement->pad->levels.scale_sd);
        }
    }
    const struct eh_estimate e = eh_pool_estimate(&pool, &low, &high);
    if (pool.passes == 0) {
        eh_text_add(&line, "accents: none was heard with unmarked strokes around it");
    } else {
        eh_text_printf(&line, "%s: accents stood %s marks above the taps (%s dB; n=%zu)",
                       judgement->style->name, contrast_marks(e.value).text,
                       report_fixed(e.value, 1).text, e.n);
    }
    if (judgement->missed > 0) {
        eh_text_printf(&line, "; %u of %zu strokes missed", (unsigned)judgement->missed,
                       judgement->plan.due_count);
    }
    report_wrap(&paper, "  ", eh_text_string(&line));
    out->failed |= line.failed;
    eh_text_deinit(&line);
}

/* ---- The table ---- */

static void add_row(const struct report_paper *paper, const char *name, const struct eh_estimate *e,
                    const char *asked, const char *verdict) {
    struct eh_text line = {0};
    eh_text_add(&line, "  ");
    report_cell(&line, name, NAME_COLUMNS);
    if (isnan(e->value)) {
        eh_text_printf(&line, "%6s%7s   %-13s%5zu", "-", "-", "-", e->n);
    } else {
        struct eh_text interval = {0};
        eh_text_printf(&interval, "%s to %s", report_fixed(e->low, 1).text,
                       report_fixed(e->high, 1).text);
        eh_text_printf(&line, "%6s%7s   %-13s%5zu", report_fixed(e->value, 1).text,
                       contrast_marks(e->value).text, eh_text_string(&interval), e->n);
        line.failed |= interval.failed;
        eh_text_deinit(&interval);
    }
    if (verdict[0] != '\0') {
        eh_text_add(&line, "   ");
        report_cell(&line, asked, ASKED_COLUMNS);
        eh_text_add(&line, verdict);
    }
    report_line(paper, eh_text_string(&line));
    paper->out->failed |= line.failed;
    eh_text_deinit(&line);
}

static void add_hands(const struct report_paper *paper, const struct eh_contrast_side *side) {
    double low = 0.0;
    double high = 0.0;
    for (int hand = 0; hand < 2; hand++) {
        const struct eh_estimate e = eh_pool_estimate(&side->hands[hand], &low, &high);
        if (side->hands[hand].passes > 0) {
            add_row(paper, hand == EH_HAND_RIGHT ? "  right" : "  left", &e, "", "");
        }
    }
}

static void add_style(const struct report_paper *paper, const struct eh_report_contrast *c,
                      enum eh_contrast_level level) {
    const struct eh_contrast_height *h = &c->answer->heights[level];
    struct eh_text asked = {0};
    if (report_known(h->limit_low) && report_known(h->limit_high)) {
        eh_text_printf(&asked, "%s to %s", report_fixed(h->limit_low, 1).text,
                       report_fixed(h->limit_high, 1).text);
    }
    add_row(paper, contrast_name(c, level), &h->height, eh_text_string(&asked),
            eh_verdict_text(h->verdict));
    add_hands(paper, &c->contrast->sides[level]);
    paper->out->failed |= asked.failed;
    eh_text_deinit(&asked);
}

static void add_table(const struct report_paper *paper, const struct eh_report_contrast *c) {
    struct eh_text asked = {0};
    report_heading(paper, "Accents above the taps around them");
    report_line(paper, "                    dB  marks   90 % interval    n   asked, dB");
    add_style(paper, c, EH_CONTRAST_LOWER);
    add_style(paper, c, EH_CONTRAST_HIGHER);
    eh_text_printf(&asked, "%s or more", report_fixed(c->contrast->least_db, 1).text);
    const char *verdict = c->answer->verdict == EH_CONTRAST_THERE    ? "there"
                          : c->answer->verdict == EH_CONTRAST_SMALL  ? "too small"
                          : c->answer->verdict == EH_CONTRAST_TURNED ? "turned round"
                                                                     : "unclear";
    add_row(paper, "difference", &c->answer->difference, eh_text_string(&asked), verdict);
    paper->out->failed |= asked.failed;
    eh_text_deinit(&asked);
}

/* "Accents by each style's own limits: right-sized in concert, under in rudimental." */
static void say_styles(struct eh_text *out, const struct eh_report_contrast *c) {
    const enum eh_verdict lower = c->answer->heights[EH_CONTRAST_LOWER].verdict;
    const enum eh_verdict higher = c->answer->heights[EH_CONTRAST_HIGHER].verdict;
    eh_text_add(out, " Accents by each style's own limits: ");
    if (lower == higher) {
        eh_text_printf(out, "%s in both.", eh_verdict_text(lower));
    } else {
        eh_text_printf(out, "%s in %s, %s in %s.", eh_verdict_text(lower),
                       contrast_name(c, EH_CONTRAST_LOWER), eh_verdict_text(higher),
                       contrast_name(c, EH_CONTRAST_HIGHER));
    }
}

/* Why a style's own answer is unclear. */
static void say_unclear(struct eh_text *out, const struct eh_report_contrast *c,
                        enum eh_contrast_level level) {
    const struct eh_contrast_height *h = &c->answer->heights[level];
    if (h->verdict != EH_VERDICT_UNCLEAR) {
        return;
    }
    eh_text_printf(out, " Unclear in %s: ", contrast_name(c, level));
    if (h->at_top) {
        eh_text_add(out, "the accents stand at the top of the pad's range.");
    } else if (!report_known(h->height.low) ||
               (double)h->height.n < c->contrast->sides[level].style->least_n) {
        eh_text_add(out, "too few accents.");
    } else {
        eh_text_printf(out, "they may stand anywhere from %s to %s dB.",
                       report_fixed(h->height.low, 1).text, report_fixed(h->height.high, 1).text);
    }
}

/* The least contrast, and why it is that. */
static void say_least(struct eh_text *out, const struct eh_report_contrast *c) {
    const struct eh_contrast_side *sides = c->contrast->sides;
    eh_text_printf(out,
                   "The least contrast, %s dB or %s marks, is the distance between the least "
                   "accents of %s (%s dB) and %s (%s dB).",
                   report_fixed(c->contrast->least_db, 1).text,
                   contrast_marks(c->contrast->least_db).text, contrast_name(c, EH_CONTRAST_LOWER),
                   report_fixed(sides[EH_CONTRAST_LOWER].style->accent_low_db, 1).text,
                   contrast_name(c, EH_CONTRAST_HIGHER),
                   report_fixed(sides[EH_CONTRAST_HIGHER].style->accent_low_db, 1).text);
}

enum eh_status eh_report_contrast(const struct eh_report_contrast *c,
                                  const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    struct eh_text line = {0};
    add_table(&paper, c);
    contrast_say(&line, c);
    say_styles(&line, c);
    say_unclear(&line, c, EH_CONTRAST_LOWER);
    say_unclear(&line, c, EH_CONTRAST_HIGHER);
    eh_text_add_char(out, '\n');
    report_wrap(&paper, "", eh_text_string(&line));
    line.length = 0;
    say_least(&line, c);
    report_wrap(&paper, "", eh_text_string(&line));
    out->failed |= line.failed;
    eh_text_deinit(&line);
    return eh_text_status(out);
}
