/* How well the bars are named in which a fault was put: audition_figures SEEDS [FAULT] */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "placed.h"

static const double tempi[] = {70, 90, 120};

struct range {
    int first, last;
};

static const struct range fours[] = {{1, 4},   {5, 8},   {9, 12},  {13, 16},
                                     {17, 20}, {21, 24}, {25, 28}, {29, 32}};
static const struct range all = {1, 32};
static const struct range eights[] = {{1, 8}, {5, 12}, {9, 16}, {13, 20}, {17, 24}, {25, 32}};

struct row {
    const char *fault;
    const char *etude;
    enum eh_aspect aspect;
    enum eh_side side;
};

/* Strokes of a hand in the bars with fewer of which nothing can be told. */
enum { ENOUGH = 8 };

#define R "rudimental-etude"
#define C "concert-etude"

static const struct row rows[] = {
    {"late-left-seconds", R, EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT},
    {"early-right-seconds", R, EH_ASPECT_DIDDLE_SPACING, EH_SIDE_RIGHT},
    {"weak-left-seconds", R, EH_ASPECT_DIDDLE_LEVEL, EH_SIDE_LEFT},
    {"under-accents", R, EH_ASPECT_ACCENT, EH_SIDE_BOTH},
    {"overblown-accents", R, EH_ASPECT_ACCENT, EH_SIDE_BOTH},
    {"late-left", R, EH_ASPECT_HAND_TIMING, EH_SIDE_BOTH},
    {"strong-right", R, EH_ASPECT_HAND_LEVEL, EH_SIDE_BOTH},
    {"uneven-taps", R, EH_ASPECT_TAP_LEVEL, EH_SIDE_BOTH},
    {"unsteady", R, EH_ASPECT_TIMING, EH_SIDE_BOTH},
    {"missed:15", R, EH_ASPECT_MISSED, EH_SIDE_BOTH},
    {"extra:15", R, EH_ASPECT_EXTRA, EH_SIDE_BOTH},
    {"flat-flams", R, EH_ASPECT_FLAM_GAP, EH_SIDE_BOTH},
    {"loud-graces", R, EH_ASPECT_GRACE_LEVEL, EH_SIDE_BOTH},
    {"under-accents", C, EH_ASPECT_ACCENT, EH_SIDE_BOTH},
    {"overblown-accents", C, EH_ASPECT_ACCENT, EH_SIDE_BOTH},
    {"thin-buzz", C, EH_ASPECT_BUZZ, EH_SIDE_BOTH},
    {"gapped-buzz", C, EH_ASPECT_BUZZ, EH_SIDE_BOTH},
    {"late-left", C, EH_ASPECT_HAND_TIMING, EH_SIDE_BOTH},
    {"strong-left", C, EH_ASPECT_HAND_LEVEL, EH_SIDE_BOTH},
    {"uneven-taps", C, EH_ASPECT_TAP_LEVEL, EH_SIDE_BOTH},
    {"unsteady", C, EH_ASPECT_TIMING, EH_SIDE_BOTH},
    {"missed:15", C, EH_ASPECT_MISSED, EH_SIDE_BOTH},
    {"rushing", R, EH_ASPECT_TEMPO, EH_SIDE_BOTH},
    {"faster", R, EH_ASPECT_TEMPO, EH_SIDE_BOTH},
    {"dragging", C, EH_ASPECT_TEMPO, EH_SIDE_BOTH},
    {"none", R, EH_ASPECT_COUNT, EH_SIDE_BOTH},
    {"none", C, EH_ASPECT_COUNT, EH_SIDE_BOTH},
};

struct tally {
    int runs, thin, refused, found, within_one, exact, throughout;
    int in_bars, missed_bars, beyond, elsewhere, other;
};

/* ---- How many strokes can tell ---- */

