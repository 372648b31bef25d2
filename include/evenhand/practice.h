/* The course of a practice: count-in, passes, the end, and the click that goes with them.
 *
 * A pure state machine: it is told of hits and of the time, and answers with events. It reads no
 * clock, prints nothing and allocates nothing after eh_practice_init. All times are the run's: 0
 * is the first bar line of the exercise, so the first count-in lies before zero. Nothing needs to
 * be typed between the start and the end. One thread at a time. */
#ifndef EVENHAND_PRACTICE_H
#define EVENHAND_PRACTICE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/free_follow.h"
#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"
#include "evenhand/silent.h"
#include "evenhand/status.h"
#include "evenhand/time.h"

enum { EH_COUNT_IN_BARS_MAX = 8, EH_SUBDIVISION_MAX = 8, EH_PASSES_MAX = 999 };

/* What the player asked for. All-zero but BPM means: the whole exercise once, one bar counted in,
 * a click on the beats. */
struct eh_practice_request {
    struct eh_plan_request plan; /* bars and passes; its gap is ignored: a pass is counted in as
                                    the first one is */
    double bpm;                  /* quarter notes a minute, EH_TEMPO_MIN .. EH_TEMPO_MAX */
    int32_t count_in_bars;       /* 0 = one; 1 .. EH_COUNT_IN_BARS_MAX */
    int32_t subdivision;         /* clicks a beat, 0 = 1; 1 .. EH_SUBDIVISION_MAX */
    int64_t silence_ns;          /* so long without a hit while strokes are due ends the run;
                                    0 = two bars, at least four seconds */
    bool no_click;  /* the click falls silent after the first count-in, and the player goes on at
                       his own tempo; passes follow each other without a break */
    bool uncounted; /* NO_CLICK: nor is there a count-in; the first hit is at 0 */
    struct eh_silent_ask silent; /* bars without a click; not with NO_CLICK */
};

enum eh_beat_weight { EH_BEAT_SUBDIVISION, EH_BEAT_PLAIN, EH_BEAT_ONE };

/* One click of the schedule. */
struct eh_beat {
    eh_ticks at;    /* on the run's ticks */
    int64_t at_ns;  /* nominal time */
    int32_t pass;   /* from 0; its count-in belongs to it */
    int32_t number; /* of the beat in its bar, from 1 (a subdivision: of its beat) */
    uint8_t weight; /* enum eh_beat_weight */
    bool count_in;
    bool silent; /* it does not sound */
};

/* Why a run ended. */
enum eh_practice_end {
    EH_END_NOT_YET,
    EH_END_EXERCISE, /* played to the end */
    EH_END_SILENCE,  /* the player fell silent */
    EH_END_NOTHING,  /* nothing was played at all */
    EH_END_STOPPED,  /* the user stopped it */
    EH_END_GONE      /* the port or its server vanished */
};

enum eh_practice_event_kind {
    EH_EVENT_COUNT_IN,    /* the count-in of a pass begins */
    EH_EVENT_PASS_BEGINS, /* the first bar line of a pass */
    EH_EVENT_BAR_SETTLED, /* every stroke of a bar is settled */
    EH_EVENT_PASS_OVER,   /* the last bar line of a pass is past and its strokes are settled */
    EH_EVENT_RUN_OVER,    /* the last event of a run */
    EH_EVENT_BAR_HEARD    /* no click: the player has left a bar, as far as he can be followed */
};

struct eh_practice_event {
    uint8_t kind;             /* enum eh_practice_event_kind */
    uint8_t end;              /* RUN_OVER: enum eh_practice_end */
    int32_t pass;             /* from 0 */
    size_t bar;               /* BAR_SETTLED, BAR_HEARD: index into the plan's bars */
    struct eh_free_bar heard; /* BAR_HEARD */
};

struct eh_practice {
    /* Made by eh_practice_init, constant afterwards. */
    struct eh_plan plan;            /* owned */
    struct eh_plan_request request; /* as the plan was made: with its gap */
    struct eh_tempo_map click;      /* owned; tick 0 at 0 ns */
    bool *silent;                   /* owned; one a bar of the plan */
    struct eh_beat *beats;          /* owned; in order of time */
    size_t beat_count;
    eh_ticks count_in; /* length of a count-in */
    int64_t beat_ns;   /* length of the first bar's beat */
    int64_t silence_ns;
    int64_t grace_ns; /* what is waited for after the last bar line */
    bool no_click, uncounted;

    /* The state. Read it through the functions below. */
    int64_t now_ns, last_hit_ns;
    size_t hit_count, settled_due; /* hits from just before the first bar line on */
    size_t quiet_due;              /* first stroke that is due after the last hit */
    size_t next_bar;               /* first bar that was not reported as settled */
    int32_t counted, begun, over;  /* passes whose count-in, beginning, end was reported */
    uint8_t end;                   /* enum eh_practice_end */
    bool finished, reported;
    struct eh_free_place place; /* no click: the latest */
    struct eh_free_bar heard;   /* no click: the bar that was reported last */
};

