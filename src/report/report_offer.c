/* A proposal, and why. */
#include "evenhand/report_offer.h"

#include <math.h>
#include <stdio.h>

#include "evenhand/utc.h"
#include "number.h"
#include "paper.h"
#include "phrase.h"
#include "pooled.h"
#include "sheet.h"

static void add_day(struct eh_text *text, int64_t day) {
    int64_t year = 0;
    int month = 0;
    int of_month = 0;
    eh_civil_date(day, &year, &month, &of_month);
    eh_text_printf(text, "%04lld-%02d-%02d", (long long)year, month, of_month);
}

static void add_tempo(struct eh_text *text, double bpm) {
    const double whole = round(bpm);
    eh_text_add(text, report_fixed(bpm, fabs(bpm - whole) < 0.05 ? 0 : 1).text);
}

/* "run 12 (2026-11-20), run 14 (2026-11-22)" of those with ANSWER; four at most, the latest. */
static void add_runs(struct eh_text *text, const struct eh_report_offer *r,
                     const struct eh_offer_tempo *t, enum eh_ladder_answer answer) {
    enum { MOST = 4 };
    uint32_t count = 0;
    for (size_t i = t->first + t->count; i-- > t->first;) {
        const struct eh_offer_run *run = &r->runs[i];
        if (run->answer != (uint8_t)answer || count++ >= MOST) {
            continue;
        }
        eh_text_printf(text, "%srun %lld (", count > 1 ? ", " : "", (long long)run->number);
        add_day(text, run->day);
        eh_text_add_char(text, ')');
    }
    if (count > MOST) {
        eh_text_printf(text, " and %u more", (unsigned)(count - MOST));
    }
}

/* ---- What broke ---- */

static void add_why(struct eh_text *text, const struct eh_offer_run *run) {
    const struct eh_finding f = report_pooled(&run->why);
    if (!run->why.known) {
        return;
    }
    eh_text_printf(text, "run %lld: %s", (long long)run->number, report_verdict(&f).text);
    if (run->first_bar > 0) {
        eh_text_add(text, " in ");
        sheet_add_bars(text, run->first_bar, run->last_bar);
    }
    eh_text_printf(text, " (%s, fine: %s; n=%u)", report_measure(&f, f.value).text,
                   report_limit(&f).text, (unsigned)f.n);
}

/* Up to three runs that were not clean at T. */
static void add_whys(struct eh_text *text, const struct eh_report_offer *r,
                     const struct eh_offer_tempo *t) {
    enum { MOST = 3 };
    int count = 0;
    for (size_t i = t->first + t->count; i-- > t->first && count < MOST;) {
        if (r->runs[i].answer == EH_PASS_UNCLEAN && r->runs[i].why.known) {
            eh_text_add(text, count++ > 0 ? "; " : "");
            add_why(text, &r->runs[i]);
        }
    }
}

/* ---- The parts ---- */

static void say_head(const struct report_paper *paper, const struct eh_report_offer *r) {
    struct eh_text text = {0};
    eh_text_printf(&text, "Which tempo for: %s", r->title);
    sheet_put(paper, "", &text);
    eh_text_printf(&text, "%s style", r->style);
    eh_text_printf(&text, r->player[0] != '\0' ? ", player %s" : "%s", r->player);
    eh_text_add(&text, "; whole runs only.");
    if (r->left_out > 0) {
        eh_text_printf(&text,
                       " %u run%s left out: broken off, hits lost, or of another version of the "
                       "piece.",
                       (unsigned)r->left_out, r->left_out == 1 ? " was" : "s were");
    }
    sheet_put(paper, "", &text);
}

static void add_clean(struct eh_text *text, const struct eh_report_offer *r,
                      const struct eh_offer_tempo *t) {
    const uint32_t of = t->clean + t->unclean;
    eh_text_printf(text, "Clean there: %u of %u run%s", (unsigned)t->clean, (unsigned)of,
                   of == 1 ? "" : "s");
    if (t->unclear > 0) {
        eh_text_printf(text, " (%u more unclear)", (unsigned)t->unclear);
    }
    eh_text_add(text, ": ");
    add_runs(text, r, t, EH_PASS_CLEAN);
    eh_text_add_char(text, '.');
}

static void add_held(struct eh_text *text, const struct eh_offer *o) {
    eh_text_printf(text, " By all runs together three of four are clean at %s",
                   report_fixed(o->held.bpm, 0).text);
    eh_text_printf(text,
                   " (90 %% interval %s%s to %s%s). Wherever in it that "
                   "tempo lies: a whole run at ",
                   o->held.open_low ? "under " : "", report_fixed(o->held.low, 0).text,
                   report_fixed(o->held.high, 0).text, o->held.open_high ? " or more" : "");
    add_tempo(text, o->tempi[o->chosen].bpm);
    eh_text_printf(text, " is clean with a chance of about %s %%.",
                   report_fixed(100.0 * o->clean_chance, 0).text);
}

