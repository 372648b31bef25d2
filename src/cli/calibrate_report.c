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
            "\nLevels: the written ones by stick height, drawn a little towards the\n"
            "default law. One dB of the default is %.2f written dB (90 %% interval %.2f\n"
            "to %.2f). Any difference of levels is known to about %.0f %%.\n",
            c->scale.value, c->scale.low, c->scale.high, 100.0 * c->pad.levels.scale_sd);
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

static void add_unclear(const struct eh_calibration *c, struct eh_text *out) {
    struct eh_text list = {0};
    add_unclear_marks(c, &list);
    if (!c->levels_found && c->scale_limited) {
        eh_text_printf(&list,
                       "  - Levels: one dB of the default law would be %.1f written dB. No pad's\n"
                       "    law is believed to be so: were the dynamics too much (or too little)\n"
                       "    alike? The levels stay as they were.\n",
                       c->scale.value);
    } else if (!c->levels_found) {
        eh_text_add(&list, "  - Levels: at least three dynamics that are told apart are needed,\n"
                           "    over 6 dB. The levels stay as they were.\n");
    } else if (c->scale_limited) {
        eh_text_printf(
            &list,
            "  - Levels: one dB of the default law would be %.1f written dB. The map was\n"
            "    held back to %g: were the dynamics too much (or too little) alike?\n",
            c->scale.value, c->scale.value > 1 ? 2.0 : 0.5);
    }
    if (list.length > 0) {
        eh_text_printf(out, "\nUnclear\n%s", eh_text_string(&list));
    }
    eh_text_deinit(&list);
}

void calibrate_report(const struct eh_calibration *calibration, struct eh_text *out) {
    add_levels(calibration, out);
    eh_text_add(out, "\nThe pad\n");
    add_floor(calibration, out);
    add_top(calibration, out);
    add_echoes(calibration, out);
    add_gaps(calibration, out);
    add_mask(calibration, out);
    add_delay(calibration, out);
    add_unclear(calibration, out);
}
