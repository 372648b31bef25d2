/* The sheet, part by part. */
#include "evenhand/report_sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "number.h"
#include "phrase.h"
#include "sheet.h"
#include "way.h"

static void find_bars(struct sheet_desk *desk) {
    const struct eh_plan *plan = &desk->sheet->judgement->plan;
    desk->first_bar = desk->last_bar = plan->bars[0].written;
    for (size_t i = 0; i < plan->bar_count; i++) {
        const int32_t bar = plan->bars[i].written;
        desk->first_bar = bar < desk->first_bar ? bar : desk->first_bar;
        desk->last_bar = bar > desk->last_bar ? bar : desk->last_bar;
    }
}

/* What is asked for: the accents tell the styles apart. */
static void add_style(struct eh_text *text, const struct eh_judgement *j) {
    bool accents = false;
    for (size_t i = 0; i < j->finding_count; i++) {
        accents = accents || j->findings[i].aspect == EH_ASPECT_ACCENT;
    }
    eh_text_printf(text, "Judged as %s", j->style->name);
    if (accents) {
        eh_text_printf(text, ", accents %s to %s dB over their taps",
                       report_fixed(j->style->accent_low_db, 1).text,
                       report_fixed(j->style->accent_high_db, 1).text);
    }
    eh_text_add(text, ". ");
}

static void say_head(const struct sheet_desk *desk, int64_t played_utc_s) {
    const struct eh_judgement *j = desk->sheet->judgement;
    const int bars = eh_exercise_bar_count(j->exercise);
    struct eh_text text = {0};
    eh_text_printf(&text, "Sheet: %s", eh_exercise_title(j->exercise));
    sheet_put(&desk->paper, "", &text);
    if (desk->sheet->played[0] != '\0') {
        eh_text_printf(&text, "%s. ", desk->sheet->played);
    }
    if (desk->first_bar == 1 && desk->last_bar == bars) {
        eh_text_printf(&text, "The whole piece, %d bars", bars);
    } else {
        eh_text_add(&text, "Not the whole piece: ");
        sheet_add_bars(&text, desk->first_bar, desk->last_bar);
        eh_text_printf(&text, " of %d", bars);
    }
    eh_text_printf(&text, "; %s. ", j->no_click ? "no click after the count-off" : "to the click");
    add_style(&text, j);
    eh_text_printf(&text, "%zu strokes written, %u heard, %u missed, %u hits extra. ",
                   j->plan.due_count, (unsigned)j->matched, (unsigned)j->missed,
                   (unsigned)j->extra);
    if (j->take->dropped > 0) {
        eh_text_printf(&text, "%u hits were lost on the way in: not reliable. ",
                       (unsigned)j->take->dropped);
    }
    eh_text_add(&text, "Heard by ");
    eh_report_pad(j->pad, played_utc_s, &text);
    eh_text_add_char(&text, '.');
    sheet_put(&desk->paper, "", &text);
}

/* ---- What fails ---- */

static void add_interval(struct eh_text *text, const struct eh_finding *f) {
    if (report_known(f->low) && report_known(f->high) && f->low < f->high) {
        eh_text_printf(text, " Interval %s to %s.", report_bare(f, f->low).text,
                       report_measure(f, f->high).text);
    }
}

static void add_in_bars(struct eh_text *text, const struct sheet_fault *fault) {
    const struct eh_finding *whole = &fault->located->finding;
    eh_text_add(text, fault->place->first_bar == fault->place->last_bar ? "Bar " : "Bars ");
    eh_text_printf(text, fault->place->first_bar == fault->place->last_bar ? "%d" : "%d to %d",
                   (int)fault->place->first_bar, (int)fault->place->last_bar);
    eh_text_add(text, ": ");
    sheet_add_sentence(text, fault->place->finding.text, false);
    eh_text_add_char(text, '.');
    add_interval(text, &fault->place->finding);
    if (whole->of_bars) {
        eh_text_printf(text, " Whole run: %s.", report_measure(whole, whole->whole).text);
    } else if (report_known(whole->value) && strcmp(whole->unit, fault->place->finding.unit) == 0) {
        eh_text_printf(text, " Whole run: %s (n=%u).", report_measure(whole, whole->value).text,
                       (unsigned)whole->n);
    }
}

static void add_all_through(struct eh_text *text, const struct sheet_fault *fault) {
    const struct eh_finding *f = &fault->located->finding;
    if (fault->located->throughout) {
        eh_text_add(text, "All through: ");
        sheet_add_sentence(text, f->text, false);
    } else {
        sheet_add_sentence(text, f->text, true);
        for (uint32_t i = 0; i < f->bar_count; i++) {
            eh_text_printf(text, "%s%d",
                           i > 0              ? ", "
                           : f->bar_count > 1 ? "; most in bars "
                                              : "; most in bar ",
                           (int)f->bars[i]);
        }
    }
    eh_text_add_char(text, '.');
    add_interval(text, f);
}

