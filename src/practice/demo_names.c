#include "evenhand/demo.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise.h"
#include "evenhand/text.h"

#define LEFT EH_HAND_LEFT
#define RIGHT EH_HAND_RIGHT

static const struct eh_demo_name names[] = {
    {"late-left-seconds", EH_DEMO_LATE_SECONDS, LEFT, 24, 1, 80, "% of the gap",
     "the second left stroke of a double comes late"},
    {"late-right-seconds", EH_DEMO_LATE_SECONDS, RIGHT, 24, 1, 80, "% of the gap",
     "the second right stroke of a double comes late"},
    {"early-left-seconds", EH_DEMO_EARLY_SECONDS, LEFT, 24, 1, 80, "% of the gap",
     "the second left stroke of a double comes early"},
    {"early-right-seconds", EH_DEMO_EARLY_SECONDS, RIGHT, 24, 1, 80, "% of the gap",
     "the second right stroke of a double comes early"},
    {"scattered-left-seconds", EH_DEMO_SCATTERED_SECONDS, LEFT, 50, 1, 80, "% of the gap",
     "left seconds fall now early, now late"},
    {"scattered-right-seconds", EH_DEMO_SCATTERED_SECONDS, RIGHT, 50, 1, 80, "% of the gap",
     "right seconds fall now early, now late"},
    {"weak-left-seconds", EH_DEMO_WEAK_SECONDS, LEFT, 6, 1, 20, "dB",
     "left seconds are weaker than firsts"},
    {"weak-right-seconds", EH_DEMO_WEAK_SECONDS, RIGHT, 6, 1, 20, "dB",
     "right seconds are weaker than firsts"},
    {"strong-left-seconds", EH_DEMO_STRONG_SECONDS, LEFT, 6, 1, 20, "dB",
     "left seconds are stronger than firsts"},
    {"strong-right-seconds", EH_DEMO_STRONG_SECONDS, RIGHT, 6, 1, 20, "dB",
     "right seconds are stronger than firsts"},
    {"under-accents", EH_DEMO_UNDER_ACCENTS, 0, NAN, 0, 30, "dB over the taps",
     "accents hardly rise (else 1/4 of the style's least)"},
    {"overblown-accents", EH_DEMO_OVERBLOWN_ACCENTS, 0, NAN, 0, 30, "dB over the taps",
     "accents rise too far (else 1.35 x the style's most)"},
    {"strong-lead", EH_DEMO_STRONG_HAND, RIGHT, 6, 0.5, 20, "dB",
     "the right hand, which leads, is louder throughout"},
    {"strong-right", EH_DEMO_STRONG_HAND, RIGHT, 6, 0.5, 20, "dB",
     "the right hand is louder throughout"},
    {"strong-left", EH_DEMO_STRONG_HAND, LEFT, 6, 0.5, 20, "dB",
     "the left hand is louder throughout"},
    {"late-left", EH_DEMO_LATE_HAND, LEFT, 25, 1, 100, "ms", "the left hand comes late throughout"},
    {"late-right", EH_DEMO_LATE_HAND, RIGHT, 25, 1, 100, "ms",
     "the right hand comes late throughout"},
    {"uneven-taps", EH_DEMO_UNEVEN_TAPS, 0, 6, 1, 12, "dB of spread",
     "unaccented strokes differ in level"},
    {"unsteady", EH_DEMO_UNSTEADY, 0, 32, 1, 100, "ms of spread",
     "strokes fall before and behind the beat at random"},
    {"rushing", EH_DEMO_RUSHING, 0, 5, 0.1, 30, "%", "the tempo rises all through a pass"},
    {"dragging", EH_DEMO_DRAGGING, 0, 5, 0.1, 30, "%", "the tempo falls all through a pass"},
    {"late", EH_DEMO_LATE, 0, 40, 1, 200, "ms", "everything comes late by the same"},
    {"early", EH_DEMO_EARLY, 0, 40, 1, 200, "ms", "everything comes early by the same"},
    {"missed", EH_DEMO_MISSED, 0, 6, 0.1, 50, "% of the strokes", "strokes are left out"},
    {"extra", EH_DEMO_EXTRA, 0, 5, 0.1, 50, "% of the strokes", "hits that are not written"},
    {"double-triggers", EH_DEMO_DOUBLE_TRIGGERS, 0, 3, 0.1, 50, "% of the hits",
     "the pad reports an echo of a stroke"},
    {"late-start", EH_DEMO_LATE_START, 0, NAN, 1, 64, "beats",
     "the beginning is not played (else a bar of it)"},
    {"stop", EH_DEMO_STOP, 0, NAN, 1, 64, "beats",
     "falls out in the middle, comes in again (else a bar)"},
    {"skip", EH_DEMO_SKIP, 0, NAN, 1, 64, "beats",
     "jumps ahead in the middle and plays on (else a bar)"},
    {"repeat", EH_DEMO_REPEAT, 0, NAN, 1, 64, "beats",
     "plays a stretch twice in the middle (else a bar)"},
    {"flat-flams", EH_DEMO_FLAT_FLAMS, 0, 3, 0, 20, "ms",
     "grace notes fall together with their main stroke"},
    {"wide-flams", EH_DEMO_WIDE_FLAMS, 0, 65, 30, 120, "ms",
     "grace notes come long before their main stroke"},
    {"loud-graces", EH_DEMO_LOUD_GRACES, 0, 0, -6, 12, "dB below the main stroke",
     "grace notes are as loud as their main stroke"},
    {"thin-buzz", EH_DEMO_THIN_BUZZ, 0, 2, 1, 8, "notes a press", "a press bounces too little"},
    {"gapped-buzz", EH_DEMO_GAPPED_BUZZ, 0, 150, 20, 1000, "ms before the next stroke",
     "a press ends too early"},
    {"flat-dynamics", EH_DEMO_FLAT_DYNAMICS, 0, 0, 0, 100, "% of the written contrast",
     "dynamic marks and hairpins are not followed"},
    {"reversed-hairpins", EH_DEMO_REVERSED_HAIRPINS, 0, 100, 1, 100, "% of the written size",
     "hairpins go the wrong way"},
    {"faster", EH_DEMO_FASTER, 0, 8, 0.1, 60, "%", "a tempo of its own, above the click's"},
    {"slower", EH_DEMO_SLOWER, 0, 8, 0.1, 60, "%", "a tempo of its own, below the click's"},
    {"rubato", EH_DEMO_RUBATO, 0, 4, 0.1, 20, "%",
     "the tempo rises and falls, in waves of eight bars"},
    {"wait", EH_DEMO_WAIT, 0, NAN, 1, 64, "beats",
     "waits in the middle, goes on where it was (else a bar)"},
    {"own-tempo", EH_DEMO_OWN_TEMPO, 0, 4, -30, 30, "%",
     "without the click the beat goes its own way (pulse)"},
    {"rim", EH_DEMO_RIM, 0, 25, 0.1, 100, "% of the strokes", "strokes catch the rim"},
};