static void say_offer(const struct report_paper *paper, const struct eh_report_offer *r) {
    const struct eh_offer *o = r->offer;
    const struct eh_offer_tempo *t = o->kind != EH_OFFER_NONE ? &o->tempi[o->chosen] : NULL;
    struct eh_text text = {0};
    report_heading(paper, "Proposed");
    if (t == NULL) {
        eh_text_add(&text, "None: at no tempo were as many whole runs clean as were not. Slower "
                           "first, and up from there:");
        sheet_put(paper, "", &text);
        return;
    }
    add_tempo(&text, t->bpm);
    eh_text_add(&text, " to the quarter. ");
    add_clean(&text, r, t);
    if (o->kind == EH_OFFER_SINGLE) {
        eh_text_add(&text, t->clean == 1 ? " A single clean run, which may have been luck: play it "
                                           "again at this tempo before you rely on it."
                                         : " Too many there were not clean to rely on it: play it "
                                           "again at this tempo.");
    }
    add_held(&text, o);
    sheet_put(paper, "", &text);
}

static void say_above(const struct report_paper *paper, const struct eh_report_offer *r) {
    const struct eh_offer *o = r->offer;
    const size_t from = o->kind != EH_OFFER_NONE ? o->chosen + 1 : 0;
    if (from >= o->tempo_count) {
        if (o->kind != EH_OFFER_NONE) {
            report_heading(paper, "Above it");
            report_wrap(paper, "", "Nothing was played faster: more may be possible.");
        }
        return;
    }
    report_heading(paper, o->kind != EH_OFFER_NONE ? "What broke above it" : "What broke");
    for (size_t i = from; i < o->tempo_count; i++) {
        const struct eh_offer_tempo *t = &o->tempi[i];
        struct eh_text text = {0};
        add_tempo(&text, t->bpm);
        eh_text_printf(&text, ": %u of %u clean", (unsigned)t->clean,
                       (unsigned)(t->clean + t->unclean));
        eh_text_add(&text, t->unclean > 0 ? "; " : ".");
        add_whys(&text, r, t);
        eh_text_add(&text, t->unclean > 0 ? "." : " Too few clean runs to propose it.");
        sheet_put(paper, "  - ", &text);
    }
}

static void say_table(const struct report_paper *paper, const struct eh_report_offer *r) {
    report_heading(paper, "All tempi");
    report_line(paper, "   tempo  clean  not clean  unclear  latest      latest clean");
    for (size_t i = 0; i < r->offer->tempo_count; i++) {
        const struct eh_offer_tempo *t = &r->offer->tempi[i];
        struct eh_text line = {0};
        struct eh_text tempo = {0};
        add_tempo(&tempo, t->bpm);
        eh_text_printf(&line, "  %6s  %5u  %9u  %7u  ", eh_text_string(&tempo), (unsigned)t->clean,
                       (unsigned)t->unclean, (unsigned)t->unclear);
        add_day(&line, t->latest_day);
        eh_text_add(&line, "  ");
        if (t->clean > 0) {
            add_day(&line, t->latest_clean_day);
        } else {
            eh_text_add_char(&line, '-');
        }
        report_line(paper, eh_text_string(&line));
        eh_text_deinit(&tempo);
        eh_text_deinit(&line);
    }
}

static void say_parts(const struct report_paper *paper, const struct eh_report_offer *r) {
    struct eh_text text = {0};
    if (r->part_count == 0) {
        return;
    }
    eh_text_add(&text, "Of parts only, which say nothing of the whole: ");
    for (size_t i = 0; i < r->part_count; i++) {
        const struct eh_offer_part *part = &r->parts[i];
        eh_text_add(&text, i > 0 ? "; " : "");
        sheet_add_bars(&text, part->first_bar, part->last_bar);
        eh_text_printf(&text, ", %u run%s, up to ", (unsigned)part->runs,
                       part->runs == 1 ? "" : "s");
        add_tempo(&text, part->fastest_bpm);
    }
    eh_text_add_char(&text, '.');
    report_heading(paper, "Parts");
    sheet_put(paper, "", &text);
}

static void say_command(const struct report_paper *paper, const struct eh_report_offer *r) {
    const struct eh_offer *o = r->offer;
    const char *space = r->more[0] != '\0' ? " " : "";
    struct eh_text text = {0};
    report_heading(paper, "Next");
    if (o->kind == EH_OFFER_NONE) {
        const int slowest = (int)lround(o->tempi[0].bpm);
        eh_text_printf(&text, "evenhand climb %s --from %d --to %d%s%s", r->name,
                       (int)lround(0.8 * slowest), slowest, space, r->more);
    } else {
        eh_text_printf(&text, "evenhand audition %s --tempo %d%s%s", r->name,
                       (int)lround(o->tempi[o->chosen].bpm), space, r->more);
    }
    sheet_put(paper, "  ", &text);
}

enum eh_status eh_report_offer(const struct eh_report_offer *report,
                               const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    say_head(&paper, report);
    say_offer(&paper, report);
    say_above(&paper, report);
    say_table(&paper, report);
    say_parts(&paper, report);
    say_command(&paper, report);
    return eh_text_status(out);
}
