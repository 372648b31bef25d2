/* The judgement of a run: what was matched, what was found, and how sure that is.
 *
 * docs/judgement.md describes the same as a JSON document for other programs. */
#ifndef EVENHAND_JUDGEMENT_H
#define EVENHAND_JUDGEMENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/follow.h"
#include "evenhand/free_tempo.h"
#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"
#include "evenhand/status.h"
#include "evenhand/style.h"

enum eh_aspect {
    EH_ASPECT_DIDDLE_SPACING,
    EH_ASPECT_DIDDLE_LEVEL,
    EH_ASPECT_ACCENT,
    EH_ASPECT_UNMARKED_ACCENT,
    EH_ASPECT_TAP_LEVEL,
    EH_ASPECT_FLAM_GAP,
    EH_ASPECT_GRACE_LEVEL,
    EH_ASPECT_BUZZ,
    EH_ASPECT_HAND_LEVEL,
    EH_ASPECT_HAND_TIMING,
    EH_ASPECT_TIMING,
    EH_ASPECT_TEMPO,
    EH_ASPECT_MISSED,
    EH_ASPECT_EXTRA,
    EH_ASPECT_DYNAMICS,
    EH_ASPECT_HAIRPIN,
    EH_ASPECT_RIM,
    EH_ASPECT_STICKING, /* only where the pad tells the hands apart */
    EH_ASPECT_COUNT
};

enum eh_side { EH_SIDE_LEFT, EH_SIDE_RIGHT, EH_SIDE_BOTH };

/* Verdicts and directions; which go with which aspect stands in docs/judgement.md. */
enum eh_verdict {
    EH_VERDICT_UNCLEAR,
    EH_VERDICT_EVEN,
    EH_VERDICT_UNEVEN,
    EH_VERDICT_RIGHT_SIZED,
    EH_VERDICT_UNDER,
    EH_VERDICT_OVERBLOWN,
    EH_VERDICT_NONE,
    EH_VERDICT_SOME,
    EH_VERDICT_STICKS_OUT,
    EH_VERDICT_RIGHT,
    EH_VERDICT_FLAT,
    EH_VERDICT_WIDE,
    EH_VERDICT_SOFT,
    EH_VERDICT_LOUD,
    EH_VERDICT_SUSTAINED,
    EH_VERDICT_THIN,
    EH_VERDICT_GAPPED,
    EH_VERDICT_MATCHED,
    EH_VERDICT_UNMATCHED,
    EH_VERDICT_STEADY,
    EH_VERDICT_UNSTEADY,
    EH_VERDICT_DRIFTING,
    EH_VERDICT_AS_WRITTEN,
    EH_VERDICT_OFF,
    EH_VERDICT_SHAPED,
    EH_VERDICT_REVERSED,
    EH_VERDICT_COUNT
};

enum eh_direction {
    EH_DIRECTION_NONE,
    EH_DIRECTION_LATE,
    EH_DIRECTION_EARLY,
    EH_DIRECTION_SCATTERED,
    EH_DIRECTION_WEAK,
    EH_DIRECTION_STRONG,
    EH_DIRECTION_LEFT_SOFT,
    EH_DIRECTION_RIGHT_SOFT,
    EH_DIRECTION_LEFT_LATE,
    EH_DIRECTION_RIGHT_LATE,
    EH_DIRECTION_RUSHING,
    EH_DIRECTION_DRAGGING,
    EH_DIRECTION_LOUD,
    EH_DIRECTION_SOFT,
    EH_DIRECTION_FLAT,
    EH_DIRECTION_COUNT
};

/* About one dynamic mark, dB: stick heights of 3, 4.5, 6, 9, 12 inches for p to ff (common
 * practice, no source) taken as amplitudes give 2.5 to 3.5 dB a mark. */
#define EH_MARK_DB 3.0

enum eh_fault { EH_FAULT_NO, EH_FAULT_YES, EH_FAULT_UNCLEAR };

enum { EH_FINDING_TEXT = 480, EH_FINDING_BARS = 16, EH_FINDINGS_MAX = 48, EH_UNIT_TEXT = 12 };

struct eh_finding {
    uint8_t aspect;    /* enum eh_aspect */
    uint8_t side;      /* enum eh_side */
    uint8_t verdict;   /* enum eh_verdict */
    uint8_t direction; /* enum eh_direction; NONE where there is no fault */
    uint8_t fault;     /* enum eh_fault */
    double value;      /* the estimate; NAN where nothing could be measured */
    double low, high;  /* its 90 % interval; NAN where there is none */
    double limit_low;  /* the range that would have been fine; NAN = open end. All of value, */
    double limit_high; /* interval and limits share one unit */
    char unit[EH_UNIT_TEXT]; /* "share", "ms", "dB", "percent", "strokes", "hits", "notes" ... */
    uint32_t n;              /* strokes that it rests on */
    int32_t bars[EH_FINDING_BARS]; /* written bars where it shows most, rising */
    uint32_t bar_count;
    bool
        of_bars; /* the numbers are those of BARS alone, which go their own way; the whole run's: */
    double whole;
    char text[EH_FINDING_TEXT]; /* one plain sentence with the numbers */
};

