#include "pulse_plot.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

enum { HEIGHT = 4, LABEL = 9, COLUMNS_MOST = 240 };

struct plot {
    const struct report_paper *paper;
    const struct eh_pulse *pulse;
    const struct eh_plan *plan;
    double unit_ms; /* of a line */
    size_t step;    /* columns a bar */
    double usual_ms;
};

static double off_ms(const struct plot *plot, size_t bar) {
    return plot->pulse->bars[bar].offset_ms - plot->usual_ms;
}

/* The smallest of 1, 2, 5, 10, 20 ... of which HEIGHT hold everything. */
static double choose_unit(const struct plot *plot) {
    static const double factors[] = {2.0, 2.5, 2.0};
    double most = 0.0;
    for (size_t i = 0; i < plot->pulse->bar_count; i++) {
        const double off = fabs(off_ms(plot, i));
        most = off > most ? off : most; /* NAN is not */
    }
    double unit = 1.0;
    for (size_t i = 0; unit * HEIGHT < most && i < 24; i++) {
        unit *= factors[i % 3];
    }
    return unit;
}

static int level_of(const struct plot *plot, size_t bar) {
    const double off = off_ms(plot, bar);
    return isfinite(off) ? (int)lround(off / plot->unit_ms) : 2 * HEIGHT;
}

/* The bars [FROM, TO) at one level. */
static void add_line(const struct plot *plot, int level, size_t from, size_t to) {
    char line[LABEL + COLUMNS_MOST + 1];
    const double at_ms = level * plot->unit_ms;
    memset(line, ' ', sizeof line);
    (void)snprintf(line, sizeof line, "%6s |", level == 0 ? "0" : report_signed(at_ms, 0).text);
    line[LABEL - 1] = ' ';
    for (size_t bar = from; bar < to; bar++) {
        char *place = line + LABEL + (bar - from) * plot->step;
        const bool silent = plot->pulse->bars[bar].silent;
        memset(place, level == 0 && !silent ? '-' : ' ', plot->step);
        if (level_of(plot, bar) == level) {
            place[plot->step / 2] = silent ? 'x' : 'o';
        }
    }
    size_t end = LABEL + (to - from) * plot->step;
    while (end > 0 && line[end - 1] == ' ') {
        end--;
    }
    line[end] = '\0';
    report_line(plot->paper, line);
}

/* The numbers of the written bars, as far as there is room for them. */
static void add_numbers(const struct plot *plot, size_t from, size_t to) {
    char line[LABEL + COLUMNS_MOST + 16];
    size_t end = (size_t)snprintf(line, sizeof line, "%6s  ", "bar");
    for (size_t bar = from; bar < to; bar++) {
        char number[16];
        const int digits =
            snprintf(number, sizeof number, "%d", (int)plot->plan->bars[bar].written);
        const size_t place = LABEL + (bar - from) * plot->step + plot->step / 2;
        const bool round = plot->step > 1 || bar == from || plot->plan->bars[bar].written % 5 == 0;
        if (!round || place < end + (end > LABEL) || place + (size_t)digits >= sizeof line) {
            continue;
        }
        memset(line + end, ' ', place - end);
        memcpy(line + place, number, (size_t)digits);
        end = place + (size_t)digits;
    }
    line[end] = '\0';
    report_line(plot->paper, line);
}

void pulse_plot(const struct report_paper *paper, const struct eh_pulse *pulse,
                const struct eh_plan *plan) {
    struct plot plot = {.paper = paper, .pulse = pulse, .plan = plan, .step = 3};
    const size_t room = (size_t)(paper->width < COLUMNS_MOST ? paper->width : COLUMNS_MOST) - LABEL;
    plot.usual_ms = isfinite(pulse->usual_ms) ? pulse->usual_ms : 0.0;
    plot.unit_ms = choose_unit(&plot);
    plot.step = pulse->bar_count * 3 <= room ? 3 : 1;
    const size_t bars = room / plot.step;
    for (size_t from = 0; from < pulse->bar_count; from += bars) {
        const size_t to = from + bars < pulse->bar_count ? from + bars : pulse->bar_count;
        for (int level = HEIGHT; level >= -HEIGHT; level--) {
            add_line(&plot, level, from, to);
        }
        add_numbers(&plot, from, to);
    }
}
