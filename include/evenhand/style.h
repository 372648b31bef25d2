/* A style: what a teacher asks for, as numbers.
 *
 * Styles are data, not code: concert and rudimental are INI files under exercises/styles that a
 * teacher copies and edits; settings.h reads them. Each number's reason stands in docs/measures.md
 * and in the style files themselves. Times in ms, levels in dB of the pad's level map. */
#ifndef EVENHAND_STYLE_H
#define EVENHAND_STYLE_H

#include <stdbool.h>
#include <stddef.h>

enum { EH_STYLE_NAME = 32, EH_STYLE_TITLE = 96 };

struct eh_style {
    char name[EH_STYLE_NAME];
    char title[EH_STYLE_TITLE];
    double diddle_spacing_share; /* the second stroke may lie this far from half of the span ... */
    double diddle_spacing_ms;    /* ... or this many ms, whichever is more */
    double
        diddle_scatter_share; /* spread (1.4826 MAD) of that share beyond which it is scattered */
    double diddle_level_db;   /* second against first, either way */
    double diddle_level_scatter_db;
    double accent_low_db, accent_high_db; /* lift of an accent over the taps around it */
    double unmarked_accent_db;            /* an unmarked place or hand stands out beyond this */
    double tap_level_db;                  /* spread of the taps */
    double flam_gap_low_ms, flam_gap_high_ms;
    double drag_gap_high_ms; /* between neighbours of a drag or ruff */
    double grace_softer_db;  /* grace notes are softer than their main note by this */
    double buzz_gap_ms;      /* longest silence in a sustained roll */
    double buzz_notes;       /* bounces a press, the first included */
    double hand_level_db;
    double hand_timing_ms;
    double timing_ms, timing_share; /* spread, whichever is more; share of the stroke spacing */
    double drift_percent;
    double missed_share, extra_share;
    double dynamics_db; /* a passage against its marking on the player's own scale */
    double contrast_db; /* least contrast of two neighbouring marks */
    bool rim_forbidden;
    double least_n; /* strokes below which a summary is unclear */
};

#endif