struct eh_judgement {
    /* What was judged. Views of what the caller gave to eh_judge; they must outlive this. */
    const struct eh_exercise *exercise;
    const struct eh_take *take;
    const struct eh_style *style;
    const struct eh_pad *pad;

    struct eh_plan plan;       /* owned; the strokes in playing order */
    struct eh_match *matches;  /* owned; one a due stroke */
    struct eh_fate *fates;     /* owned; one a hit of the take */
    struct eh_course *courses; /* owned */
    size_t course_count;

    int64_t start_ns;     /* the first bar line on the take's clock */
    double bpm;           /* of the click at the start; quarters a minute. No click: the player's */
    double offset_ms;     /* the player's constant offset, late positive; NAN unknown, and without
                             a click, which it would be an offset from */
    double drift_percent; /* the player's tempo at the end against the click's (no click: against
                             the beginning's), faster positive; NAN unknown */
    bool no_click;
    struct eh_free_tempo free_tempo; /* owned; no click: the tempo that was found, on whose map the
                                        plan lies; else all zero */
    uint32_t matched, missed, extra, double_triggers;

    struct eh_finding findings[EH_FINDINGS_MAX];
    size_t finding_count;
};

/* How a take is to be judged. */
struct eh_judge_request {
    struct eh_plan_request plan;
    bool find_start;    /* look for the start; else START below is it */
    eh_ticks start;     /* on the take's ticks: where the exercise's first bar line lies */
    bool no_click;      /* the take's click was none to the player: his own tempo is looked for and
                           judged (free_tempo.h); FIND_START and START are not looked at */
    int32_t count_off;  /* no click: see struct eh_free_request */
    bool broken_off;    /* likewise */
    const bool *silent; /* for each of the first SILENT_COUNT bars, in the order in which they are
                           played, whether the click was silent in it; later ones sounded. Only
                           looked at while the judgement is made; NULL: none was silent */
    size_t silent_count;
};

/* Judges a take. TAKE holds the pad's hits only. Everything is computed from the arguments:
 * the same arguments give the same answer, on any machine of IEEE arithmetic.
 * Errors: EH_NO_MEMORY, EH_EMPTY (no hits), EH_NO_FIT (exercise not in the take),
 * EH_OUT_OF_RANGE (no such bars or start). On success the caller owns OUT_JUDGEMENT and gives it
 * back with eh_judgement_free. */
EH_MUST_USE enum eh_status eh_judge(struct eh_judgement **out_judgement,
                                    const struct eh_exercise *exercise, const struct eh_take *take,
                                    const struct eh_pad *pad, const struct eh_style *style,
                                    const struct eh_judge_request *request, struct eh_error *error);

/* NULL is accepted. */
void eh_judgement_free(struct eh_judgement *judgement);

/* The offset of a due stroke's hit from the click, ms, late positive, nothing removed; NAN when it
 * was missed. */
double eh_judgement_offset_ms(const struct eh_judgement *judgement, size_t due);

/* What the findings are made from. */
struct eh_measure_input {
    const struct eh_plan *plan;
    const struct eh_hit *hits;
    size_t hit_count;
    const struct eh_match *matches;
    const struct eh_fate *fates;
    const struct eh_pad *pad;
    const struct eh_style *style;
    int64_t resolution_ns;
    const struct eh_free_tempo *free_tempo; /* the player's own tempo; NULL: there was a click */
};

/* Measures a followed run and reaches the verdicts: fills findings, offset_ms and drift_percent of
 * JUDGEMENT. Allocates its scratch room once. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_measure(const struct eh_measure_input *input,
                                      struct eh_judgement *judgement);

/* One bar of a pass while it is being played, for the reporter. */
struct eh_bar_summary {
    int32_t written, pass;
    uint32_t strokes, matched, missed, extra;
    double offset_ms;    /* median offset of its strokes; NAN when none was matched */
    double spacing_left; /* median share of the second strokes of doubles; NAN where none */
    double spacing_right;
    double lift_db; /* median accent over the taps of the bar; NAN where none */
};

/* Summarises plan bar BAR from what is settled. Pure. */
void eh_measure_bar(const struct eh_measure_input *input, size_t bar,
                    struct eh_bar_summary *out_summary);

/* The words of the document: "diddle-spacing", "left", "uneven", "late". */
const char *eh_aspect_text(enum eh_aspect aspect);
const char *eh_side_text(enum eh_side side);
const char *eh_verdict_text(enum eh_verdict verdict);
const char *eh_direction_text(enum eh_direction direction); /* NULL for NONE */
const char *eh_course_text(enum eh_course_kind kind);
const char *eh_fate_text(enum eh_fate_kind kind);

#endif
