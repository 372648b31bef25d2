/* Whether the tempo was kept: where it began, where it went, in which bars. */
#include <math.h>

#include "number.h"
#include "phrase.h"
#include "sheet.h"

static const char *verdict_words(const struct eh_finding *f) {
    switch ((enum eh_fault)f->fault) {
    case EH_FAULT_NO:
        return "Kept";
    case EH_FAULT_YES:
        return "Not kept";
    case EH_FAULT_UNCLEAR:
        break;
    }
    return "Unclear whether it was kept";
}

static void add_change(struct eh_text *text, const struct eh_finding *f, bool no_click) {
    if (!report_known(f->value)) {
        eh_text_add(text, ".");
        return;
    }
    eh_text_printf(text, "%s %% %s (", report_fixed(fabs(f->value), 1).text,
                   f->value < 0.0 ? "slower" : "faster");
    if (report_known(f->low) && report_known(f->high)) {
        eh_text_printf(text, "90 %% interval %s to %s, ", report_bare(f, f->low).text,
                       report_bare(f, f->high).text);
    }
    eh_text_printf(text, "fine: %s %%; n=%u strokes)%s.", report_limit(f).text, (unsigned)f->n,
                   no_click ? "" : " than the click");
}

static void add_leg(struct eh_text *text, const struct eh_tempo_leg *leg) {
    const bool up = leg->percent > 0.0;
    switch ((enum eh_tempo_leg_kind)leg->kind) {
    case EH_TEMPO_RAMP:
        eh_text_add(text, up ? " Pushed " : " Dragged ");
        eh_text_add(text, leg->all ? "all through, " : "in ");
        sheet_add_bars(text, leg->first_bar, leg->last_bar);
        eh_text_add_char(text, ',');
        break;
    case EH_TEMPO_STEP:
        eh_text_printf(text, up ? " Up at once at bar %d," : " Down at once at bar %d,",
                       (int)leg->first_bar);
        break;
    case EH_TEMPO_SPELL:
        eh_text_add(text, up ? " Faster in " : " Slower in ");
        sheet_add_bars(text, leg->first_bar, leg->last_bar);
        eh_text_add(text, " and then back,");
        break;
    }
    eh_text_printf(text, " from %s to %s: %s %% (at least %s; n=%u).",
                   report_fixed(leg->from_bpm, 1).text, report_fixed(leg->to_bpm, 1).text,
                   report_signed(leg->percent, 1).text,
                   report_signed(up ? leg->low : leg->high, 1).text, (unsigned)leg->n);
}

static void add_steady(struct eh_text *text, const struct eh_tempo_course *course) {
    eh_text_printf(text, " Bar by bar between %s and %s, where a bar is known to %s %%.",
                   report_fixed(course->slowest, 1).text, report_fixed(course->quickest, 1).text,
                   report_fixed(1.645 * course->error_percent, 1).text);
}

void sheet_say_tempo(const struct sheet_desk *desk) {
    const struct eh_sheet *sheet = desk->sheet;
    const struct eh_tempo_course *course = sheet->course;
    const struct eh_finding *f = desk->asks_tempo ? &desk->tempo : NULL;
    struct eh_text text = {0};
    report_heading(&desk->paper, "Tempo");
    if (f == NULL) {
        eh_text_add(&text, "Too few strokes to ask.");
        sheet_put(&desk->paper, "", &text);
        return;
    }
    const bool went = course->leg_count > 0 && f->fault != EH_FAULT_YES;
    eh_text_add(&text, went ? "Not kept on the way" : verdict_words(f));
    if (course->known) {
        eh_text_printf(&text, ": begun at %s to the quarter, ended at %s, ",
                       report_fixed(course->begin_bpm, 1).text,
                       report_fixed(course->end_bpm, 1).text);
    } else {
        eh_text_printf(&text, ": the click gave %s to the quarter; the end is ",
                       report_fixed(sheet->judgement->bpm, 1).text);
    }
    add_change(&text, f, sheet->judgement->no_click);
    for (size_t i = 0; i < course->leg_count; i++) {
        add_leg(&text, &course->legs[i]);
    }
    if (course->known && course->leg_count == 0) {
        add_steady(&text, course);
    }
    sheet_put(&desk->paper, "", &text);
}