enum { NAME_COUNT = sizeof names / sizeof names[0], NEAREST = 3, WORD = 48 };

const struct eh_demo_name *eh_demo_names(size_t *out_count) {
    *out_count = NAME_COUNT;
    return names;
}

static const struct eh_demo_name *find(const char *word) {
    for (size_t i = 0; i < NAME_COUNT; i++) {
        if (strcmp(names[i].name, word) == 0) {
            return &names[i];
        }
    }
    return NULL;
}

/* The names nearest to WORD, the nearest first. */
static void find_nearest(const char *word, size_t out_index[NEAREST]) {
    bool taken[NAME_COUNT] = {false};
    for (size_t n = 0; n < NEAREST; n++) {
        int best = 1000;
        for (size_t i = 0; i < NAME_COUNT; i++) {
            const int distance = eh_text_distance(word, names[i].name);
            if (!taken[i] && distance < best) {
                best = distance;
                out_index[n] = i;
            }
        }
        taken[out_index[n]] = true;
    }
}

static enum eh_status fail_unknown(const char *word, struct eh_error *error) {
    size_t near[NEAREST] = {0};
    find_nearest(word, near);
    return eh_fail(error, EH_NOT_FOUND,
                   "the demo player knows no fault '%.40s'; the nearest are %s, %s and %s", word,
                   names[near[0]].name, names[near[1]].name, names[near[2]].name);
}

/* A plain decimal number, independent of the locale: [-]digits[.digits]. */
static bool read_number(const char *text, double *out_number) {
    const bool negative = *text == '-';
    const char *p = text + negative;
    double number = 0.0;
    double unit = 1.0;
    bool digits = false;
    for (bool fraction = false; *p != '\0'; p++) {
        if (*p == '.' && !fraction) {
            fraction = true;
            continue;
        }
        if (*p < '0' || *p > '9' || p - text > 12) {
            return false;
        }
        digits = true;
        number = number * 10.0 + (*p - '0');
        unit *= fraction ? 10.0 : 1.0;
    }
    *out_number = (negative ? -number : number) / unit;
    return digits;
}

