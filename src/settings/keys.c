#include "keys.h"

#include "evenhand/style.h"

#define KEY(section, name, field, least, most)                                                     \
    { section, name, offsetof(struct eh_style, field), least, most }

/* The ranges only keep out slips of the pen: below a limen nothing can be heard, and above the
 * upper ends nothing would ever be a fault. */
static const struct style_key keys[] = {
    KEY("diddle", "spacing_share", diddle_spacing_share, 0.01, 0.4),
    KEY("diddle", "spacing_ms", diddle_spacing_ms, 1.0, 100.0),
    KEY("diddle", "scatter_share", diddle_scatter_share, 0.02, 0.5),
    KEY("diddle", "level_db", diddle_level_db, 1.0, 40.0),
    KEY("diddle", "level_scatter_db", diddle_level_scatter_db, 1.0, 40.0),
    KEY("accent", "low_db", accent_low_db, 0.0, 40.0),
    KEY("accent", "high_db", accent_high_db, 1.0, 60.0),
    KEY("accent", "unmarked_db", unmarked_accent_db, 1.0, 40.0),
    KEY("taps", "level_db", tap_level_db, 1.0, 40.0),
    KEY("flam", "gap_low_ms", flam_gap_low_ms, 0.0, 100.0),
    KEY("flam", "gap_high_ms", flam_gap_high_ms, 5.0, 200.0),
    KEY("flam", "drag_gap_high_ms", drag_gap_high_ms, 10.0, 300.0),
    KEY("flam", "grace_softer_db", grace_softer_db, 0.0, 40.0),
    KEY("buzz", "gap_ms", buzz_gap_ms, 20.0, 500.0),
    KEY("buzz", "notes", buzz_notes, 1.0, 12.0),
    KEY("hands", "level_db", hand_level_db, 1.0, 40.0),
    KEY("hands", "timing_ms", hand_timing_ms, 1.0, 100.0),
    KEY("timing", "spread_ms", timing_ms, 1.0, 200.0),
    KEY("timing", "spread_share", timing_share, 0.01, 0.5),
    KEY("timing", "drift_percent", drift_percent, 0.1, 50.0),
    KEY("counts", "missed_share", missed_share, 0.0, 0.5),
    KEY("counts", "extra_share", extra_share, 0.0, 0.5),
    KEY("dynamics", "passage_db", dynamics_db, 1.0, 40.0),
    KEY("dynamics", "contrast_db", contrast_db, 0.0, 40.0),
    KEY("evidence", "least_strokes", least_n, 3.0, 1000.0),
};

const struct style_key *style_keys(size_t *out_count) {
    *out_count = sizeof keys / sizeof keys[0];
    return keys;
}
