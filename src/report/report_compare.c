/* One take under two styles, side by side. */
#include <math.h>
#include <string.h>

#include "beside.h"
#include "evenhand/report.h"
#include "number.h"
#include "paper.h"
#include "phrase.h"
#include "two.h"

static const char unclear_mark[] = "not clear: ";

/* What is measured, without saying how it came out. */
static const char *subject(const struct eh_finding *f) {
    switch ((enum eh_aspect)f->aspect) {
    case EH_ASPECT_DIDDLE_SPACING:
        return "second strokes in time";
    case EH_ASPECT_DIDDLE_LEVEL:
        return "second strokes against firsts, level";
    case EH_ASPECT_ACCENT:
        return "accents above the taps around";
    case EH_ASPECT_UNMARKED_ACCENT:
        return "unmarked strokes, how far they stand out";
    case EH_ASPECT_TAP_LEVEL:
        return "taps, spread of their level";
    case EH_ASPECT_FLAM_GAP:
        return "grace note to main note";
    case EH_ASPECT_GRACE_LEVEL:
        return "grace notes, how much softer";
    case EH_ASPECT_BUZZ:
        return "presses";
    case EH_ASPECT_HAND_LEVEL:
        return "left hand against right, level";
    case EH_ASPECT_HAND_TIMING:
        return "left hand against right, time";
    case EH_ASPECT_TIMING:
        return "timing, spread";
    case EH_ASPECT_TEMPO:
        return "tempo at the end";
    case EH_ASPECT_MISSED:
        return "missed strokes";
    case EH_ASPECT_EXTRA:
        return "extra hits";
    case EH_ASPECT_DYNAMICS:
        return "dynamics";
    case EH_ASPECT_HAIRPIN:
        return "hairpins";
    case EH_ASPECT_RIM:
        return "rim strokes";
    case EH_ASPECT_STICKING:
        return "strokes by the other hand";
    case EH_ASPECT_COUNT:
        break;
    }
    return "";
}

static bool is_accent(const struct eh_finding *f) {
    return f->aspect == EH_ASPECT_ACCENT;
}

/* "3.1 dB"; an accent's also in dynamic marks: "3.1 dB (1.0 dynamic marks)". */
static void add_size(struct eh_text *out, const struct eh_finding *f, double value) {
    eh_text_add(out, report_measure(f, value).text);
    if (is_accent(f) && report_known(value)) {
        eh_text_printf(out, " (%s marks)", report_fixed(value / EH_MARK_DB, 1).text);
    }
}

/* "3.1 dB (1.0 dynamic marks); 90 % interval 2.6 to 3.7 dB; n=32" */
static void add_number(struct eh_text *out, const struct eh_finding *f) {
    eh_text_add(out, report_measure(f, f->value).text);
    if (is_accent(f) && report_known(f->value)) {
        eh_text_printf(out, ", about %s dynamic marks",
                       report_fixed(f->value / EH_MARK_DB, 1).text);
    }
    if (report_known(f->low) && report_known(f->high) && f->low < f->high) {
        eh_text_printf(out, "; 90 %% interval %s to %s", report_bare(f, f->low).text,
                       report_bare(f, f->high).text);
    }
    eh_text_printf(out, "; n=%u", (unsigned)f->n);
}

static void add_verdict(struct eh_text *out, const struct eh_finding *f) {
    const char *direction = eh_direction_text((enum eh_direction)f->direction);
    eh_text_add(out, eh_verdict_text((enum eh_verdict)f->verdict));
    if (direction != NULL) {
        eh_text_printf(out, ", %s", direction);
    }
}

static void add_limits(struct eh_text *out, const struct eh_finding *f) {
    const struct report_phrase limit = report_limit(f);
    if (limit.text[0] == '\0') {
        return;
    }
    const char *unit = strcmp(f->unit, "percent") == 0 ? "%"
                       : strcmp(f->unit, "share") == 0 ? ""
                                                       : f->unit;
    eh_text_printf(out, "fine: %s%s%s", limit.text, unit[0] != '\0' ? " " : "", unit);
    if (is_accent(f)) {
        eh_text_printf(out, "\n(%s to %s marks)", report_fixed(f->limit_low / EH_MARK_DB, 1).text,
                       report_fixed(f->limit_high / EH_MARK_DB, 1).text);
    }
    eh_text_add_char(out, '\n');
}

