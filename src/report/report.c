/* The end report. */
#include "evenhand/report.h"
#include "evenhand/report_pulse.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"
#include "offset.h"
#include "paper.h"
#include "phrase.h"
#include "rank.h"
#include "table.h"
#include "way.h"

/* More than three things at once nobody can practise. Common practice, no source. */
enum { FIRST_MOST = 3 };

/* TEXT with a capital at its beginning and a full stop at its end. */
static void add_sentence(struct eh_text *out, const char *text) {
    if (text[0] >= 'a' && text[0] <= 'z') {
        eh_text_add_char(out, (char)(text[0] - 'a' + 'A'));
        text++;
    }
    eh_text_add(out, text);
    const size_t length = strlen(text);
    if (length > 0 && strchr(".!?", text[length - 1]) == NULL) {
        eh_text_add_char(out, '.');
    }
}

/* Writes a sentence as a paragraph and empties it. */
static void put(const struct report_paper *paper, const char *lead, struct eh_text *sentence) {
    report_wrap(paper, lead, eh_text_string(sentence));
    paper->out->failed |= sentence->failed;
    eh_text_deinit(sentence);
}

static void add_head(const struct report_paper *paper, const struct eh_judgement *judgement) {
    const struct eh_plan *plan = &judgement->plan;
    struct eh_text line = {0};
    report_wrap(paper, "", eh_exercise_title(judgement->exercise));
    eh_text_printf(&line, "%s style, %s to the quarter", judgement->style->name,
                   report_bpm(judgement->bpm).text);
    eh_text_add(&line, judgement->no_click ? " without a click" : "");
    const int last = (int)plan->bars[plan->bar_count - 1].written;
    eh_text_printf(&line, plan->bars[0].written == last ? ", bar %d" : ", bars %d to %d",
                   (int)plan->bars[0].written, last);
    if (plan->passes > 1) {
        eh_text_printf(&line, ", %d passes", (int)plan->passes);
    }
    if (judgement->take->source[0] != '\0') {
        eh_text_printf(&line, "; from %s", judgement->take->source);
    }
    put(paper, "", &line);
}

/* The finding's own sentence; what it cannot hold is how sure the number is. */
static void add_fault(const struct report_paper *paper, const char *lead,
                      const struct eh_finding *f) {
    struct eh_text text = {0};
    add_sentence(&text, f->text);
    if (report_known(f->low) && report_known(f->high) && f->low < f->high) {
        eh_text_printf(&text, " 90 %% interval %s to %s.", report_bare(f, f->low).text,
                       report_measure(f, f->high).text);
    }
    put(paper, lead, &text);
}

static void add_no_fault(const struct report_paper *paper, const struct eh_judgement *judgement) {
    const struct eh_report_tally tally = eh_report_tally(judgement);
    struct eh_text text = {0};
    eh_text_add(&text, "Nothing that needs work was found");
    if (tally.unclear > 0) {
        eh_text_printf(&text, "; %u of %u questions stay open, see below", (unsigned)tally.unclear,
                       (unsigned)(tally.unclear + tally.fine));
    }
    eh_text_add_char(&text, '.');
    put(paper, "", &text);
}

static void add_faults(const struct report_paper *paper, const struct eh_judgement *judgement) {
    size_t order[EH_FINDINGS_MAX];
    const size_t count = report_order(judgement, EH_FAULT_YES, order);
    report_heading(paper, "Work on this first");
    if (count == 0) {
        add_no_fault(paper, judgement);
    }
    for (size_t i = 0; i < count; i++) {
        char lead[32];
        (void)snprintf(lead, sizeof lead, "%2zu. ", i + 1);
        if (i == FIRST_MOST) {
            report_heading(paper, "Later");
        }
        add_fault(paper, lead, &judgement->findings[order[i]]);
    }
}

static void add_fine_one(const struct report_paper *paper, const struct eh_finding *f) {
    const struct report_phrase limit = report_limit(f);
    struct eh_text text = {0};
    eh_text_printf(&text, "%s: %s (", report_verdict(f).text, report_measure(f, f->value).text);
    if (limit.text[0] != '\0') {
        eh_text_printf(&text, "fine: %s; ", limit.text);
    }
    eh_text_printf(&text, "n=%u)", (unsigned)f->n);
    put(paper, "  - ", &text);
}

static void add_fine(const struct report_paper *paper, const struct eh_judgement *judgement) {
    size_t order[EH_FINDINGS_MAX];
    const size_t count = report_order(judgement, EH_FAULT_NO, order);
    if (count > 0) {
        report_heading(paper, "Fine");
    }
    for (size_t i = 0; i < count; i++) {
        add_fine_one(paper, &judgement->findings[order[i]]);
    }
}

