/* Judgements made by hand: an exercise, a row of hits that fits it exactly, and findings that say
 * what a test wants them to say. No follower and no measures are at work. */
#ifndef EVENHAND_TESTS_REPORT_MADE_H
#define EVENHAND_TESTS_REPORT_MADE_H

#include "evenhand/judgement.h"

struct made {
    struct eh_exercise *exercise;
    struct eh_take take;
    struct eh_pad pad;
    struct eh_style style;
    struct eh_judgement judgement;
};

/* An exercise text as if played at BPM, PASSES times, every stroke 1 ms late at velocity 64,
 * accents at 96, buzzes with two bounces 40 ms apart. Aborts on failure. */
void made_init(struct made *made, const char *text, double bpm, int passes);
void made_deinit(struct made *made);

/* Takes a due stroke's hit out of the take; the later hits move up. */
void made_miss(struct made *made, size_t due);

/* Puts a hit behind the last one at MS after the first bar line, with this fate. */
void made_append(struct made *made, double ms, double velocity, enum eh_fate_kind fate);

/* Moves a due stroke's hit to MS after its time. */
void made_move(struct made *made, size_t due, double ms);

/* Adds a finding without numbers; returns it. */
struct eh_finding *made_find(struct made *made, enum eh_aspect aspect, enum eh_side side,
                             enum eh_verdict verdict, enum eh_direction direction);

/* Gives it numbers; NAN where there is none. */
void made_numbers(struct eh_finding *finding, double value, double low, double high,
                  double limit_low, double limit_high);

/* The cases that golden files and the schema test use. Names: made_case_name(0 ..), NULL at the
 * end. */
const char *made_case_name(size_t index);
void made_case(struct made *made, const char *name);

#endif
