#include "phrase.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

struct words {
    uint8_t aspect;
    uint8_t verdict;
    uint8_t direction;
    const char *text;
};

/* What follows the hand. */
static const struct words table[] = {
    {EH_ASPECT_DIDDLE_SPACING, EH_VERDICT_EVEN, EH_DIRECTION_NONE, "seconds even in time"},
    {EH_ASPECT_DIDDLE_SPACING, EH_VERDICT_UNEVEN, EH_DIRECTION_LATE, "seconds late"},
    {EH_ASPECT_DIDDLE_SPACING, EH_VERDICT_UNEVEN, EH_DIRECTION_EARLY, "seconds early"},
    {EH_ASPECT_DIDDLE_SPACING, EH_VERDICT_UNEVEN, EH_DIRECTION_SCATTERED,
     "seconds scattered in time"},
    {EH_ASPECT_DIDDLE_LEVEL, EH_VERDICT_EVEN, EH_DIRECTION_NONE, "seconds even in level"},
    {EH_ASPECT_DIDDLE_LEVEL, EH_VERDICT_UNEVEN, EH_DIRECTION_WEAK, "seconds weak"},
    {EH_ASPECT_DIDDLE_LEVEL, EH_VERDICT_UNEVEN, EH_DIRECTION_STRONG, "seconds strong"},
    {EH_ASPECT_DIDDLE_LEVEL, EH_VERDICT_UNEVEN, EH_DIRECTION_SCATTERED,
     "seconds scattered in level"},
    {EH_ASPECT_ACCENT, EH_VERDICT_RIGHT_SIZED, EH_DIRECTION_NONE, "accents right-sized"},
    {EH_ASPECT_ACCENT, EH_VERDICT_UNDER, EH_DIRECTION_NONE, "accents under"},
    {EH_ASPECT_ACCENT, EH_VERDICT_OVERBLOWN, EH_DIRECTION_NONE, "accents overblown"},
    {EH_ASPECT_UNMARKED_ACCENT, EH_VERDICT_NONE, EH_DIRECTION_NONE,
     "unmarked strokes do not stick out"},
    {EH_ASPECT_UNMARKED_ACCENT, EH_VERDICT_STICKS_OUT, EH_DIRECTION_NONE,
     "unmarked strokes stick out"},
    {EH_ASPECT_TAP_LEVEL, EH_VERDICT_EVEN, EH_DIRECTION_NONE, "taps even in level"},
    {EH_ASPECT_TAP_LEVEL, EH_VERDICT_UNEVEN, EH_DIRECTION_NONE, "taps uneven in level"},
    {EH_ASPECT_FLAM_GAP, EH_VERDICT_RIGHT, EH_DIRECTION_NONE, "grace-note gap right"},
    {EH_ASPECT_FLAM_GAP, EH_VERDICT_FLAT, EH_DIRECTION_NONE, "grace-note gap flat"},
    {EH_ASPECT_FLAM_GAP, EH_VERDICT_WIDE, EH_DIRECTION_NONE, "grace-note gap wide"},
    {EH_ASPECT_GRACE_LEVEL, EH_VERDICT_SOFT, EH_DIRECTION_NONE, "grace notes soft"},
    {EH_ASPECT_GRACE_LEVEL, EH_VERDICT_LOUD, EH_DIRECTION_NONE, "grace notes too loud"},
    {EH_ASPECT_BUZZ, EH_VERDICT_SUSTAINED, EH_DIRECTION_NONE, "buzzes sustained"},
    {EH_ASPECT_BUZZ, EH_VERDICT_THIN, EH_DIRECTION_NONE, "buzzes thin"},
    {EH_ASPECT_BUZZ, EH_VERDICT_GAPPED, EH_DIRECTION_NONE, "buzzes gapped"},
    {EH_ASPECT_HAND_LEVEL, EH_VERDICT_MATCHED, EH_DIRECTION_NONE, "hands matched in level"},
    {EH_ASPECT_HAND_LEVEL, EH_VERDICT_UNMATCHED, EH_DIRECTION_LEFT_SOFT, "left hand softer"},
    {EH_ASPECT_HAND_LEVEL, EH_VERDICT_UNMATCHED, EH_DIRECTION_RIGHT_SOFT, "right hand softer"},
    {EH_ASPECT_HAND_TIMING, EH_VERDICT_MATCHED, EH_DIRECTION_NONE, "hands matched in time"},
    {EH_ASPECT_HAND_TIMING, EH_VERDICT_UNMATCHED, EH_DIRECTION_LEFT_LATE, "left hand late"},
    {EH_ASPECT_HAND_TIMING, EH_VERDICT_UNMATCHED, EH_DIRECTION_RIGHT_LATE, "right hand late"},
    {EH_ASPECT_TIMING, EH_VERDICT_STEADY, EH_DIRECTION_NONE, "timing steady"},
    {EH_ASPECT_TIMING, EH_VERDICT_UNSTEADY, EH_DIRECTION_NONE, "timing unsteady"},
    {EH_ASPECT_TEMPO, EH_VERDICT_STEADY, EH_DIRECTION_NONE, "tempo steady"},
    {EH_ASPECT_TEMPO, EH_VERDICT_DRIFTING, EH_DIRECTION_RUSHING, "tempo rushing"},
    {EH_ASPECT_TEMPO, EH_VERDICT_DRIFTING, EH_DIRECTION_DRAGGING, "tempo dragging"},
    {EH_ASPECT_MISSED, EH_VERDICT_NONE, EH_DIRECTION_NONE, "missed strokes within the limit"},
    {EH_ASPECT_MISSED, EH_VERDICT_SOME, EH_DIRECTION_NONE, "missed strokes"},
    {EH_ASPECT_EXTRA, EH_VERDICT_NONE, EH_DIRECTION_NONE, "extra hits within the limit"},
    {EH_ASPECT_EXTRA, EH_VERDICT_SOME, EH_DIRECTION_NONE, "extra hits"},
    {EH_ASPECT_DYNAMICS, EH_VERDICT_AS_WRITTEN, EH_DIRECTION_NONE, "dynamics as written"},
    {EH_ASPECT_DYNAMICS, EH_VERDICT_OFF, EH_DIRECTION_LOUD, "a passage too loud"},
    {EH_ASPECT_DYNAMICS, EH_VERDICT_OFF, EH_DIRECTION_SOFT, "a passage too soft"},
    {EH_ASPECT_DYNAMICS, EH_VERDICT_OFF, EH_DIRECTION_FLAT, "dynamics too flat"},
    {EH_ASPECT_HAIRPIN, EH_VERDICT_SHAPED, EH_DIRECTION_NONE, "hairpins shaped"},
    {EH_ASPECT_HAIRPIN, EH_VERDICT_FLAT, EH_DIRECTION_NONE, "hairpins flat"},
    {EH_ASPECT_HAIRPIN, EH_VERDICT_REVERSED, EH_DIRECTION_NONE, "hairpins reversed"},
    {EH_ASPECT_RIM, EH_VERDICT_NONE, EH_DIRECTION_NONE, "rim strokes within the limit"},
    {EH_ASPECT_RIM, EH_VERDICT_SOME, EH_DIRECTION_NONE, "rim strokes"},
    {EH_ASPECT_STICKING, EH_VERDICT_AS_WRITTEN, EH_DIRECTION_NONE, "sticking as written"},
    {EH_ASPECT_STICKING, EH_VERDICT_OFF, EH_DIRECTION_NONE, "other hand than written"},
};

