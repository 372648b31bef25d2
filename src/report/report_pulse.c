/* What the player's beat did in silent bars, on a page. */
#include "evenhand/report_pulse.h"

#include <math.h>
#include <stdio.h>

#include "number.h"
#include "paper.h"
#include "pulse_plot.h"

static const char *const bars_text[] = {"bars", "bar"};

static const char *bars(size_t n) {
    return bars_text[n == 1];
}

/* ---- The sentence ---- */

static const char *way(double drift_ms) {
    return drift_ms < 0.0 ? "early" : "late";
}

static void say_length(struct eh_text *out, const struct eh_pulse_length *l) {
    const double percent = l->tempo_percent.value;
    eh_text_printf(out, "%s ms %s at the end%s, ", report_fixed(fabs(l->drift_ms.value), 0).text,
                   way(l->drift_ms.value), l->stretches > 1 ? " on average" : "");
    if (fabs(percent) < 0.05) {
        eh_text_add(out, "in the click's tempo");
    } else {
        eh_text_printf(out, "a tempo %s %% %s than the click's",
                       report_fixed(fabs(percent), 1).text, percent < 0.0 ? "slower" : "faster");
    }
}

static const struct eh_pulse_length *length_of(const struct eh_pulse *pulse, size_t n) {
    for (size_t i = 0; i < pulse->length_count; i++) {
        if (pulse->lengths[i].bars == n) {
            return &pulse->lengths[i];
        }
    }
    return NULL;
}

static void say_lost(struct eh_text *out, const struct eh_pulse *pulse) {
    const struct eh_pulse_length *lost = length_of(pulse, pulse->lost_bars);
    const char *verb = lost->verdict == EH_PULSE_RUSHED ? "rushed" : "dragged";
    if (pulse->held_bars > 0) {
        eh_text_printf(out, "Your beat held over %zu silent %s and %s over %zu: ", pulse->held_bars,
                       bars(pulse->held_bars), verb, pulse->lost_bars);
    } else {
        eh_text_printf(out, "Your beat %s over %zu silent %s: ", verb, pulse->lost_bars,
                       bars(pulse->lost_bars));
    }
    say_length(out, lost);
    eh_text_add(out, ".");
}

static void say_unclear(struct eh_text *out, const struct eh_pulse *pulse) {
    bool measured = false;
    bool both = false;
    for (size_t i = 0; i < pulse->length_count; i++) {
        const struct eh_pulse_length *l = &pulse->lengths[i];
        measured |= l->stretches > 0;
        both |= l->rushed + l->dragged > 0;
    }
    eh_text_add(out, !measured ? "Unclear: too few strokes were heard in the silent bars."
                     : both ? "Unclear: your beat left the click surely in single stretches, but "
                              "not the same way in all of them."
                            : "Unclear: the intervals reach across what is allowed; more stretches "
                              "or more strokes in a bar would tell.");
}

static void say_back(struct eh_text *out, const struct eh_pulse *pulse) {
    size_t returns = 0;
    size_t back = 0;
    int32_t longest = 0;
    for (size_t i = 0; i < pulse->stretch_count; i++) {
        const struct eh_pulse_stretch *s = &pulse->stretches[i];
        returns += s->returned;
        back += s->returned && s->beats_back != EH_PULSE_NOT_BACK;
        longest = s->returned && s->beats_back > longest ? s->beats_back : longest;
    }
    if (returns == 0) {
        return;
    }
    if (back < returns) {
        eh_text_printf(out, " %zu of %zu times you were not back before the next silence.",
                       returns - back, returns);
    } else if (longest == 0) {
        eh_text_add(out, " When the click came back you were with it.");
    } else {
        eh_text_printf(out, " When the click came back you were with it after %d beat%s at most.",
                       (int)longest, longest == 1 ? "" : "s");
    }
}

static void say_sentence(const struct report_paper *paper, const struct eh_pulse *pulse) {
    struct eh_text text = {0};
    if (pulse->lost_bars > 0) {
        say_lost(&text, pulse);
    } else if (pulse->held_bars > 0) {
        eh_text_printf(&text, "Your beat held over %zu silent %s: ", pulse->held_bars,
                       bars(pulse->held_bars));
        say_length(&text, length_of(pulse, pulse->held_bars));
        eh_text_add(&text, ".");
    } else {
        say_unclear(&text, pulse);
    }
    say_back(&text, pulse);
    report_wrap(paper, "", eh_text_string(&text));
    paper->out->failed |= text.failed;
    eh_text_deinit(&text);
}

/* ---- The tables ---- */

enum { LABEL_COLUMNS = 13 };

/* What a stretch and a length have in common. */
struct row {
    const struct eh_estimate *drift_ms, *tempo_percent;
    double tolerance_ms;
    enum eh_pulse_verdict verdict;
};

static struct report_number or_dash(double value, struct report_number number) {
    return report_known(value) ? number : (struct report_number){"-"};
}

