#include "calibrate_report.h"

#include <math.h>
#include <stdio.h>

/* "-25.2" right-aligned, or a dash. Never "-0.0". */
static void add_number(struct eh_text *out, double value, int width, int decimals) {
    if (isfinite(value)) {
        const bool zero = fabs(value) < 0.5 * pow(10.0, -decimals);
        eh_text_printf(out, "%*.*f", width, decimals, zero ? 0.0 : value);
    } else {
        eh_text_printf(out, "%*s", width, "-");
    }
}

static void add_interval(struct eh_text *out, const struct eh_estimate *estimate, int width) {
    add_number(out, estimate->low, width, 1);
    eh_text_add(out, " to ");
    add_number(out, estimate->high, 5, 1);
}

static const char *state_text(enum eh_calibrate_state state) {
    switch (state) {
    case EH_CALIBRATE_CLEAR:
        return "";
    case EH_CALIBRATE_FEW:
        return "too few";
    case EH_CALIBRATE_HIDDEN:
        return "hidden";
    case EH_CALIBRATE_AT_TOP:
        return "at top";
    case EH_CALIBRATE_MERGED:
        return "as below";
    }
    return "";
}

static void add_mark(const struct eh_calibration *c, int mark, struct eh_text *out) {
    const struct eh_calibrate_mark *m = &c->marks[mark];
    char taps[24];
    (void)snprintf(taps, sizeof taps, "%u/%u", (unsigned)m->heard, (unsigned)m->due);
    eh_text_printf(out, " %-3s %4g %7s ", eh_calibrate_mark_text(mark),
                   eh_calibrate_height_in(mark), taps);
    add_number(out, m->velocity.value, 7, 1);
    add_interval(out, &m->velocity, 7);
    add_number(out, c->levels_found ? m->level_db.value : NAN, 7, 1);
    add_interval(out, &m->level_db, 7);
    add_number(out, m->scatter_db, 5, 1);
    eh_text_printf(out, "  %s", state_text((enum eh_calibrate_state)m->state));
    while (out->length > 0 && out->data[out->length - 1] == ' ') {
        out->data[--out->length] = '\0';
    }
    eh_text_add_char(out, '\n');
}

static void add_levels(const struct eh_calibration *c, struct eh_text *out) {
    eh_text_add(out, "Dynamic\n"
                     "   stick    taps velocity                level                spread\n"
                     "    inch   heard  median   90 %           dB   90 %            dB\n");
    for (int mark = EH_CALIBRATE_MARKS - 1; mark >= 0; mark--) {
        add_mark(c, mark, out);
    }
    if (c->levels_found) {
        eh_text_printf(
            out,
            "\nLevels: your own marks on this pad. What you play as a mark louder is one.\n"
            "One dB of the default law is %.2f written dB (90 %% interval %.2f to %.2f).\n"
            "Any difference of levels is known to about %.0f %%.\n",
            c->scale.value, c->scale.low, c->scale.high, 100.0 * c->pad.levels.scale_sd);
    }
}

/* So much more, or less, of the written contrast by the default law is worth a word. */
static const double contrast_told = 1.5;

/* What players' taps spread by, in dB: professionals 1.5 (Groove MIDI Dataset 1.0.0, CC BY 4.0,
 * measured); others up to 1.6 times that (assumed). */
static const double spread_usual_db = 1.5 * 1.6;

/* From p to f, in dB. */
static double p_to_f(double scale) {
    return (eh_calibrate_written_db(4) - eh_calibrate_written_db(1)) / scale;
}

static const char *spread_text(const struct eh_calibration *c) {
    return c->spread_db > spread_usual_db ? ",\nmore than players' do: it is rather the shading."
                                          : ",\nas players' do: it is rather the pad.";
}

/* One pad cannot tell a player who shades little from a pad that squeezes, but the pad squeezes the
 * spread of the taps as well. */
static void add_contrast(const struct eh_calibration *c, struct eh_text *out) {
    const bool narrow = c->scale.low > contrast_told;
    if (!c->levels_found || (!narrow && !(c->scale.high < 1.0 / contrast_told))) {
        return;
    }
    eh_text_printf(out,
                   "\nContrast: p to f came out %.1f dB apart by the default law, where %.1f are\n"
                   "written. Either the pad %s: one pad\n"
                   "cannot tell. From now on these marks of yours are the measure.\n",
                   p_to_f(c->scale.value), p_to_f(1.0),
                   narrow ? "squeezes or you shade too little"
                          : "stretches or you shade more than is written");
    if (narrow) {
        eh_text_printf(out, "The taps of one dynamic spread by %.1f dB in your marks%s\n",
                       c->spread_db, spread_text(c));
    }
}

