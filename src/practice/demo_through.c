/* The demo player's pad: what becomes of a stroke on its way through a module.
 *
 * A described pad turns a level into a velocity by its own curve, keeps what is below its floor or
 * under its mask to itself, reports everything above its top as the top, and stamps late, in steps
 * of its clock. */
#include <math.h>

#include "demo_row.h"

/* Whole velocities, 1 to 127, in proportion to the amplitude. */
static uint16_t plain_velocity(double level_db) {
    const double velocity = 127.0 * eh_db_ratio(level_db) + 0.5;
    const int whole = velocity < 1.0 ? 1 : velocity > 127.0 ? 127 : (int)velocity;
    return (uint16_t)(whole * EH_VELOCITY_UNIT);
}

/* The velocity of a level on the pad's curve, which does not fall; 0 below its first. */
static double curve_velocity(const struct eh_pad *pad, double level_db) {
    double low = 1.0;
    double high = 128.0;
    if (level_db < eh_pad_level_db(pad, low)) {
        return 0.0;
    }
    for (int i = 0; i < 40; i++) {
        const double middle = 0.5 * (low + high);
        if (eh_pad_level_db(pad, middle) <= level_db) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

/* 0: too soft to be reported. */
static int pad_velocity(const struct eh_pad *pad, double level_db) {
    const double velocity = curve_velocity(pad, level_db + eh_pad_level_db(pad, 127.0));
    const double top = fmin(floor(pad->top_velocity), 127.0);
    const double whole = fmin(floor(velocity + 0.5), top);
    if (whole < pad->floor_velocity) {
        return 0;
    }
    return whole < 1.0 ? 1 : (int)whole;
}

static bool masked(const struct eh_demo_through *t, double at_ns, double level_db) {
    return t->reported &&
           level_db - t->last_db < eh_pad_mask_db(t->pad, (int64_t)floor(at_ns - t->last_ns + 0.5));
}

bool eh_demo_report(struct eh_demo_through *through, double at_ns, double level_db, bool echo,
                    struct eh_hit *hit) {
    const struct eh_pad *pad = through->pad;
    if (pad == NULL) {
        hit->at_ns = llround(at_ns);
        hit->velocity = plain_velocity(level_db);
        return true;
    }
    const int velocity = pad_velocity(pad, level_db);
    if (velocity == 0 || (!echo && masked(through, at_ns, level_db))) {
        return false;
    }
    if (!echo) {
        through->reported = true;
        through->last_ns = at_ns;
        through->last_db = level_db;
    }
    const double step = pad->clock_ns > 0 ? (double)pad->clock_ns : 1.0;
    hit->at_ns = llround(ceil((at_ns + (double)pad->delay_ns) / step) * step);
    hit->velocity = (uint16_t)(velocity * EH_VELOCITY_UNIT);
    return true;
}

void eh_demo_take_notes(struct eh_demo_request *request, const struct eh_pad *pad) {
    const uint8_t left = eh_pad_note(pad, EH_ZONE_LEFT);
    const uint8_t right = eh_pad_note(pad, EH_ZONE_RIGHT);
    uint8_t head = eh_pad_note(pad, EH_ZONE_HEAD);
    for (int zone = EH_ZONE_RIM; zone <= EH_ZONE_RIGHT && head == EH_PAD_NO_NOTE; zone++) {
        head = eh_pad_note(pad, (enum eh_zone)zone);
    }
    const uint8_t rim = eh_pad_note(pad, EH_ZONE_RIM);
    if (head == EH_PAD_NO_NOTE) {
        return; /* a pad without notes: nothing to hit */
    }
    const bool both = left != EH_PAD_NO_NOTE && right != EH_PAD_NO_NOTE;
    request->note = head;
    request->rim_note = rim == EH_PAD_NO_NOTE ? head : rim;
    request->hand_notes[EH_HAND_LEFT] = both ? left : head;
    request->hand_notes[EH_HAND_RIGHT] = both ? right : head;
    request->notes_set = true;
}