static void add_cells(struct eh_text *line, const char *label, const struct row *row) {
    struct eh_text interval = {0};
    const struct eh_estimate *d = row->drift_ms;
    if (report_known(d->low) && report_known(d->high)) {
        eh_text_printf(&interval, "%s to %s", report_signed(d->low, 0).text,
                       report_signed(d->high, 0).text);
    } else {
        eh_text_add(&interval, "-");
    }
    eh_text_add(line, "  ");
    report_cell(line, label, LABEL_COLUMNS);
    eh_text_printf(
        line, "%5zu%8s%16s%6s%8s  %-8s", d->n, or_dash(d->value, report_signed(d->value, 0)).text,
        eh_text_string(&interval),
        or_dash(row->tolerance_ms, report_fixed(row->tolerance_ms, 0)).text,
        or_dash(row->tempo_percent->value, report_signed(row->tempo_percent->value, 1)).text,
        eh_pulse_text(row->verdict));
    line->failed |= interval.failed;
    eh_text_deinit(&interval);
}

static void end_line(const struct report_paper *paper, struct eh_text *line) {
    while (line->length > 0 && line->data[line->length - 1] == ' ') {
        line->data[--line->length] = '\0';
    }
    report_line(paper, eh_text_string(line));
    paper->out->failed |= line->failed;
    eh_text_deinit(line);
}

static void add_heads(const struct report_paper *paper, const char *first, bool back) {
    struct eh_text line = {0};
    eh_text_printf(&line, "  %-13s%5s%8s%16s%6s%8s  %-8s%5s%6s", first, "n", "drift",
                   "90 % interval", "most", "tempo", "", back ? "off" : "", back ? "back" : "");
    end_line(paper, &line);
    eh_text_printf(&line, "  %-13s%5s%8s%16s%6s%8s  %-8s%5s%6s", "", "", "ms", "ms", "ms", "%", "",
                   back ? "ms" : "", back ? "beats" : "");
    end_line(paper, &line);
}

static void add_stretch(const struct report_paper *paper, const struct eh_pulse_stretch *s,
                        bool passes) {
    const struct row row = {&s->drift_ms, &s->tempo_percent, s->tolerance_ms,
                            (enum eh_pulse_verdict)s->verdict};
    struct eh_text line = {0};
    struct eh_text label = {0};
    if (passes) {
        eh_text_printf(&label, "%d: ", (int)s->pass + 1);
    }
    eh_text_printf(&label, "%d", (int)s->first_written);
    if (s->bar_count > 1) {
        eh_text_printf(&label, "-%d", (int)s->last_written);
    }
    add_cells(&line, eh_text_string(&label), &row);
    if (s->returned) {
        eh_text_printf(&line, "%5s", report_signed(s->return_ms.value, 0).text);
        if (s->beats_back == EH_PULSE_NOT_BACK) {
            eh_text_printf(&line, "%6s", "not");
        } else {
            eh_text_printf(&line, "%6d", (int)s->beats_back);
        }
    } else {
        eh_text_printf(&line, "%5s%6s", "-", "-");
    }
    line.failed |= label.failed;
    eh_text_deinit(&label);
    end_line(paper, &line);
}

static void add_length(const struct report_paper *paper, const struct eh_pulse_length *l) {
    const struct row row = {&l->drift_ms, &l->tempo_percent, l->tolerance_ms,
                            (enum eh_pulse_verdict)l->verdict};
    char label[32];
    struct eh_text line = {0};
    (void)snprintf(label, sizeof label, "%zu x %zu %s", l->stretches, l->bars, bars(l->bars));
    add_cells(&line, label, &row);
    end_line(paper, &line);
}

static void add_tables(const struct report_paper *paper, const struct eh_pulse *pulse,
                       const struct eh_plan *plan) {
    const bool passes = plan->passes > 1;
    eh_text_add_char(paper->out, '\n');
    add_heads(paper, passes ? "pass: bars" : "bars", true);
    for (size_t i = 0; i < pulse->stretch_count; i++) {
        add_stretch(paper, &pulse->stretches[i], passes);
    }
    if (pulse->stretch_count > pulse->length_count) {
        eh_text_add_char(paper->out, '\n');
        add_heads(paper, "together", false);
        for (size_t i = 0; i < pulse->length_count; i++) {
            add_length(paper, &pulse->lengths[i]);
        }
    }
}

static void add_notes(const struct report_paper *paper, const struct eh_pulse *pulse) {
    struct eh_text text = {0};
    eh_text_printf(&text,
                   "Drift: how far your beat went against the silent click, late positive; it may "
                   "go %s %% of the stretch, a quarter of a beat at most. Tempo: faster "
                   "positive. n: strokes. Off: where your beat was when the click came back, "
                   "against where it usually is with it",
                   report_fixed(EH_PULSE_TEMPO_PERCENT, 1).text);
    if (report_known(pulse->usual_ms)) {
        eh_text_printf(&text, " (%s ms)", report_signed(pulse->usual_ms, 0).text);
    }
    eh_text_add(&text, ". Back: beats until it was there again.");
    report_wrap(paper, "", eh_text_string(&text));
    paper->out->failed |= text.failed;
    eh_text_deinit(&text);
}

enum eh_status eh_report_pulse(const struct eh_pulse *pulse, const struct eh_plan *plan,
                               const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    report_heading(&paper, "Your beat without the click");
    say_sentence(&paper, pulse);
    add_tables(&paper, pulse, plan);
    add_notes(&paper, pulse);
    report_heading(&paper, "Offset bar by bar, ms: o with the click, x without; late is up");
    pulse_plot(&paper, pulse, plan);
    return eh_text_status(out);
}
