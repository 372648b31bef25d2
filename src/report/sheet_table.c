/* The numbers of the sheet, a line a question. */
#include <stdio.h>
#include <string.h>

#include "phrase.h"
#include "sheet.h"

struct name {
    enum eh_aspect aspect;
    const char *text;
};

static const struct name names[] = {
    {EH_ASPECT_DIDDLE_SPACING, "seconds, place"},
    {EH_ASPECT_DIDDLE_LEVEL, "seconds, level"},
    {EH_ASPECT_ACCENT, "accents over taps"},
    {EH_ASPECT_UNMARKED_ACCENT, "unmarked strokes"},
    {EH_ASPECT_TAP_LEVEL, "taps, spread"},
    {EH_ASPECT_FLAM_GAP, "grace notes, gap"},
    {EH_ASPECT_GRACE_LEVEL, "grace notes, level"},
    {EH_ASPECT_BUZZ, "buzzes"},
    {EH_ASPECT_HAND_LEVEL, "hands, level"},
    {EH_ASPECT_HAND_TIMING, "hands, time"},
    {EH_ASPECT_TIMING, "timing, spread"},
    {EH_ASPECT_TEMPO, "tempo, change"},
    {EH_ASPECT_MISSED, "missed"},
    {EH_ASPECT_EXTRA, "extra hits"},
    {EH_ASPECT_DYNAMICS, "dynamics"},
    {EH_ASPECT_HAIRPIN, "hairpins"},
    {EH_ASPECT_RIM, "rim strokes"},
    {EH_ASPECT_STICKING, "sticking"},
};

enum { WHAT = 27, FOUND = 17, FINE = 15, COUNT = 5, SO = 14 };

static void add_name(struct eh_text *text, const struct eh_finding *f) {
    const char *side = f->side == EH_SIDE_LEFT ? "left " : f->side == EH_SIDE_RIGHT ? "right " : "";
    const char *name = eh_aspect_text((enum eh_aspect)f->aspect);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        name = names[i].aspect == (enum eh_aspect)f->aspect ? names[i].text : name;
    }
    eh_text_printf(text, "%s%s", side, name);
}

static void add_range(struct eh_text *text, int32_t first, int32_t last) {
    eh_text_add(text, text->length > 0 ? ", " : "");
    eh_text_printf(text, first == last ? "%d" : "%d-%d", (int)first, (int)last);
}

/* The bars in which it fails, ranges that touch joined: "13-16, 21". */
static void add_ranges(struct eh_text *text, const struct eh_located *l) {
    for (size_t i = 0; i < l->place_count;) {
        const int32_t first = l->places[i].first_bar;
        int32_t last = l->places[i].last_bar;
        for (i++; i < l->place_count && l->places[i].first_bar == last + 1; i++) {
            last = l->places[i].last_bar;
        }
        add_range(text, first, last);
    }
}

static void add_legs(struct eh_text *text, const struct eh_tempo_course *course) {
    for (size_t i = 0; i < course->leg_count; i++) {
        add_range(text, course->legs[i].first_bar, course->legs[i].last_bar);
    }
}

/* "holds", "fails", "unclear"; BARS: where, if that is known. */
static const char *answer_of(const struct sheet_desk *desk, const struct eh_located *l,
                             struct eh_text *bars) {
    const bool tempo = l->finding.aspect == EH_ASPECT_TEMPO;
    if (tempo) {
        add_legs(bars, desk->sheet->course);
    } else {
        add_ranges(bars, l);
    }
    const struct eh_finding *f = sheet_finding(desk, l);
    if (bars->length > 0 || f->fault == EH_FAULT_YES) {
        return "fails";
    }
    return f->fault == EH_FAULT_NO ? "holds" : "unclear";
}

static void add_cell(struct eh_text *line, struct eh_text *cell, int columns) {
    report_cell(line, eh_text_string(cell), columns);
    eh_text_deinit(cell);
}

/* Bars that do not fit beside the numbers stand in a line of their own. */
static void add_answer(const struct sheet_desk *desk, const struct eh_located *l,
                       struct eh_text *line) {
    struct eh_text bars = {0};
    const char *answer = answer_of(desk, l, &bars);
    const bool fits = strlen(answer) + 1 + bars.length <= SO;
    eh_text_add(line, answer);
    if (bars.length > 0 && fits) {
        eh_text_printf(line, " %s", eh_text_string(&bars));
    }
    report_line(&desk->paper, eh_text_string(line));
    if (bars.length > 0 && !fits) {
        report_wrap(&desk->paper, "      in bars ", eh_text_string(&bars));
    }
    desk->paper.out->failed |= line->failed || bars.failed;
    eh_text_deinit(&bars);
}

static void add_row(const struct sheet_desk *desk, const struct eh_located *l) {
    const struct eh_finding *f = sheet_finding(desk, l);
    struct eh_text line = {0};
    struct eh_text cell = {0};
    char count[16] = "";
    eh_text_add(&line, "  ");
    add_name(&cell, f);
    add_cell(&line, &cell, WHAT - 2);
    eh_text_add(&cell, report_measure(f, f->of_bars ? f->whole : f->value).text);
    add_cell(&line, &cell, FOUND);
    eh_text_add(&cell, report_limit(f).text);
    add_cell(&line, &cell, FINE);
    if (!f->of_bars) {
        (void)snprintf(count, sizeof count, "%u", (unsigned)f->n);
    }
    eh_text_printf(&line, "%*s  ", COUNT, count);
    add_answer(desk, l, &line);
    eh_text_deinit(&line);
}

void sheet_say_table(const struct sheet_desk *desk) {
    const struct eh_places *places = desk->sheet->places;
    struct eh_text head = {0};
    report_heading(&desk->paper, "The numbers, over the whole run");
    eh_text_add(&head, "  ");
    report_cell(&head, "what", WHAT - 2);
    report_cell(&head, "found", FOUND);
    report_cell(&head, "fine", FINE);
    eh_text_add(&head, "    n  so");
    report_line(&desk->paper, eh_text_string(&head));
    desk->paper.out->failed |= head.failed;
    eh_text_deinit(&head);
    for (size_t i = 0; i < places->count; i++) {
        if (i < desk->sheet->judgement->finding_count) {
            add_row(desk, &places->located[i]);
        }
    }
}
