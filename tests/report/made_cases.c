/* The cases by name. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "made.h"

static const char rolls[] = "title: Five-stroke rolls\n"
                            "metre: 2/4\n"
                            "| 16:R/L/ 8:R> 16:L/R/ 8:L> | 16:R/L/ 8:R> 16:L/R/ 8:L> |\n"
                            "| 16:R/L/ 8:R> 16:L/R/ 8:L> | 4:R> - |\n";

static const char figures[] =
    "title: Figures\n"
    "metre: 4/4\n"
    "| p 4:lR R 4:Lz Rz | cresc 8:RL RL RL RL | f 8:3[RLR] llR> - 2:- |\n";

/* What every exercise shows, without fault. */
static void add_plain_findings(struct made *made) {
    struct eh_finding *f = NULL;
    const uint32_t n = (uint32_t)made->judgement.plan.due_count;
    f = made_find(made, EH_ASPECT_TIMING, EH_SIDE_BOTH, EH_VERDICT_STEADY, EH_DIRECTION_NONE);
    made_numbers(f, 7.4, 6.1, 9.0, NAN, 15.0);
    f->n = n;
    f = made_find(made, EH_ASPECT_TEMPO, EH_SIDE_BOTH, EH_VERDICT_STEADY, EH_DIRECTION_NONE);
    made_numbers(f, 0.2, -0.3, 0.7, -2.5, 2.5);
    f->n = n;
    f = made_find(made, EH_ASPECT_HAND_LEVEL, EH_SIDE_BOTH, EH_VERDICT_MATCHED, EH_DIRECTION_NONE);
    made_numbers(f, 0.4, -0.2, 1.0, -3.0, 3.0);
    f->n = n;
    f = made_find(made, EH_ASPECT_MISSED, EH_SIDE_BOTH, EH_VERDICT_NONE, EH_DIRECTION_NONE);
    made_numbers(f, made->judgement.missed, made->judgement.missed, made->judgement.missed, NAN,
                 1.0);
    f->n = n;
    f = made_find(made, EH_ASPECT_EXTRA, EH_SIDE_BOTH, EH_VERDICT_NONE, EH_DIRECTION_NONE);
    made_numbers(f, made->judgement.extra, made->judgement.extra, made->judgement.extra, NAN, 1.0);
    f->n = n;
}

static void add_late_left(struct made *made) {
    struct eh_finding *f = made_find(made, EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT,
                                     EH_VERDICT_UNEVEN, EH_DIRECTION_LATE);
    made_numbers(f, 0.61, 0.58, 0.64, 0.45, 0.55);
    f->n = 16;
    f->bars[0] = 1;
    f->bars[1] = 3;
    f->bar_count = 2;
    (void)snprintf(f->text, sizeof f->text,
                   "left second strokes come 14 ms late: 0.61 of the span where 0.45 to 0.55 is "
                   "even (16 doubles; most in bars 1, 3)");
    f = made_find(made, EH_ASPECT_DIDDLE_SPACING, EH_SIDE_RIGHT, EH_VERDICT_EVEN,
                  EH_DIRECTION_NONE);
    made_numbers(f, 0.51, 0.49, 0.53, 0.45, 0.55);
    f->n = 16;
}

static void clean(struct made *made) {
    made_init(made, rolls, 120.0, 1);
    add_plain_findings(made);
}

