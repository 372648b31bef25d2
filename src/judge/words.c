/* The words of the judgement document. Switches without a default, so that the compiler finds a
 * missing one. */
#include "evenhand/judgement.h"

#include <stddef.h>

const char *eh_aspect_text(enum eh_aspect aspect) {
    switch (aspect) {
    case EH_ASPECT_DIDDLE_SPACING:
        return "diddle-spacing";
    case EH_ASPECT_DIDDLE_LEVEL:
        return "diddle-level";
    case EH_ASPECT_ACCENT:
        return "accent";
    case EH_ASPECT_UNMARKED_ACCENT:
        return "unmarked-accent";
    case EH_ASPECT_TAP_LEVEL:
        return "tap-level";
    case EH_ASPECT_FLAM_GAP:
        return "flam-gap";
    case EH_ASPECT_GRACE_LEVEL:
        return "grace-level";
    case EH_ASPECT_BUZZ:
        return "buzz";
    case EH_ASPECT_HAND_LEVEL:
        return "hand-level";
    case EH_ASPECT_HAND_TIMING:
        return "hand-timing";
    case EH_ASPECT_TIMING:
        return "timing";
    case EH_ASPECT_TEMPO:
        return "tempo";
    case EH_ASPECT_MISSED:
        return "missed";
    case EH_ASPECT_EXTRA:
        return "extra";
    case EH_ASPECT_DYNAMICS:
        return "dynamics";
    case EH_ASPECT_HAIRPIN:
        return "hairpin";
    case EH_ASPECT_RIM:
        return "rim";
    case EH_ASPECT_STICKING:
        return "sticking";
    case EH_ASPECT_COUNT:
        break;
    }
    return "";
}

const char *eh_side_text(enum eh_side side) {
    switch (side) {
    case EH_SIDE_LEFT:
        return "left";
    case EH_SIDE_RIGHT:
        return "right";
    case EH_SIDE_BOTH:
        return "both";
    }
    return "";
}

const char *eh_verdict_text(enum eh_verdict verdict) {
    switch (verdict) {
    case EH_VERDICT_UNCLEAR:
        return "unclear";
    case EH_VERDICT_EVEN:
        return "even";
    case EH_VERDICT_UNEVEN:
        return "uneven";
    case EH_VERDICT_RIGHT_SIZED:
        return "right-sized";
    case EH_VERDICT_UNDER:
        return "under";
    case EH_VERDICT_OVERBLOWN:
        return "overblown";
    case EH_VERDICT_NONE:
        return "none";
    case EH_VERDICT_SOME:
        return "some";
    case EH_VERDICT_STICKS_OUT:
        return "sticks-out";
    case EH_VERDICT_RIGHT:
        return "right";
    case EH_VERDICT_FLAT:
        return "flat";
    case EH_VERDICT_WIDE:
        return "wide";
    case EH_VERDICT_SOFT:
        return "soft";
    case EH_VERDICT_LOUD:
        return "loud";
    case EH_VERDICT_SUSTAINED:
        return "sustained";
    case EH_VERDICT_THIN:
        return "thin";
    case EH_VERDICT_GAPPED:
        return "gapped";
    case EH_VERDICT_MATCHED:
        return "matched";
    case EH_VERDICT_UNMATCHED:
        return "unmatched";
    case EH_VERDICT_STEADY:
        return "steady";
    case EH_VERDICT_UNSTEADY:
        return "unsteady";
    case EH_VERDICT_DRIFTING:
        return "drifting";
    case EH_VERDICT_AS_WRITTEN:
        return "as-written";
    case EH_VERDICT_OFF:
        return "off";
    case EH_VERDICT_SHAPED:
        return "shaped";
    case EH_VERDICT_REVERSED:
        return "reversed";
    case EH_VERDICT_COUNT:
        break;
    }
    return "";
}

const char *eh_direction_text(enum eh_direction direction) {
    switch (direction) {
    case EH_DIRECTION_NONE:
        return NULL;
    case EH_DIRECTION_LATE:
        return "late";
    case EH_DIRECTION_EARLY:
        return "early";
    case EH_DIRECTION_SCATTERED:
        return "scattered";
    case EH_DIRECTION_WEAK:
        return "weak";
    case EH_DIRECTION_STRONG:
        return "strong";
    case EH_DIRECTION_LEFT_SOFT:
        return "left-soft";
    case EH_DIRECTION_RIGHT_SOFT:
        return "right-soft";
    case EH_DIRECTION_LEFT_LATE:
        return "left-late";
    case EH_DIRECTION_RIGHT_LATE:
        return "right-late";
    case EH_DIRECTION_RUSHING:
        return "rushing";
    case EH_DIRECTION_DRAGGING:
        return "dragging";
    case EH_DIRECTION_LOUD:
        return "loud";
    case EH_DIRECTION_SOFT:
        return "soft";
    case EH_DIRECTION_FLAT:
        return "flat";
    case EH_DIRECTION_COUNT:
        break;
    }
    return NULL;
}

const char *eh_course_text(enum eh_course_kind kind) {
    switch (kind) {
    case EH_COURSE_LATE_START:
        return "late-start";
    case EH_COURSE_STOP:
        return "stop";
    case EH_COURSE_SKIP:
        return "skip";
    case EH_COURSE_REPEAT:
        return "repeat";
    }
    return "";
}

const char *eh_fate_text(enum eh_fate_kind kind) {
    switch (kind) {
    case EH_FATE_PENDING:
        return "pending";
    case EH_FATE_STROKE:
        return "stroke";
    case EH_FATE_BOUNCE:
        return "bounce";
    case EH_FATE_EXTRA:
        return "extra";
    case EH_FATE_DOUBLE_TRIGGER:
        return "double-trigger";
    case EH_FATE_OUTSIDE:
        return "outside";
    }
    return "";
}