static const char *plural(unsigned n) {
    return n == 1 ? "" : "s";
}

static void add_floor(const struct eh_calibration *c, struct eh_text *out) {
    const struct eh_estimate *e = &c->floor.estimate;
    switch ((enum eh_calibrate_sure)c->floor.sure) {
    case EH_CALIBRATE_FOUND:
        eh_text_printf(out,
                       "  Floor   nothing softer than velocity %.4g is reported (90 %% %.3g to "
                       "%.4g)\n",
                       e->value, e->low, e->high);
        break;
    case EH_CALIBRATE_AT_MOST:
        eh_text_printf(out, "  Floor   none seen: the softest tap that came has velocity %.4g\n",
                       e->value);
        break;
    case EH_CALIBRATE_UNCLEAR:
        eh_text_add(out, "  Floor   unclear: too few soft taps\n");
        break;
    }
}

static void add_top(const struct eh_calibration *c, struct eh_text *out) {
    const double share = c->marks[EH_CALIBRATE_MARKS - 1].at_top;
    const double top = c->top.estimate.value;
    switch ((enum eh_calibrate_sure)c->top.sure) {
    case EH_CALIBRATE_FOUND:
        eh_text_printf(out,
                       "  Top     velocity %.4g: %.0f %% of the ff taps are there, and what is "
                       "louder\n          looks alike\n",
                       top, 100.0 * share);
        break;
    case EH_CALIBRATE_AT_MOST:
        eh_text_printf(out, "  Top     none seen: the loudest tap that came has velocity %.4g\n",
                       top);
        break;
    case EH_CALIBRATE_UNCLEAR:
        eh_text_printf(out, "  Top     unclear: %.0f %% of the ff taps at velocity %.4g\n",
                       100.0 * share, top);
        break;
    }
    if (c->velocity_step >= 1.5) {
        eh_text_printf(out, "  Steps   velocities come in steps of %.3g\n", c->velocity_step);
    }
}

static void add_echoes(const struct eh_calibration *c, struct eh_text *out) {
    eh_text_printf(out, "  Echoes  %u after %u single strokes", (unsigned)c->echoes,
                   (unsigned)c->singles);
    if (c->echoes > 0) {
        eh_text_printf(out, ":\n          up to %.0f ms later, at least %.1f dB softer",
                       c->echo_ms.estimate.value, c->echo_db.estimate.value);
    }
    eh_text_add(out, c->echo_ms.sure == EH_CALIBRATE_UNCLEAR
                         ? " (too few to be a habit of the pad)\n"
                         : "\n");
}

static void add_gaps(const struct eh_calibration *c, struct eh_text *out) {
    eh_text_printf(out, "  Pairs   %u of %u second strokes were reported",
                   (unsigned)(c->pairs - c->hidden), (unsigned)c->pairs);
    eh_text_add(out, c->pairs > c->hidden ? "; the softest, by the gap:\n" : "\n");
    for (int g = 0; g < EH_CALIBRATE_GAPS; g++) {
        const struct eh_calibrate_gap *gap = &c->gaps[g];
        if (gap->n > 0) {
            eh_text_printf(out, "          %3.0f to %3.0f ms  %+5.1f dB  (%u stroke%s)\n",
                           gap->from_ms, gap->to_ms, gap->softest_db, (unsigned)gap->n,
                           plural(gap->n));
        }
    }
}

static void add_mask(const struct eh_calibration *c, struct eh_text *out) {
    const struct eh_estimate *e = &c->mask_db.estimate;
    switch ((enum eh_calibrate_sure)c->mask_db.sure) {
    case EH_CALIBRATE_FOUND:
        eh_text_printf(
            out,
            "  Mask    a second stroke %.0f ms later is reported from %+.1f dB on (90 %%\n"
            "          %.1f to %.1f), %.2f dB softer for each ms more%s\n",
            EH_CALIBRATE_MASK_TOLD_MS, e->value, e->low, e->high, c->mask_slope.estimate.value,
            c->mask_slope.sure == EH_CALIBRATE_FOUND ? "" : " (as before)");
        break;
    case EH_CALIBRATE_AT_MOST:
        eh_text_add(out, "  Mask    double strokes came whole: none seen as far as was played\n");
        break;
    case EH_CALIBRATE_UNCLEAR:
        eh_text_add(out, "  Mask    unclear: too few second strokes between 10 and 60 ms\n");
        break;
    }
    if (c->dead_ms.sure == EH_CALIBRATE_FOUND) {
        eh_text_printf(
            out, "  Dead    no second stroke within %.0f ms of a first (90 %% %.0f to %.0f)\n",
            c->dead_ms.estimate.value, c->dead_ms.estimate.low, c->dead_ms.estimate.high);
    }
}