static void add_bars(struct eh_text *out, const struct eh_finding *f) {
    if (f->bar_count > 0) {
        eh_text_add(out, f->bar_count == 1 ? "; most in bar" : "; most in bars");
    }
    for (uint32_t i = 0; i < f->bar_count; i++) {
        eh_text_printf(out, "%s %d", i == 0 ? "" : ",", (int)f->bars[i]);
    }
}

/* Which limit a fault is beyond; NAN where its numbers do not show that. */
static double limit_passed(const struct eh_finding *f) {
    return report_known(f->limit_high) && f->low > f->limit_high  ? f->limit_high
           : report_known(f->limit_low) && f->high < f->limit_low ? f->limit_low
                                                                  : (double)NAN;
}

/* Why the verdict is what it is, in one sentence. */
static void add_why(struct eh_text *out, const struct eh_finding *f) {
    const double passed = limit_passed(f);
    const char *reason = strstr(f->text, unclear_mark);
    if (f->fault == EH_FAULT_UNCLEAR) {
        eh_text_printf(out, "Why: %s.", reason != NULL ? reason + strlen(unclear_mark) : f->text);
    } else if (f->fault == EH_FAULT_NO) {
        eh_text_add(out, "Why: ");
        add_size(out, f, f->value);
        eh_text_add(out, " lies within.");
    } else if (report_known(passed)) {
        eh_text_printf(out, "Why: %s lies %s ",
                       f->low < f->high ? "all of the interval" : "the number",
                       passed == f->limit_high ? "above" : "below");
        add_size(out, f, passed);
        add_bars(out, f);
        eh_text_add_char(out, '.');
    } else {
        eh_text_printf(out, "Why: %s.", f->text);
    }
}

/* A finding in its column; NULL: the style does not ask. */
static void add_column(struct eh_text *out, const struct eh_finding *f, bool own_number) {
    if (f == NULL) {
        eh_text_add(out, "not asked here");
        return;
    }
    add_verdict(out, f);
    eh_text_add_char(out, '\n');
    if (own_number) {
        add_number(out, f);
        eh_text_add_char(out, '\n');
    }
    add_limits(out, f);
    add_why(out, f);
}

/* The hand and what is measured; the number where both styles have the same. */
static void add_lead(const struct report_paper *paper, const struct report_two *two) {
    const struct eh_finding *f = two->of[0] != NULL ? two->of[0] : two->of[1];
    struct eh_text line = {0};
    if (f->side != EH_SIDE_BOTH) {
        eh_text_printf(&line, "%s ", eh_side_text((enum eh_side)f->side));
    }
    eh_text_add(&line, subject(f));
    if (two->same_number) {
        eh_text_add(&line, ": ");
        add_number(&line, f);
    }
    eh_text_add_char(paper->out, '\n');
    report_wrap(paper, "", eh_text_string(&line));
    paper->out->failed |= line.failed;
    eh_text_deinit(&line);
}

static void add_beside(const struct report_paper *paper, const struct report_two *two) {
    struct eh_text column[2] = {{0}, {0}};
    add_lead(paper, two);
    for (int i = 0; i < 2; i++) {
        add_column(&column[i], two->of[i], !two->same_number);
    }
    report_beside(paper, eh_text_string(&column[0]), eh_text_string(&column[1]));
    for (int i = 0; i < 2; i++) {
        paper->out->failed |= column[i].failed;
        eh_text_deinit(&column[i]);
    }
}

/* "timing steady: 9.0 ms, 8.1 to 9.9 (up to 15.0; n=64)" */
static void add_short(struct eh_text *line, const struct eh_finding *f) {
    const struct report_phrase limit = report_limit(f);
    eh_text_printf(line, "%s: %s", report_verdict(f).text, report_measure(f, f->value).text);
    if (report_known(f->low) && f->low < f->high) {
        eh_text_printf(line, ", %s to %s", report_bare(f, f->low).text,
                       report_bare(f, f->high).text);
    }
    eh_text_printf(line, " (%s%sn=%u)", limit.text, limit.text[0] != '\0' ? "; " : "",
                   (unsigned)f->n);
}

/* What is the same needs a line; what is unclear its reason. ONLY: the one style that asks; NULL:
 * both. */
