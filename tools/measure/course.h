/* The course of a run: which written strokes a player sets out to play, in which order, and on
 * which beat of the click. */
#ifndef MEASURE_COURSE_H
#define MEASURE_COURSE_H

#include "chance.h"
#include "written.h"

enum course {
    COURSE_STRAIGHT,
    COURSE_LATE_START,     /* the first strokes are left out */
    COURSE_BREAK_OFF,      /* stops and does not go on */
    COURSE_GAP,            /* stops in a bar; goes on at a later bar line, with the click */
    COURSE_RESUME,         /* stops in a bar, rests, goes on from that bar's beginning */
    COURSE_RESUME_EARLIER, /* the same, one to three bars earlier */
    COURSE_RESUME_LATER,   /* rests, goes on one or two bars beyond where the click is */
    COURSE_RESTART,        /* stops, rests, begins again from the beginning */
    COURSE_SKIP,           /* leaves a bar out without a rest */
    COURSE_REPEAT,         /* plays a bar twice without a rest */
    COURSE_HAND_LOST,      /* one hand is silent for a bar */
    COURSE_BAR_ADDED,      /* plays a bar that is not written, then goes on */
    COURSE_OTHER,          /* plays another exercise altogether */
    COURSE_COUNT
};

enum { NOT_WRITTEN = -1 };

/* One stroke that the player sets out to play. */
struct intent {
    int32_t due;        /* which written stroke, or NOT_WRITTEN */
    eh_ticks at;        /* its beat on the plan's ticks (a grace note: its main stroke's) */
    uint8_t hand;       /* enum eh_hand */
    uint8_t kind;       /* enum eh_kind */
    uint8_t accent;     /* 0, 1, 2 */
    int16_t step;       /* written level, thousandths of a dynamic step */
    uint8_t graces;     /* main stroke: how many grace notes stand directly before */
    uint8_t rank;       /* grace note: distance to its main stroke */
    int32_t hairpin;    /* -1 outside */
    int32_t played_bar; /* of the exercise, from 0; -1: none */
    eh_ticks in_bar;    /* place in the bar */
    eh_ticks length;    /* written length */
    uint8_t dynamic;    /* enum eh_dynamic in force */
};

static inline bool intent_is_main(const struct intent *intent) {
    return intent->kind != EH_KIND_GRACE;
}

struct intents {
    struct intent *row; /* owned */
    size_t count, capacity;
};

const char *course_name(enum course course);

/* Lays COURSE through W. OTHER: what is played instead in COURSE_OTHER (else unused). An exercise
 * that is too short for the course is played straight; the result says whether it was laid as
 * asked. */
bool course_set_out(enum course course, const struct written *w, const struct written *other,
                    struct chance *chance, struct intents *out);
void intents_free(struct intents *intents);

#endif