static bool tells(enum eh_aspect aspect, const struct eh_stroke *s) {
    switch (aspect) {
    case EH_ASPECT_DIDDLE_SPACING:
    case EH_ASPECT_DIDDLE_LEVEL:
        return s->kind == EH_KIND_SECOND;
    case EH_ASPECT_ACCENT:
        return s->accent > 0;
    case EH_ASPECT_FLAM_GAP:
    case EH_ASPECT_GRACE_LEVEL:
        return s->grace_count > 0;
    case EH_ASPECT_BUZZ:
        return s->kind == EH_KIND_BUZZ;
    default:
        return s->kind != EH_KIND_GRACE;
    }
}

/* The strokes of the hand that has more of them, in the bars. */
static int strokes_in(const struct placed *p, const struct row *row, const struct range *range) {
    size_t count = 0;
    int hands[2] = {0, 0};
    const struct eh_stroke *strokes = eh_exercise_strokes(p->exercise, &count);
    for (size_t i = 0; i < count; i++) {
        const int hand = strokes[i].hand == EH_HAND_RIGHT;
        const bool here = strokes[i].bar >= range->first && strokes[i].bar <= range->last;
        const bool side = row->side == EH_SIDE_BOTH || (row->side == EH_SIDE_RIGHT) == (hand == 1);
        hands[hand] += here && side && tells(row->aspect, &strokes[i]);
    }
    return hands[0] > hands[1] ? hands[0] : hands[1];
}

/* ---- What was named ---- */

static bool is_asked(const struct row *row, const struct eh_finding *f) {
    return f->aspect == (uint8_t)row->aspect &&
           (row->side == EH_SIDE_BOTH || f->side == (uint8_t)row->side);
}

enum { ASKED = 1, ANOTHER = 2, BARS = 64 };

static void name(unsigned char named[BARS], int32_t first, int32_t last, unsigned char by) {
    for (int32_t bar = first; bar <= last; bar++) {
        named[bar] |= by;
    }
}

/* The bars that the sheet names, by the aspect that was asked for and by others. */
static void mark(const struct placed *p, const struct row *row, unsigned char named[BARS]) {
    memset(named, 0, BARS);
    for (size_t i = 0; i < p->places.count; i++) {
        const struct eh_located *l = &p->places.located[i];
        for (size_t k = 0; k < l->place_count; k++) {
            name(named, l->places[k].first_bar, l->places[k].last_bar,
                 is_asked(row, &l->finding) ? ASKED : ANOTHER);
        }
    }
    for (size_t i = 0; i < p->course.leg_count; i++) {
        name(named, p->course.legs[i].first_bar, p->course.legs[i].last_bar,
             row->aspect == EH_ASPECT_TEMPO ? ASKED : ANOTHER);
    }
}

static bool is_throughout(const struct placed *p, const struct row *row) {
    for (size_t i = 0; i < p->places.count; i++) {
        const struct eh_located *l = &p->places.located[i];
        if (is_asked(row, &l->finding) && l->throughout) {
            return true;
        }
    }
    return false;
}

static void count(struct tally *t, const struct placed *p, const struct row *row,
                  const struct range *range) {
    unsigned char named[BARS];
    int first = 0;
    int last = 0;
    bool hit = false;
    mark(p, row, named);
    for (int bar = 1; bar <= 32; bar++) {
        const bool asked = (named[bar] & ASKED) != 0;
        const bool in = bar >= range->first && bar <= range->last;
        const bool near = bar >= range->first - 1 && bar <= range->last + 1;
        hit = hit || (in && asked);
        t->in_bars += in;
        t->missed_bars += in && !asked;
        t->beyond += near && !in && asked;
        t->elsewhere += !near && asked;
        t->other += !in && (named[bar] & ANOTHER) != 0;
        first = asked && first == 0 ? bar : first;
        last = asked ? bar : last;
    }
    t->found += hit;
    t->throughout += is_throughout(p, row);
    t->exact += hit && first == range->first && last == range->last;
    t->within_one += hit && abs(first - range->first) <= 1 && abs(last - range->last) <= 1;
}

