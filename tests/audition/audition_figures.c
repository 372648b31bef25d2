/* How well the bars are named in which a fault was put: audition_figures SEEDS [FAULT] */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/tempo_course.h"
#include "placed.h"

static const double tempi[] = {70, 90, 120};

struct range {
    int first, last;
};

static const struct range ranges[] = {{1, 4},   {5, 8},   {9, 12},  {13, 16},
                                      {17, 20}, {21, 24}, {25, 28}, {29, 32}};

struct row {
    const char *fault;
    const char *etude;
    enum eh_aspect aspect;
    enum eh_side side;
};

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
    int runs, found, within_one, exact, throughout, missed_bars, beyond, elsewhere, other;
};

static bool is_asked(const struct row *row, const struct eh_located *l) {
    return l->finding.aspect == (uint8_t)row->aspect &&
           (row->side == EH_SIDE_BOTH || l->finding.side == (uint8_t)row->side);
}

/* BAR was named: by the aspect that was asked for (1), by another (2). */
static void mark(const struct placed *p, const struct row *row, unsigned char named[64]) {
    memset(named, 0, 64);
    for (size_t i = 0; i < p->places.count; i++) {
        const struct eh_located *l = &p->places.located[i];
        for (size_t k = 0; k < l->place_count; k++) {
            for (int bar = l->places[k].first_bar; bar <= l->places[k].last_bar; bar++) {
                named[bar] |= is_asked(row, l) ? 1 : 2;
            }
        }
    }
}

static bool is_throughout(const struct placed *p, const struct row *row) {
    for (size_t i = 0; i < p->places.count; i++) {
        if (is_asked(row, &p->places.located[i]) && p->places.located[i].throughout) {
            return true;
        }
    }
    return false;
}

static void count(struct tally *t, const struct placed *p, const struct row *row,
                  const struct range *range) {
    unsigned char named[64];
    int first = 0;
    int last = 0;
    bool hit = false;
    mark(p, row, named);
    for (int bar = 1; bar <= 32; bar++) {
        const bool in = range != NULL && bar >= range->first && bar <= range->last;
        const bool near = range != NULL && bar >= range->first - 1 && bar <= range->last + 1;
        hit = hit || (in && (named[bar] & 1));
        t->missed_bars += in && !(named[bar] & 1);
        t->beyond += near && !in && (named[bar] & 1);
        t->elsewhere += !near && (named[bar] & 1);
        t->other += (named[bar] & 2) != 0;
        first = (named[bar] & 1) && first == 0 ? bar : first;
        last = (named[bar] & 1) ? bar : last;
    }
    t->runs++;
    t->found += hit;
    t->throughout += is_throughout(p, row);
    if (range != NULL && hit) {
        t->exact += first == range->first && last == range->last;
        t->within_one += abs(first - range->first) <= 1 && abs(last - range->last) <= 1;
    }
}

static void show(const struct placed *p, const char *what) {
    struct eh_tempo_course course;
    if (eh_tempo_course_find(&course, p->judgement) == EH_OK && course.known) {
        printf("    tempo %.1f to %.1f, bars from %.1f to %.1f, error %.2f %%\n", course.begin_bpm,
               course.end_bpm, course.slowest, course.quickest, course.error_percent);
        for (size_t i = 0; i < course.leg_count; i++) {
            printf("    bars %d-%d: %.1f to %.1f, %.1f %% [%.1f %.1f]\n", course.legs[i].first_bar,
                   course.legs[i].last_bar, course.legs[i].from_bpm, course.legs[i].to_bpm,
                   course.legs[i].percent, course.legs[i].low, course.legs[i].high);
        }
    }
    for (size_t i = 0; i < p->places.count; i++) {
        const struct eh_located *l = &p->places.located[i];
        for (size_t k = 0; k < l->place_count; k++) {
            const struct eh_finding *f = &l->places[k].finding;
            printf("    %s: bars %d-%d %s: %s [%.3f %.3f]\n", what, l->places[k].first_bar,
                   l->places[k].last_bar, eh_aspect_text((enum eh_aspect)f->aspect), f->text,
                   f->low, f->high);
        }
    }
}

static void run(struct tally *t, const struct row *row, const struct range *range, int seed,
                bool tell) {
    for (size_t k = 0; k < sizeof tempi / sizeof tempi[0]; k++) {
        char fault[80];
        struct placed placed;
        (void)snprintf(fault, sizeof fault, "%s", row->fault);
        if (range != NULL) {
            (void)snprintf(fault, sizeof fault, "%s/%d-%d", row->fault, range->first, range->last);
        }
        const struct placed_ask ask = {row->etude, fault, tempi[k], (uint64_t)seed, false};
        if (!placed_play(&placed, &ask)) {
            printf("  not judged: %s %s at %g, seed %d\n", row->etude, fault, tempi[k], seed);
            placed_deinit(&placed);
            t->runs++;
            continue;
        }
        count(t, &placed, row, range);
        if (tell) {
            printf("  %s at %g, seed %d\n", fault, tempi[k], seed);
            show(&placed, "");
        }
        placed_deinit(&placed);
    }
}

int main(int argc, char **argv) {
    const int seeds = argc > 1 ? atoi(argv[1]) : 3;
    printf("%-20s %-17s %5s %6s %6s %6s %6s %6s %6s %6s\n", "fault", "etude", "runs", "found",
           "+-1", "exact", "short", "beyond", "false", "other");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct tally t = {0};
        if (argc > 2 && strncmp(argv[2], rows[i].fault, strlen(argv[2])) != 0) {
            continue;
        }
        for (int seed = 1; seed <= seeds; seed++) {
            for (size_t r = 0; r < sizeof ranges / sizeof ranges[0]; r++) {
                const bool none = rows[i].aspect == EH_ASPECT_COUNT;
                run(&t, &rows[i], none ? NULL : &ranges[r], none ? seed * 8 + (int)r : seed,
                    argc > 2);
            }
        }
        printf("%-20s %-17s %5d %6d %6d %6d %6d %6d %6d %6d  throughout %d\n", rows[i].fault,
               rows[i].etude, t.runs, t.found, t.within_one, t.exact, t.missed_bars, t.beyond,
               t.elsewhere, t.other, t.throughout);
        (void)fflush(stdout);
    }
    return 0;
}