/* Ends WORD before the first MARK; what stands behind it, or NULL. */
static char *cut(char *word, char mark) {
    char *at = strchr(word, mark);
    if (at != NULL) {
        *at++ = '\0';
    }
    return at;
}

/* A bar's number, from 1; what stands behind it. */
static const char *read_bar(const char *text, int32_t *out_bar) {
    int32_t bar = 0;
    for (; *text >= '0' && *text <= '9' && bar < 100000; text++) {
        bar = bar * 10 + (*text - '0');
    }
    *out_bar = bar;
    return text;
}

static enum eh_status read_bars(struct eh_demo_fault *fault, const struct eh_demo_name *name,
                                const char *text, struct eh_error *error) {
    if (name->kind == EH_DEMO_LATE_START || name->kind == EH_DEMO_RUBATO ||
        name->kind == EH_DEMO_OWN_TEMPO) {
        return eh_fail(error, EH_OUT_OF_RANGE, "%s has its place; it takes no bars, not '/%.20s'",
                       name->name, text);
    }
    const char *end = read_bar(text, &fault->first_bar);
    fault->last_bar = fault->first_bar;
    if (*end == '-') {
        end = read_bar(end + 1, &fault->last_bar);
    }
    if (*end != '\0' || fault->first_bar < 1 || fault->last_bar < fault->first_bar) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "the bars in which %s shows are a number or two, 5 or 5-8, not '%.20s'",
                       name->name, text);
    }
    return EH_OK;
}

enum eh_status eh_demo_fault_read(struct eh_demo_fault *out_fault, const char *text,
                                  struct eh_error *error) {
    char word[2 * WORD] = "";
    (void)snprintf(word, sizeof word, "%s", text);
    char *bars = cut(word, '/');
    char *tempo = cut(word, '@');
    char *size = cut(word, ':');
    *out_fault = (struct eh_demo_fault){.kind = EH_DEMO_NO_FAULT, .size = NAN};
    if (*text == '\0' || strcmp(text, "none") == 0) {
        return EH_OK;
    }
    const struct eh_demo_name *name = find(word);
    if (name == NULL) {
        return fail_unknown(word, error);
    }
    *out_fault = (struct eh_demo_fault){.kind = name->kind, .side = name->side, .size = name->size};
    if (size != NULL && (!read_number(size, &out_fault->size) || out_fault->size < name->low ||
                         out_fault->size > name->high)) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "the size of %s is a number from %g to %g (%s), not '%.20s'", name->name,
                       name->low, name->high, name->unit, size);
    }
    if (tempo != NULL &&
        (!read_number(tempo, &out_fault->above_bpm) || out_fault->above_bpm < EH_TEMPO_MIN ||
         out_fault->above_bpm > EH_TEMPO_MAX)) {
        return eh_fail(error, EH_OUT_OF_RANGE,
                       "the tempo above which %s shows is a number from %g to %g, not '%.20s'",
                       name->name, EH_TEMPO_MIN, EH_TEMPO_MAX, tempo);
    }
    return bars == NULL ? EH_OK : read_bars(out_fault, name, bars, error);
}

enum eh_status eh_demo_faults_read(struct eh_demo_fault *out_faults, size_t *out_count,
                                   const char *text, struct eh_error *error) {
    *out_count = 0;
    for (const char *from = text; from != NULL;) {
        const char *comma = strchr(from, ',');
        const size_t length = comma != NULL ? (size_t)(comma - from) : strlen(from);
        char one[2 * WORD] = "";
        memcpy(one, from, length < sizeof one - 1 ? length : sizeof one - 1);
        struct eh_demo_fault fault;
        const enum eh_status status = eh_demo_fault_read(&fault, one, error);
        if (status != EH_OK) {
            return status;
        }
        if (*out_count == EH_DEMO_FAULTS_MAX && fault.kind != EH_DEMO_NO_FAULT) {
            return eh_fail(error, EH_OUT_OF_RANGE, "the demo player has at most %d faults at once",
                           EH_DEMO_FAULTS_MAX);
        }
        if (fault.kind != EH_DEMO_NO_FAULT) {
            out_faults[(*out_count)++] = fault;
        }
        from = comma != NULL ? comma + 1 : NULL;
    }
    return EH_OK;
}