static void add_delay(const struct eh_calibration *c, struct eh_text *out) {
    const struct eh_estimate *e = &c->delay_ms.estimate;
    if (c->delay_ms.sure == EH_CALIBRATE_FOUND) {
        eh_text_printf(
            out,
            "  Delay   hits come %.1f ms %s the click (90 %% %+.1f to %+.1f; %zu taps,\n"
            "          each off by about %.0f ms): sound, pad, cable, and your own way of\n"
            "          playing with a click\n",
            fabs(e->value), e->value < 0 ? "before" : "after", e->low, e->high, e->n,
            c->click_spread_ms);
    } else if (isfinite(e->value)) {
        eh_text_printf(out, "  Delay   unclear: %+.0f ms, but 90 %% only between %+.0f and %+.0f\n",
                       e->value, e->low, e->high);
    } else {
        eh_text_add(out, "  Delay   unclear: too few taps with the click\n");
    }
}

static void add_unclear_marks(const struct eh_calibration *c, struct eh_text *out) {
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        const char *name = eh_calibrate_mark_text(mark);
        switch ((enum eh_calibrate_state)c->marks[mark].state) {
        case EH_CALIBRATE_CLEAR:
            break;
        case EH_CALIBRATE_FEW:
            eh_text_printf(out, "  - %s: too few taps were heard to say anything.\n", name);
            break;
        case EH_CALIBRATE_HIDDEN:
            eh_text_printf(out,
                           "  - %s: the pad reported less than half of the taps. Raise its "
                           "sensitivity or\n    lower its threshold if soft strokes "
                           "matter.\n",
                           name);
            break;
        case EH_CALIBRATE_AT_TOP:
            eh_text_printf(out,
                           "  - %s: most taps are at the pad's top. Lower its sensitivity if "
                           "loud strokes\n    matter.\n",
                           name);
            break;
        case EH_CALIBRATE_MERGED:
            eh_text_printf(out,
                           "  - %s is not told apart from a neighbour: there the default law "
                           "stays.\n",
                           name);
            break;
        }
    }
}

static void add_refused(const struct eh_calibration *c, struct eh_text *out) {
    if (c->scale.value > 1.0) {
        eh_text_printf(
            out,
            "  - Levels: your f is hardly louder than your p: %.1f dB by the default law\n"
            "    where %.1f are written. Play the dynamics further apart, each one evenly,\n"
            "    and calibrate again. The levels stay as they were.\n",
            p_to_f(c->scale.value), p_to_f(1.0));
    } else {
        eh_text_printf(
            out,
            "  - Levels: your f lies %.1f dB over your p by the default law, where %.1f are\n"
            "    written: no pad is believed to be so. The levels stay as they were.\n",
            p_to_f(c->scale.value), p_to_f(1.0));
    }
}

static void add_unclear(const struct eh_calibration *c, struct eh_text *out) {
    struct eh_text list = {0};
    add_unclear_marks(c, &list);
    if (c->scale_refused) {
        add_refused(c, &list);
    } else if (!c->levels_found) {
        eh_text_add(&list, "  - Levels: at least three dynamics that are told apart are needed,\n"
                           "    over 6 dB. The levels stay as they were.\n");
    }
    if (list.length > 0) {
        eh_text_printf(out, "\nUnclear\n%s", eh_text_string(&list));
    }
    eh_text_deinit(&list);
}

void calibrate_report(const struct eh_calibration *calibration, struct eh_text *out) {
    add_levels(calibration, out);
    add_contrast(calibration, out);
    eh_text_add(out, "\nThe pad\n");
    add_floor(calibration, out);
    add_top(calibration, out);
    add_echoes(calibration, out);
    add_gaps(calibration, out);
    add_mask(calibration, out);
    add_delay(calibration, out);
    add_unclear(calibration, out);
}
