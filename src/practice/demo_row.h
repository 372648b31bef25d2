/* Inside the demo player: the row of strokes that it plays, on the way from plan to hits. */
#ifndef EH_PRACTICE_DEMO_ROW_H
#define EH_PRACTICE_DEMO_ROW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/demo.h"

#include "random.h"

/* Each use of the seed has its own stream. */
enum eh_demo_stream {
    EH_STREAM_HABIT,
    EH_STREAM_TIME,
    EH_STREAM_SECOND,
    EH_STREAM_LEVEL,
    EH_STREAM_GRACE,
    EH_STREAM_BUZZ,
    EH_STREAM_MISSED,
    EH_STREAM_EXTRA,
    EH_STREAM_ECHO,
    EH_STREAM_RIM,
    EH_STREAM_TAPS
};

/* One stroke that is played: its grace notes and bounces come with it. */
struct eh_part {
    uint32_t due;    /* a main stroke's */
    double plan_ns;  /* when the player means to play it */
    double error_ns; /* by how much it goes wrong */
    double at_ns;    /* the sum, in order */
    double level_db; /* re velocity 127 */
    bool left_out;
    bool rim;
};

struct eh_row {
    struct eh_part *parts; /* owned */
    size_t count;
    size_t capacity;
};

/* The first fault KIND, wherever it shows; NULL when the player has none. */
const struct eh_demo_fault *eh_demo_fault_of(const struct eh_demo *demo,
                                             enum eh_demo_fault_kind kind);

/* Its size, or NAN. The second: of a fault of one hand. */
double eh_demo_size(const struct eh_demo *demo, enum eh_demo_fault_kind kind);
double eh_demo_hand_size(const struct eh_demo *demo, enum eh_demo_fault_kind kind, int hand);

/* The same of a fault that shows in the bar of DUE. */
double eh_demo_size_at(const struct eh_demo *demo, enum eh_demo_fault_kind kind, size_t due);
double eh_demo_hand_size_at(const struct eh_demo *demo, enum eh_demo_fault_kind kind, int hand,
                            size_t due);

/* Whether FAULT shows in a written bar, or in the bar of DUE. */
bool eh_demo_fault_in_bar(const struct eh_demo_fault *fault, int32_t written);
bool eh_demo_fault_at(const struct eh_demo *demo, const struct eh_demo_fault *fault, size_t due);

/* What an accent at DUE rises by. */
double eh_demo_lift_db(const struct eh_demo *demo, size_t due);

/* When the player means to play what is written U_NS after the beginning AT_NS, counted from there:
 * LENGTH_NS is the length of what follows it. */
double eh_demo_bend(const struct eh_demo *demo, int64_t at_ns, double u_ns, double length_ns);

/* How late the player is at DUE for a tempo of its own in bars without a click. */
double eh_demo_silent_ns(const struct eh_demo *demo, size_t due);

/* How the player goes through the plan: stops, skips, repeats, rushing. Fills due, plan_ns. */
EH_MUST_USE enum eh_status eh_row_lay(struct eh_row *row, const struct eh_demo *demo);

/* Fills error_ns and at_ns. */
void eh_row_time(struct eh_row *row, const struct eh_demo *demo);

/* Fills level_db, left_out and rim. */
void eh_row_level(struct eh_row *row, const struct eh_demo *demo);

/* Adds the hits of a row to a take. */
EH_MUST_USE enum eh_status eh_row_hits(const struct eh_row *row, const struct eh_demo *demo,
                                       struct eh_take *take);

/* What a pad makes of one sound after the other. */
struct eh_demo_through {
    const struct eh_pad *pad; /* NULL: it reports everything */
    bool reported;            /* anything yet; the last that was: */
    double last_ns, last_db;
};

/* Fills HIT's time and velocity; false when the pad keeps it to itself. LEVEL_DB is re velocity 127
 * of the pad's own curve. The pad makes its ECHOES itself: they are not masked. */
bool eh_demo_report(struct eh_demo_through *through, double at_ns, double level_db, bool echo,
                    struct eh_hit *hit);

/* Written level of a stroke over mf, dB, as the player plays it, without its accent. */
double eh_demo_written_db(const struct eh_demo *demo, size_t due);

void eh_row_deinit(struct eh_row *row);

static inline bool eh_due_is_grace(const struct eh_plan *plan, size_t due) {
    return plan->due[due].main != due;
}

#endif
