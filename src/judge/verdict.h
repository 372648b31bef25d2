/* From an estimate to a finding, and the words for it. */
#ifndef EVENHAND_JUDGE_VERDICT_H
#define EVENHAND_JUDGE_VERDICT_H

#include "evenhand/judgement.h"
#include "evenhand/stats.h"

/* Where an estimate lies against its limits. */
enum verdict_place { PLACE_INSIDE, PLACE_BELOW, PLACE_ABOVE, PLACE_UNKNOWN };

/* Why a place is unknown. */
enum verdict_reason {
    REASON_NONE,
    REASON_FEW,       /* too few strokes */
    REASON_WIDE,      /* the interval reaches past both limits, or far past the only one */
    REASON_STRADDLES, /* the estimate lies outside, its interval does not */
    REASON_SATURATED, /* too many hits at the top of the pad's range */
    REASON_COARSE,    /* the clock is coarser than the limit */
    REASON_HIDDEN,    /* the pad may have hidden strokes */
    REASON_FLOOR      /* strokes as soft as the pad reports at all */
};

struct verdict_call {
    enum verdict_place place;
    enum verdict_reason reason;
};

/* LOW or HIGH may be NAN for an open end. A fault needs the whole interval beyond a limit. */
struct verdict_call verdict_place(const struct eh_estimate *e, double low, double high,
                                  double least_n);

/* A new finding of the judgement (a spare one that is thrown away when the list is full), verdict
 * unclear, numbers NAN. */
struct eh_finding *verdict_add(struct eh_judgement *judgement, enum eh_aspect aspect,
                               enum eh_side side);

void verdict_numbers(struct eh_finding *f, const struct eh_estimate *e, double low, double high,
                     const char *unit);

void verdict_fine(struct eh_finding *f, enum eh_verdict verdict);
void verdict_fault(struct eh_finding *f, enum eh_verdict verdict, enum eh_direction direction);

/* ---- Sentences ---- */

/* Writes a finding's text from its start; later calls go on. Too long: cut at the end. */
struct verdict_words {
    struct eh_finding *finding;
    size_t length;
};

struct verdict_words verdict_say(struct eh_finding *f);
void say(struct verdict_words *w, const char *text);
void say_number(struct verdict_words *w, double value, int decimals); /* any locale */
void say_count(struct verdict_words *w, uint32_t n, const char *one, const char *many);
void say_range(struct verdict_words *w, double low, double high, int decimals, const char *unit);
void say_side(struct verdict_words *w, const char *both); /* "left ", "right " or BOTH */

/* " (64 doubles; most in bars 2, 5, 6)" from the finding's n and bars. */
void say_basis(struct verdict_words *w, const char *one, const char *many);

/* "; over the whole run 0.53" where a few bars are told of, which the finding then knows; NAN:
 * nothing. */
void say_whole(struct verdict_words *w, double whole, int decimals, const char *unit);

/* "; levels not calibrated" where they rest on a pad's default map. */
void say_pad(struct verdict_words *w, const struct eh_pad *pad);

/* "; not clear: the interval 0.48 to 0.57 reaches ..." */
void say_reason(struct verdict_words *w, enum verdict_reason reason, int decimals,
                const char *unit);

#endif