static void add_same(const struct report_paper *paper, const struct eh_finding *f,
                     const char *only) {
    struct eh_text line = {0};
    if (only != NULL) {
        eh_text_printf(&line, "%s only: ", only);
    }
    if (f->fault == EH_FAULT_UNCLEAR) {
        eh_text_add(&line, f->text);
    } else {
        add_short(&line, f);
    }
    report_wrap(paper,
                f->fault == EH_FAULT_YES       ? "  work on: "
                : f->fault == EH_FAULT_UNCLEAR ? "  unclear: "
                                               : "  fine:    ",
                eh_text_string(&line));
    paper->out->failed |= line.failed;
    eh_text_deinit(&line);
}

static void add_head(const struct report_paper *paper, const struct eh_judgement *const both[2]) {
    const struct eh_judgement *j = both[0];
    const struct eh_plan *plan = &j->plan;
    struct eh_text line = {0};
    report_wrap(paper, "", eh_exercise_title(j->exercise));
    const int first = (int)plan->bars[0].written;
    const int last = (int)plan->bars[plan->bar_count - 1].written;
    eh_text_printf(&line, "%s to the quarter%s", report_bpm(j->bpm).text,
                   j->no_click ? " without a click" : "");
    eh_text_printf(&line, first == last ? ", bar %d" : ", bars %d to %d", first, last);
    eh_text_printf(&line, "; from %s", j->take->source);
    report_wrap(paper, "", eh_text_string(&line));
    line.length = 0;
    eh_text_printf(&line,
                   "%zu strokes due, %u heard; one take, judged by two styles:", plan->due_count,
                   (unsigned)j->matched);
    report_wrap(paper, "", eh_text_string(&line));
    eh_text_add_char(paper->out, '\n');
    paper->out->failed |= line.failed;
    eh_text_deinit(&line);
    struct eh_text name[2] = {{0}, {0}};
    for (int i = 0; i < 2; i++) {
        const struct eh_style *style = both[i]->style;
        eh_text_printf(&name[i], "%s\n%s", style->name, style->title);
    }
    report_beside(paper, eh_text_string(&name[0]), eh_text_string(&name[1]));
    for (int i = 0; i < 2; i++) {
        paper->out->failed |= name[i].failed;
        eh_text_deinit(&name[i]);
    }
}

static size_t add_section(const struct report_paper *paper, const char *heading,
                          const struct report_two *twos, size_t count, enum report_likeness like) {
    size_t shown = 0;
    for (size_t i = 0; i < count; i++) {
        if (twos[i].like == like) {
            if (shown++ == 0) {
                report_heading(paper, heading);
            }
            add_beside(paper, &twos[i]);
        }
    }
    return shown;
}

static void add_sames(const struct report_paper *paper, const struct report_two *twos, size_t count,
                      const struct eh_judgement *const both[2]) {
    report_heading(paper, "The same in both");
    report_wrap(paper, "", "The number, its 90 % interval (the limits; how many strokes).");
    for (size_t i = 0; i < count; i++) {
        if (twos[i].like == REPORT_SAME) {
            add_same(paper, twos[i].of[0], NULL);
        }
    }
    for (size_t i = 0; i < count; i++) {
        if (twos[i].like == REPORT_ONE_ONLY) {
            const int at = twos[i].of[0] != NULL ? 0 : 1;
            add_same(paper, twos[i].of[at], both[at]->style->name);
        }
    }
}

enum eh_status eh_report_compare(const struct eh_judgement *first,
                                 const struct eh_judgement *second,
                                 const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    const struct eh_judgement *const both[2] = {first, second};
    struct report_two twos[REPORT_TWOS_MAX];
    const size_t count = report_pair(first, second, twos);
    add_head(&paper, both);
    if (add_section(&paper, "What differs", twos, count, REPORT_DIFFERS) == 0) {
        report_heading(&paper, "What differs");
        report_wrap(&paper, "", "Nothing: both styles come to the same verdicts.");
    }
    (void)add_section(&paper, "Same verdict, other limits or numbers", twos, count,
                      REPORT_SAME_VERDICT);
    add_sames(&paper, twos, count, both);
    struct eh_text line = {0};
    eh_text_printf(&line, "Levels in dB by the map \"%s\" of ", first->pad->levels.name);
    eh_report_pad(first->pad, look == NULL ? 0 : look->played_utc_s, &line);
    eh_text_printf(&line, "; a dynamic mark is about %s dB.", report_fixed(EH_MARK_DB, 0).text);
    eh_text_add_char(out, '\n');
    report_wrap(&paper, "", eh_text_string(&line));
    out->failed |= line.failed;
    eh_text_deinit(&line);
    return eh_text_status(out);
}