static const char *side_word(const struct eh_finding *f) {
    switch ((enum eh_side)f->side) {
    case EH_SIDE_LEFT:
        return "left ";
    case EH_SIDE_RIGHT:
        return "right ";
    case EH_SIDE_BOTH:
        break;
    }
    return "";
}

struct report_phrase report_verdict(const struct eh_finding *f) {
    struct report_phrase phrase;
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        const struct words *w = &table[i];
        if (w->aspect == f->aspect && w->verdict == f->verdict && w->direction == f->direction) {
            (void)snprintf(phrase.text, sizeof phrase.text, "%s%s", side_word(f), w->text);
            return phrase;
        }
    }
    (void)snprintf(phrase.text, sizeof phrase.text, "%s%s %s", side_word(f),
                   eh_aspect_text((enum eh_aspect)f->aspect),
                   eh_verdict_text((enum eh_verdict)f->verdict));
    return phrase;
}

static int decimals_of(const struct eh_finding *f, double value) {
    if (strcmp(f->unit, "share") == 0) {
        return 2;
    }
    const bool counted = strcmp(f->unit, "strokes") == 0 || strcmp(f->unit, "hits") == 0;
    return counted && value == floor(value) ? 0 : 1;
}

/* A quantity that may go either way bears its sign. */
static bool goes_both_ways(const struct eh_finding *f) {
    return f->limit_low < 0.0;
}

struct report_phrase report_bare(const struct eh_finding *f, double value) {
    struct report_phrase phrase = {"not measured"};
    if (report_known(value)) {
        const int decimals = decimals_of(f, value);
        const struct report_number number =
            goes_both_ways(f) ? report_signed(value, decimals) : report_fixed(value, decimals);
        (void)snprintf(phrase.text, sizeof phrase.text, "%s", number.text);
    }
    return phrase;
}

static const char *unit_word(const struct eh_finding *f, double value) {
    if (strcmp(f->unit, "share") == 0) {
        return f->aspect == EH_ASPECT_DIDDLE_SPACING ? " of the span" : "";
    }
    if (strcmp(f->unit, "percent") == 0) {
        return " %";
    }
    if (value == 1.0 && strcmp(f->unit, "strokes") == 0) {
        return " stroke";
    }
    if (value == 1.0 && strcmp(f->unit, "hits") == 0) {
        return " hit";
    }
    return NULL;
}

struct report_phrase report_measure(const struct eh_finding *f, double value) {
    struct report_phrase phrase = report_bare(f, value);
    if (report_known(value)) {
        const char *word = unit_word(f, value);
        const size_t length = strlen(phrase.text);
        (void)snprintf(phrase.text + length, sizeof phrase.text - length, "%s%s",
                       word == NULL && f->unit[0] != '\0' ? " " : "",
                       word == NULL ? f->unit : word);
    }
    return phrase;
}

struct report_phrase report_limit(const struct eh_finding *f) {
    struct report_phrase phrase = {""};
    const bool low = report_known(f->limit_low);
    const bool high = report_known(f->limit_high);
    const struct report_phrase from = report_bare(f, f->limit_low);
    const struct report_phrase to = report_bare(f, f->limit_high);
    if (low && high && strcmp(from.text, to.text) == 0) {
        (void)snprintf(phrase.text, sizeof phrase.text, "%.40s", to.text);
    } else if (low && high) {
        (void)snprintf(phrase.text, sizeof phrase.text, "%.40s to %.40s", from.text, to.text);
    } else if (high) {
        (void)snprintf(phrase.text, sizeof phrase.text, "up to %.40s", to.text);
    } else if (low) {
        (void)snprintf(phrase.text, sizeof phrase.text, "%.40s or more", from.text);
    }
    return phrase;
}