static void show(const struct placed *p) {
    for (size_t i = 0; i < p->course.leg_count; i++) {
        const struct eh_tempo_leg *leg = &p->course.legs[i];
        printf("    tempo, bars %d-%d: %.1f to %.1f, %.1f %% [%.1f %.1f]\n", leg->first_bar,
               leg->last_bar, leg->from_bpm, leg->to_bpm, leg->percent, leg->low, leg->high);
    }
    for (size_t i = 0; i < p->places.count; i++) {
        const struct eh_located *l = &p->places.located[i];
        for (size_t k = 0; k < l->place_count; k++) {
            const struct eh_finding *f = &l->places[k].finding;
            printf("    bars %d-%d %s: %s [%.3f %.3f]\n", l->places[k].first_bar,
                   l->places[k].last_bar, eh_aspect_text((enum eh_aspect)f->aspect), f->text,
                   f->low, f->high);
        }
    }
}

static void run(struct tally *t, const struct row *row, const struct range *range,
                const struct placed_ask *ask, bool tell) {
    struct placed placed;
    t->runs++;
    if (!placed_play(&placed, ask)) {
        t->refused++;
        printf("  not judged: %s %s at %g, seed %d\n", ask->etude, ask->faults, ask->bpm,
               (int)ask->seed);
    } else if (strokes_in(&placed, row, range) < ENOUGH) {
        t->thin++;
    } else {
        count(t, &placed, row, range);
    }
    if (tell && placed.judgement != NULL) {
        printf("  %s at %g, seed %d\n", ask->faults, ask->bpm, (int)ask->seed);
        show(&placed);
    }
    placed_deinit(&placed);
}

/* All tempi and seeds of a row, its fault in each of RANGES. */
static void run_ranges(struct tally *t, const struct row *row, const struct range *ranges,
                       size_t range_count, int seeds, bool tell) {
    for (size_t r = 0; r < range_count; r++) {
        for (size_t k = 0; k < sizeof tempi / sizeof tempi[0]; k++) {
            for (int seed = 1; seed <= seeds; seed++) {
                char fault[80];
                (void)snprintf(fault, sizeof fault, "%s/%d-%d", row->fault, ranges[r].first,
                               ranges[r].last);
                if (ranges[r].last - ranges[r].first == 31) {
                    (void)snprintf(fault, sizeof fault, "%s", row->fault);
                }
                const bool none = strcmp(row->fault, "none") == 0;
                const struct placed_ask ask = {row->etude, none ? "none" : fault, tempi[k],
                                               (uint64_t)(none ? seed * 100 + (int)r : seed),
                                               false};
                run(t, row, &ranges[r], &ask, tell);
            }
        }
    }
}

static void print_tally(const struct row *row, const char *bars, const struct tally *t) {
    printf("%-19s %-10.10s %-5s %5d %5d %5d %5d %5d %5d %5d/%-5d %5d %5d %5d\n", row->fault,
           row->etude, bars, t->runs - t->thin - t->refused, t->thin, t->found, t->within_one,
           t->exact, t->throughout, t->in_bars - t->missed_bars, t->in_bars, t->beyond,
           t->elsewhere, t->other);
    (void)fflush(stdout);
}

int main(int argc, char **argv) {
    const int seeds = argc > 1 ? atoi(argv[1]) : 3;
    printf("%-19s %-10s %-5s %5s %5s %5s %5s %5s %5s %11s %5s %5s %5s\n", "fault", "etude", "bars",
           "runs", "thin", "found", "+-1", "exact", "whole", "bars named", "next", "false",
           "other");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct tally four = {0};
        struct tally eight = {0};
        struct tally whole = {0};
        if (argc > 2 && strncmp(argv[2], rows[i].fault, strlen(argv[2])) != 0) {
            continue;
        }
        run_ranges(&four, &rows[i], fours, sizeof fours / sizeof fours[0], seeds, argc > 2);
        print_tally(&rows[i], "four", &four);
        run_ranges(&eight, &rows[i], eights, sizeof eights / sizeof eights[0], seeds, argc > 2);
        print_tally(&rows[i], "eight", &eight);
        run_ranges(&whole, &rows[i], &all, 1, seeds, argc > 2);
        print_tally(&rows[i], "all", &whole);
    }
    return 0;
}