/* Lays EXERCISE out as REQUEST says. EXERCISE must outlive PRACTICE. Errors: EH_NO_MEMORY,
 * EH_OUT_OF_RANGE (a number outside its range, no such bars, eh_silent_lay), EH_EMPTY (no strokes
 * in the bars). */
EH_MUST_USE enum eh_status eh_practice_init(struct eh_practice *out_practice,
                                            const struct eh_exercise *exercise,
                                            const struct eh_practice_request *request,
                                            struct eh_error *error);

/* Frees what the practice owns; an all-zero practice is accepted. */
void eh_practice_deinit(struct eh_practice *practice);

/* The time of the first click (negative; 0 where nothing is counted), and, with a click, the time
 * at which the run is over at the latest. */
int64_t eh_practice_start_ns(const struct eh_practice *practice);
int64_t eh_practice_latest_end_ns(const struct eh_practice *practice);

/* A hit of the pad was played at AT_NS. False: during the count-in, so that it is none of the
 * exercise's. */
bool eh_practice_hit(struct eh_practice *practice, int64_t at_ns);

/* It is NOW_NS, all hits before that have been told, and the follower has settled the strokes
 * below SETTLED_DUE. */
void eh_practice_advance(struct eh_practice *practice, int64_t now_ns, size_t settled_due);

/* The same without a click: it is NOW_NS, and the follower sees the player at PLACE. The end is
 * where the last bar line would be at the player's own tempo, once a beat has passed without a hit;
 * silence counts from when the next stroke would be due at that tempo, or from the last hit. */
void eh_practice_follow(struct eh_practice *practice, int64_t now_ns,
                        const struct eh_free_place *place);

/* Uncounted, and no hit yet: WAITED_NS have passed. After EH_PRACTICE_WAIT_NS it is given up. */
#define EH_PRACTICE_WAIT_NS (600 * EH_NS_PER_S)
void eh_practice_wait(struct eh_practice *practice, int64_t waited_ns);

/* Ends the run now. The strokes are reported as settled only as far as they are. */
void eh_practice_stop(struct eh_practice *practice, enum eh_practice_end end);

/* Says that every stroke is settled (the follower has finished), so that the remaining bars are
 * reported before EH_EVENT_RUN_OVER. To be called once eh_practice_is_over. */
void eh_practice_finish(struct eh_practice *practice);

/* Takes the next event; false when there is none at present. EH_EVENT_RUN_OVER comes after
 * eh_practice_finish. */
bool eh_practice_next(struct eh_practice *practice, struct eh_practice_event *out_event);

/* No hit is awaited any more: finish the follower, then call eh_practice_finish. */
bool eh_practice_is_over(const struct eh_practice *practice);
enum eh_practice_end eh_practice_end(const struct eh_practice *practice);

/* What of a run is to be judged, from what is stored of it. A run that was broken off is judged by
 * the passes that were played whole, and by the last one if half of it was played; a single pass by
 * its whole bars (where every bar is played once: a repeat cannot be cut), at least one. COMPLETE:
 * the exercise's end was reached; then, and when HITS holds none within the plan, OUT_PLAYED is
 * ASKED. CLICK is the take's, tick 0 the first bar line; HITS are the pad's. OUT_HITS is how many
 * of them belong to what is judged, from the first on: the others are to be left out. Whoever
 * judges a run judges this, live and from the history alike. Errors: EH_NO_MEMORY, EH_OUT_OF_RANGE,
 * EH_EMPTY as eh_plan_init. */
EH_MUST_USE enum eh_status eh_practice_played(const struct eh_exercise *exercise,
                                              const struct eh_tempo_map *click,
                                              const struct eh_plan_request *asked,
                                              const struct eh_hit *hits, size_t count,
                                              bool complete, struct eh_plan_request *out_played,
                                              size_t *out_hits, struct eh_error *error);

/* The same for a run without a click, by where the player was at his own tempo (eh_free_reach,
 * whose COUNT_OFF this is). TAKE holds the pad's hits; those that are not to be judged are taken
 * out of it: during the count-in by the click, and after what was played whole. Errors: as above.
 */
EH_MUST_USE enum eh_status
eh_practice_played_free(const struct eh_exercise *exercise, const struct eh_pad *pad,
                        const struct eh_plan_request *asked, int32_t count_off, bool complete,
                        struct eh_take *take, struct eh_plan_request *out_played,
                        struct eh_error *error);

/* Length of a count-in before BAR, the first of a pass: BARS whole bars of its metre, and the rest
 * of the bar before a pick-up. This is the gap between two passes. */
eh_ticks eh_practice_count_in(const struct eh_bar *bar, int bars);

/* Length of a beat as it is counted: the unit of the metre, or three of them in 6/8, 9/8, 12/8
 * and the like (common practice, no source). */
eh_ticks eh_beat_ticks(int beats, int unit);

/* "played to the end", "stopped by silence" ... */
const char *eh_practice_end_text(enum eh_practice_end end);

#endif
