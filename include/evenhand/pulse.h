/* What the player's own beat did while the click was silent.
 *
 * After Wing & Kristofferson (1973, Perception & Psychophysics 14, 5-12; from memory) what is heard
 * is a beat of the player's own, which goes its own way where nothing corrects it, and a scatter of
 * each stroke about it. The beat is estimated, the scatter makes the interval; how far somebody
 * would drift another time is not asked. A stretch is a row of silent bars in one pass, and the
 * first stroke after it still belongs to it: it is played before the click can be heard.
 *
 * Where the beat is at the beginning and at the end of a stretch is read from a line (Huber's
 * M-estimate) through the strokes of its first and of its last bar, so that whatever the tempo does
 * in between needs no model; in a stretch of one bar both ends are those of one line. Second
 * strokes of doubles and grace notes are left out. docs/pulse.md has the reasons, and how often the
 * intervals hold.
 *
 * Pure; any thread. */
#ifndef EVENHAND_PULSE_H
#define EVENHAND_PULSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/follow.h"
#include "evenhand/hit.h"
#include "evenhand/plan.h"
#include "evenhand/stats.h"
#include "evenhand/status.h"

/* A tempo that is off by less is hardly noticed: about 2.5 % in a row of more than six beats, 3 %
 * for six intervals, 1.5 % at best (Drake & Botte 1993, Perception & Psychophysics 54, 277-286:
 * 3 % and 1.5 %; what lies between is ours). */
#define EH_PULSE_TEMPO_PERCENT 2.5

/* However long the silence: who is a quarter of a beat off plays another 16th than is written
 * (arithmetic; that this is too far is common practice, no source). */
#define EH_PULSE_BEAT_SHARE 0.25

/* Back: a beat displaced by less is not noticed, 2.5 % of the beat, 6 ms below 240 ms (Friberg &
 * Sundberg 1995, JASA 98, 2524-2531); or by no more than a beat scatters in any case. */
#define EH_PULSE_BACK_SHARE 0.025
#define EH_PULSE_BACK_LEAST_MS 6.0

enum { EH_PULSE_STROKES_LEAST = 5 }; /* of a stretch; fewer say nothing */
enum { EH_PULSE_NOT_BACK = -1 };     /* not before the next silence or the end of the pass */

/* A verdict only where the whole 90 % interval lies within the tolerance, or beyond it. */
enum eh_pulse_verdict {
    EH_PULSE_UNCLEAR,
    EH_PULSE_HELD,
    EH_PULSE_RUSHED, /* faster than the click */
    EH_PULSE_DRAGGED
};

struct eh_pulse_stretch {
    size_t first_bar, bar_count; /* of the plan */
    int32_t pass;                /* from 0 */
    int32_t first_written, last_written;
    double length_ms;
    struct eh_estimate drift_ms;      /* how far the beat went against the click, late positive; n
                                         strokes. NAN: too few */
    struct eh_estimate tempo_percent; /* the same as a tempo, faster than the click positive */
    double tolerance_ms;              /* either way */
    uint8_t verdict;                  /* enum eh_pulse_verdict */

    bool returned; /* a bar with the click follows in the pass; else the rest is not known */
    struct eh_estimate return_ms; /* where the beat was when it came back, against where it usually
                                     is with the click; late positive */
    int32_t beats_back; /* beats from the first one with the click until he was back: 0: he had
                           never been off; or EH_PULSE_NOT_BACK */
};

/* All stretches of so many bars. */
struct eh_pulse_length {
    size_t bars, stretches;                     /* those that could be measured */
    size_t rushed, dragged, held;               /* of them, surely */
    struct eh_estimate drift_ms, tempo_percent; /* their mean */
    double tolerance_ms;
    uint8_t verdict; /* held: the mean, and no single stretch surely not */
};

enum { EH_PULSE_LENGTHS_MAX = 24 };

struct eh_pulse_bar {
    double offset_ms; /* median of its strokes against the click, late positive; NAN: none */
    bool silent;
};

struct eh_pulse {
    struct eh_pulse_stretch *stretches; /* owned; in playing order */
    size_t stretch_count;
    struct eh_pulse_length lengths[EH_PULSE_LENGTHS_MAX]; /* rising; the shortest ones */
    size_t length_count;
    struct eh_pulse_bar *bars; /* owned; one a bar of the plan */
    size_t bar_count;
    double usual_ms;   /* where the player's beat is while the click sounds; NAN: not known */
    double scatter_ms; /* of a stroke about the player's beat (an SD); NAN: not known */
    size_t held_bars;  /* the longest length that held, with none shorter lost; 0: none */
    size_t lost_bars;  /* the shortest that was surely rushed or dragged; 0: none */
};

/* Measures a run. PLAN, MATCHES, HITS are what the follower left; SILENT has one a bar of PLAN.
 * Errors: EH_NO_MEMORY, EH_EMPTY (no bar is silent). OUT is empty then. Give it back with
 * eh_pulse_deinit. */
EH_MUST_USE enum eh_status eh_pulse_measure(struct eh_pulse *out, const struct eh_plan *plan,
                                            const struct eh_match *matches,
                                            const struct eh_hit *hits, const bool *silent);

/* Frees what it owns; an all-zero one is accepted. */
void eh_pulse_deinit(struct eh_pulse *pulse);

/* DRIFT ms over LENGTH_MS as a tempo, percent faster than the click; NAN where the drift is not
 * above -LENGTH_MS. */
double eh_pulse_percent(double drift_ms, double length_ms);

/* "held", "rushed", "dragged", "unclear". */
const char *eh_pulse_text(enum eh_pulse_verdict verdict);

#endif