static void add_unclear(const struct report_paper *paper, const struct eh_judgement *judgement) {
    size_t order[EH_FINDINGS_MAX];
    const size_t count = report_order(judgement, EH_FAULT_UNCLEAR, order);
    if (count > 0) {
        report_heading(paper, "Unclear, and why");
    }
    for (size_t i = 0; i < count; i++) {
        struct eh_text text = {0};
        add_sentence(&text, judgement->findings[order[i]].text);
        put(paper, "  - ", &text);
    }
}

static const char *plural(uint32_t count) {
    return count == 1 ? "" : "s";
}

static void add_counts(const struct report_paper *paper, const struct eh_judgement *judgement) {
    struct eh_text text = {0};
    eh_text_printf(&text, "%zu stroke%s due, %u heard, %u missed; %u extra hit%s.",
                   judgement->plan.due_count, plural((uint32_t)judgement->plan.due_count),
                   (unsigned)judgement->matched, (unsigned)judgement->missed,
                   (unsigned)judgement->extra, plural(judgement->extra));
    if (judgement->double_triggers > 0) {
        eh_text_printf(&text, " %u double trigger%s of the pad left out.",
                       (unsigned)judgement->double_triggers, plural(judgement->double_triggers));
    }
    if (judgement->take->dropped > 0) {
        eh_text_printf(&text,
                       " %u hit%s lost on the way into the program: this take is not reliable.",
                       (unsigned)judgement->take->dropped, plural(judgement->take->dropped));
    }
    put(paper, "", &text);
}

/* "12.3 ms behind the click" */
static void add_offset(struct eh_text *text, double offset) {
    const struct report_number size = report_fixed(fabs(offset), 1);
    const bool none = strcmp(size.text, "0.0") == 0;
    eh_text_printf(text, "%s ms %s the click", size.text,
                   none           ? "from"
                   : offset < 0.0 ? "before"
                                  : "behind");
}

/* The constant part of the playing is told once, and as what it is. */
static void add_place(const struct report_paper *paper, const struct eh_judgement *judgement,
                      int64_t played_utc_s) {
    struct eh_text text = {0};
    const double own = report_own_offset_ms(judgement);
    if (report_known(judgement->offset_ms)) {
        eh_text_add(&text, "On the whole ");
        add_offset(&text, judgement->offset_ms);
        eh_text_add(&text, ", playing and delay of the sound together; ");
        if (report_known(own)) {
            eh_text_add(&text, "against your calibration ");
            add_offset(&text, own);
            eh_text_add(&text, "; ");
        }
        eh_text_add(&text, "taken off before anything else was judged.");
    }
    if (judgement->no_click) {
        eh_text_add(&text, "Without a click: times are against your own tempo, a curve that bends "
                           "over two bars and more.");
    }
    if (report_known(judgement->drift_percent)) {
        eh_text_printf(&text, " Tempo at the end against the %s: %s %%, faster positive.",
                       judgement->no_click ? "beginning" : "click",
                       report_signed(judgement->drift_percent, 1).text);
    }
    eh_text_printf(&text, " Levels in dB by the map \"%s\" of ", judgement->pad->levels.name);
    eh_report_pad(judgement->pad, played_utc_s, &text);
    eh_text_add(&text, "; another map gives other numbers.");
    put(paper, "", &text);
}

static enum eh_status add_all(const struct eh_judgement *judgement,
                              const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    add_head(&paper, judgement);
    add_faults(&paper, judgement);
    add_fine(&paper, judgement);
    add_unclear(&paper, judgement);
    report_way(&paper, judgement);
    const enum eh_status status = report_tables(&paper, judgement);
    if (status != EH_OK) {
        return status;
    }
    report_heading(&paper, "Totals");
    add_counts(&paper, judgement);
    add_place(&paper, judgement, look == NULL ? 0 : look->played_utc_s);
    return eh_text_status(out);
}

enum eh_status eh_report_judgement(const struct eh_judgement *judgement,
                                   const struct eh_report_look *look, struct eh_text *out) {
    return eh_report_judgement_pulse(judgement, NULL, look, out);
}

enum eh_status eh_report_judgement_pulse(const struct eh_judgement *judgement,
                                         const struct eh_pulse *pulse,
                                         const struct eh_report_look *look, struct eh_text *out) {
    enum eh_status status = add_all(judgement, look, out);
    if (status == EH_OK && pulse != NULL && pulse->stretch_count > 0) {
        status = eh_report_pulse(pulse, &judgement->plan, look, out);
    }
    if (status != EH_OK) {
        return status;
    }
    eh_report_caution(look, out);
    return eh_text_status(out);
}
