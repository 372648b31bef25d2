/* Whether accents differ between two styles as much as the styles do: some passes were asked for in
 * one, some in the other.
 *
 * The least contrast is the distance between the least accents that the two styles allow
 * (rudimental 4.5 dB, concert 1.5 dB: 3 dB, one dynamic mark, by which a rudimental accent stands
 * higher at least: common practice, no source). Each style's passes are pooled (pool.h); the
 * difference is that of the pooled heights, the sides of its interval combined in squares (Zou &
 * Donner 2008, Stat. Med. 27, 1693-1702); what a pad's map may be wrong by is the same in both
 * styles and stretches the difference as a whole. docs/styles.md has the rule in words.
 *
 * Pure; no allocation; one thread at a time. */
#ifndef EVENHAND_CONTRAST_H
#define EVENHAND_CONTRAST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/judgement.h"
#include "evenhand/pool.h"
#include "evenhand/style.h"

/* Two strokes sound equally loud below about this difference (Jesteadt, Wier & Green 1977, JASA 61,
 * 169-177): styles that are nearer to each other have no contrast, and one that is turned round is
 * so by more. */
#define EH_CONTRAST_LIMEN_DB 1.0

/* The style that asks for lower accents, and the one that asks for higher ones. */
enum eh_contrast_level { EH_CONTRAST_LOWER, EH_CONTRAST_HIGHER };

/* What is taken from the judgement of one pass. */
struct eh_contrast_pass {
    const struct eh_finding *findings; /* those of other aspects are passed over */
    size_t finding_count;
    double level_scale_sd;    /* of the pad's map (struct eh_levels) */
    uint32_t accents, topped; /* accents that were heard, and those at the pad's top */
};

struct eh_contrast_side {
    const struct eh_style *style; /* not owned */
    struct eh_pool accents;       /* both hands' findings */
    struct eh_pool hands[2];      /* by enum eh_hand, where a pass told them apart */
    uint32_t passes;              /* with accents that could be measured */
    uint32_t heard, topped;
};

struct eh_contrast {
    struct eh_contrast_side sides[2]; /* by enum eh_contrast_level */
    double least_db;                  /* the least contrast */
};

/* Begins with A and B, in any order; both must outlive it. False: their least accents lie no
 * EH_CONTRAST_LIMEN_DB apart, so that there is no contrast to play. */
bool eh_contrast_init(struct eh_contrast *out, const struct eh_style *a, const struct eh_style *b);

/* Which of the two STYLE is, by its address. */
enum eh_contrast_level eh_contrast_level_of(const struct eh_contrast *contrast,
                                            const struct eh_style *style);

/* What JUDGEMENT says of its pass. The findings stay the judgement's. */
struct eh_contrast_pass eh_contrast_read(const struct eh_judgement *judgement);

/* Adds a pass that was played in a style. False, and nothing is added: no accent of it could be
 * measured. */
bool eh_contrast_add(struct eh_contrast *contrast, enum eh_contrast_level level,
                     const struct eh_contrast_pass *pass);

enum eh_contrast_verdict {
    EH_CONTRAST_UNCLEAR,
    EH_CONTRAST_THERE,
    EH_CONTRAST_SMALL, /* the whole interval lies below the least contrast */
    EH_CONTRAST_TURNED /* it lies below -EH_CONTRAST_LIMEN_DB: higher where lower was asked */
};

/* Why a contrast is unclear. */
enum eh_contrast_reason {
    EH_CONTRAST_DECIDED,
    EH_CONTRAST_NO_PASS,   /* a style has no pass that could be measured */
    EH_CONTRAST_FEW,       /* or fewer accents than it asks for */
    EH_CONTRAST_WIDE,      /* the interval reaches from the least contrast to none at all */
    EH_CONTRAST_STRADDLES, /* it lies about the least contrast */
    EH_CONTRAST_TOP        /* accents at the pad's top: how high they were is not known */
};

/* A style's own answer. */
struct eh_contrast_height {
    struct eh_estimate height; /* dB over the taps around; NAN where there is none */
    double limit_low, limit_high;
    enum eh_verdict verdict; /* RIGHT_SIZED, UNDER, OVERBLOWN, UNCLEAR */
    bool at_top;             /* over half of its accents were at the pad's top: at least so high */
};

struct eh_contrast_answer {
    struct eh_contrast_height heights[2]; /* by enum eh_contrast_level */
    struct eh_estimate difference;        /* higher less lower, dB; n is the smaller of the two */
    enum eh_contrast_verdict verdict;
    enum eh_contrast_reason reason;
    bool at_least; /* the higher style's accents are at the pad's top: the difference is at least
                      as large */
};

void eh_contrast_answer(const struct eh_contrast *contrast, struct eh_contrast_answer *out);

/* "there", "too-small", "turned-round", "unclear". */
const char *eh_contrast_verdict_text(enum eh_contrast_verdict verdict);

#endif