static void say_faults(const struct sheet_desk *desk) {
    size_t number = 0;
    report_heading(&desk->paper, "What fails");
    for (size_t i = 0; i < desk->faults.count; i++) {
        const struct sheet_fault *fault = &desk->faults.list[i];
        struct eh_text text = {0};
        char lead[32];
        if (fault->leg != NULL || fault->located->finding.aspect == EH_ASPECT_TEMPO) {
            continue; /* said above */
        }
        (void)snprintf(lead, sizeof lead, "%2zu. ", ++number);
        if (fault->place != NULL) {
            add_in_bars(&text, fault);
        } else {
            add_all_through(&text, fault);
        }
        sheet_put(&desk->paper, lead, &text);
    }
    if (number == 0) {
        report_wrap(&desk->paper, "",
                    desk->faults.count > 0 ? "Nothing else that is sure."
                                           : "Nothing that is sure.");
    }
}

/* ---- What holds, what stays open ---- */

static bool holds(const struct sheet_desk *desk, const struct eh_located *l) {
    const bool way = l->finding.aspect == EH_ASPECT_TEMPO && desk->sheet->course->leg_count > 0;
    return sheet_finding(desk, l)->fault == EH_FAULT_NO && l->place_count == 0 && !way;
}

/* The other hand's finding of the same words, or NULL. */
static const struct eh_finding *twin_of(const struct sheet_desk *desk, const struct eh_finding *f) {
    const struct eh_places *places = desk->sheet->places;
    for (size_t i = 0; i < places->count && f->side != EH_SIDE_BOTH; i++) {
        const struct eh_finding *g = &places->located[i].finding;
        if (g->aspect == f->aspect && g->side != f->side && g->side != EH_SIDE_BOTH &&
            g->verdict == f->verdict && holds(desk, &places->located[i])) {
            return g;
        }
    }
    return NULL;
}

static void add_hold(struct eh_text *text, const struct sheet_desk *desk,
                     const struct eh_finding *f) {
    const bool twin = twin_of(desk, f) != NULL;
    struct eh_finding said = *f;
    if (twin && f->side == EH_SIDE_RIGHT) {
        return; /* said with the left */
    }
    said.side = twin ? EH_SIDE_BOTH : f->side;
    eh_text_printf(text, "%s%s%s", text->length > 0 ? "; " : "", report_verdict(&said).text,
                   twin ? ", both hands" : "");
}

static void say_holds(const struct sheet_desk *desk) {
    const struct eh_places *places = desk->sheet->places;
    struct eh_text all = {0};
    struct eh_text text = {0};
    report_heading(&desk->paper, "What holds");
    for (size_t i = 0; i < places->count; i++) {
        if (holds(desk, &places->located[i])) {
            add_hold(&all, desk, sheet_finding(desk, &places->located[i]));
        }
    }
    sheet_add_sentence(&text, all.length > 0 ? eh_text_string(&all) : "Nothing that is sure", true);
    eh_text_add_char(&text, '.');
    sheet_put(&desk->paper, "", &text);
    eh_text_deinit(&all);
}

static void say_unclear(const struct sheet_desk *desk) {
    const struct eh_judgement *j = desk->sheet->judgement;
    bool any = false;
    for (size_t i = 0; i < j->finding_count; i++) {
        struct eh_text text = {0};
        const bool said = j->findings[i].aspect == EH_ASPECT_TEMPO &&
                          report_known(j->findings[i].value); /* under its own heading */
        if (j->findings[i].fault != EH_FAULT_UNCLEAR || said) {
            continue;
        }
        if (!any) {
            report_heading(&desk->paper, "Unclear, and why");
        }
        any = true;
        sheet_add_sentence(&text, j->findings[i].text, true);
        eh_text_add_char(&text, '.');
        sheet_put(&desk->paper, "  - ", &text);
    }
}

static void say_how(const struct sheet_desk *desk) {
    report_wrap(&desk->paper, "",
                "A fault is told when all of its 90 % interval lies beyond the limit; that of some "
                "bars is wide enough for all stretches of bars that were looked at.");
}

enum eh_status eh_report_sheet(const struct eh_sheet *sheet, const struct eh_report_look *look,
                               struct eh_text *out) {
    struct sheet_desk *desk = calloc(1, sizeof *desk);
    if (desk == NULL) {
        return EH_NO_MEMORY;
    }
    desk->sheet = sheet;
    desk->paper = report_paper(look, out);
    find_bars(desk);
    sheet_collect(desk);
    say_head(desk, look != NULL ? look->played_utc_s : 0);
    sheet_say_tempo(desk);
    say_holds(desk);
    say_faults(desk);
    report_way(&desk->paper, sheet->judgement);
    say_unclear(desk);
    sheet_say_work(desk);
    sheet_say_table(desk);
    say_how(desk);
    free(desk);
    return eh_text_status(out);
}