static void faulty(struct made *made) {
    made_init(made, rolls, 96.5, 1);
    struct eh_finding *f = NULL;
    for (size_t i = 0; i < made->judgement.plan.due_count; i++) {
        const struct eh_stroke *stroke = eh_plan_stroke(&made->judgement.plan, i);
        if (stroke->kind == EH_KIND_SECOND && stroke->hand == EH_HAND_LEFT) {
            made_move(made, i, 18.0);
        }
    }
    made_miss(made, 7);
    made_miss(made, 12);
    made_append(made, 5010.0, 50.0, EH_FATE_EXTRA);
    made_append(made, 5016.0, 12.5, EH_FATE_DOUBLE_TRIGGER);
    made_append(made, 9000.0, 70.0, EH_FATE_OUTSIDE);
    made->judgement.offset_ms = -8.25;
    add_late_left(made);
    add_plain_findings(made);
    f = &made->judgement.findings[5];
    f->verdict = EH_VERDICT_SOME;
    f->fault = EH_FAULT_YES;
    f->bars[0] = 2;
    f->bar_count = 1;
    (void)snprintf(f->text, sizeof f->text,
                   "2 strokes were missed, where up to 1 may fail (31 strokes written; most in "
                   "bar 2)");
    f = made_find(made, EH_ASPECT_ACCENT, EH_SIDE_BOTH, EH_VERDICT_UNDER, EH_DIRECTION_NONE);
    made_numbers(f, 3.5, 3.1, 3.9, 4.5, 12.0);
    f->n = 7;
    (void)snprintf(f->text, sizeof f->text,
                   "accents stand 3.5 dB above the taps, where rudimental style asks for 4.5 to "
                   "12.0 dB (7 accents)");
    f = made_find(made, EH_ASPECT_TAP_LEVEL, EH_SIDE_BOTH, EH_VERDICT_UNEVEN, EH_DIRECTION_NONE);
    made_numbers(f, 4.4, 3.7, 5.2, NAN, 3.5);
    f->n = 24;
    f = made_find(made, EH_ASPECT_HAND_TIMING, EH_SIDE_BOTH, EH_VERDICT_UNCLEAR, EH_DIRECTION_NONE);
    made_numbers(f, 11.0, 4.0, 18.0, -10.0, 10.0);
    f->n = 31;
    (void)snprintf(f->text, sizeof f->text,
                   "the left hand is 11 ms behind the right, where 10 is fine (31 strokes); not "
                   "clear: it may be anything from 4 to 18 ms; play it longer");
}

static void figured(struct made *made) {
    made_init(made, figures, 80.0, 2);
    struct eh_judgement *j = &made->judgement;
    made->take.dropped = 3;
    made->take.resolution_ns = 1041666;
    made->take.hits[1].velocity = 38 * EH_VELOCITY_UNIT + 4;
    j->matches[20].shift_ns = -3 * EH_NS_PER_S;
    j->offset_ms = NAN;
    j->drift_percent = NAN;
    add_plain_findings(made);
    (void)made_find(made, EH_ASPECT_FLAM_GAP, EH_SIDE_BOTH, EH_VERDICT_UNCLEAR, EH_DIRECTION_NONE);
    struct eh_finding *f =
        made_find(made, EH_ASPECT_BUZZ, EH_SIDE_LEFT, EH_VERDICT_THIN, EH_DIRECTION_NONE);
    made_numbers(f, 2.5, 2.1, 2.9, 3.0, NAN);
    f->n = 4;
    j->courses = calloc(4, sizeof *j->courses);
    if (j->courses == NULL) {
        abort();
    }
    j->course_count = 4;
    for (size_t i = 0; i < 4; i++) {
        j->courses[i] = (struct eh_course){.kind = (uint8_t)i,
                                           .due = (uint32_t)(3 * i),
                                           .at_ns = j->start_ns + (int64_t)i * EH_NS_PER_S};
    }
}

static void odd_text(struct made *made) {
    made_init(made, "title: \"Hands\" \\ Caf\xC3\xA9 \xE5\xA4\xAA\xE9\xBC\x93\n| 4:RLRL |\n", 120.0,
              1);
    (void)snprintf(made->take.source, sizeof made->take.source,
                   "a\x1b[31m\x07\xFF\xC3(\xED\xA0\x80\xF4\x90\x80\x80\xC2\x9B.mid");
    (void)snprintf(made->pad.name, sizeof made->pad.name, "tab\there\x7F");
    add_plain_findings(made);
    struct eh_finding *f = &made->judgement.findings[0];
    made_numbers(f, 7.4, -INFINITY, INFINITY, NAN, 15.0);
    made->judgement.bpm = 119.9995;
    made->judgement.drift_percent = INFINITY;
    made->judgement.offset_ms = -0.0001;
}

static const struct {
    const char *name;
    void (*make)(struct made *made);
} cases[] = {{"clean", clean}, {"faulty", faulty}, {"figured", figured}, {"odd-text", odd_text}};

const char *made_case_name(size_t index) {
    return index < sizeof cases / sizeof cases[0] ? cases[index].name : NULL;
}

void made_case(struct made *made, const char *name) {
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        if (strcmp(cases[i].name, name) == 0) {
            cases[i].make(made);
            return;
        }
    }
    abort();
}
