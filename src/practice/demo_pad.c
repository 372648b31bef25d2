/* The demo player at a calibration. */
#include "evenhand/demo_pad.h"

#include <math.h>
#include <string.h>

#include "random.h"

/* Invented, but for the mask: mesh heads of the Groove MIDI Dataset 1.0.0 (CC BY 4.0), measured. */
static const struct eh_demo_pad pads[] = {
    {.name = "linear",
     .about = "velocity in proportion to the stick's height; a mesh head's mask",
     .top_db = 9.5,
     .law = 1.0,
     .floor = 1.0,
     .top = 127.0,
     .step = 1.0,
     .dead_ms = 10.0,
     .mask_db = 1.8,
     .delay_ms = 12.0},
    {.name = "hot",
     .about = "high numbers for soft strokes: 2 dB of level for a dB of velocity",
     .top_db = 9.5,
     .law = 2.0,
     .floor = 1.0,
     .top = 127.0,
     .step = 1.0,
     .dead_ms = 10.0,
     .mask_db = 1.8,
     .delay_ms = 12.0},
    {.name = "dull",
     .about = "low numbers for soft strokes: 0.7 dB of level for a dB of velocity",
     .top_db = 8.0,
     .law = 0.7,
     .floor = 1.0,
     .top = 127.0,
     .step = 1.0,
     .dead_ms = 10.0,
     .mask_db = 1.8,
     .delay_ms = 12.0},
    {.name = "low-top",
     .about = "from velocity 110 on all strokes look alike",
     .top_db = 6.5,
     .law = 1.0,
     .floor = 1.0,
     .top = 110.0,
     .step = 1.0,
     .dead_ms = 10.0,
     .mask_db = 1.8,
     .delay_ms = 12.0},
    {.name = "high-floor",
     .about = "strokes below velocity 20 are not reported",
     .top_db = 9.5,
     .law = 1.0,
     .floor = 20.0,
     .top = 127.0,
     .step = 1.0,
     .dead_ms = 10.0,
     .mask_db = 1.8,
     .delay_ms = 12.0},
    {.name = "coarse",
     .about = "velocities in steps of 8, one stroke in ten with an echo",
     .top_db = 9.5,
     .law = 1.0,
     .floor = 1.0,
     .top = 127.0,
     .step = 8.0,
     .echo_percent = 10.0,
     .echo_ms = 35.0,
     .echo_softer_db = 2.0,
     .dead_ms = 10.0,
     .mask_db = 1.8,
     .delay_ms = 12.0},
    {.name = "slow",
     .about = "nothing within 25 ms of a stroke, and 45 ms late",
     .top_db = 9.5,
     .law = 1.0,
     .floor = 1.0,
     .top = 127.0,
     .step = 1.0,
     .dead_ms = 25.0,
     .mask_db = -60.0,
     .delay_ms = 45.0},
};

/* A person: professionals' scatter on a pad, Groove MIDI Dataset 1.0.0 (CC BY 4.0), measured: 1.5
 * dB a tap, 8 ms a stroke, 7 ms of slow wandering. The pairs are invented: the other hand 28 ms
 * behind, a double stroke of 55 ms, the second one from as loud as the first to 14 dB softer. */
static const double tap_db = 1.5;
static const double stroke_ms = 8.0;
static const double wander_ms = 7.0;
static const double wander_keep = 0.9;
static const double wander_new = 0.4358898943540674; /* sqrt(1 - keep^2) */
static const double close_ms = 28.0;
static const double double_ms = 55.0;
static const double gap_share = 0.3;
static const double loud_db = 3.0;
static const double fade_db = 14.0;

static const double mask_db_per_ms = 0.21;
static const double mask_until_ms = 60.0;

/* 20 log10 of the heights 1, 3, 4.5, 6, 9 and 12 inches over 6. */
static const double meant_db[EH_CALIBRATE_MARKS] = {-15.563025007672873, -6.020599913279624,
                                                    -2.498774732165999,  0.0,
                                                    3.521825181113625,   6.020599913279624};

enum { HEAD = 38, CHANNEL = 9 };

struct playing {
    struct eh_demo_tapper *tapper;
    struct eh_random random;
    struct eh_take *take;
    enum eh_status status;
};

const struct eh_demo_pad *eh_demo_pads(size_t *out_count) {
    *out_count = sizeof pads / sizeof pads[0];
    return pads;
}

const struct eh_demo_pad *eh_demo_pad_find(const char *name) {
    for (size_t i = 0; i < sizeof pads / sizeof pads[0]; i++) {
        if (name[0] == '\0' || strcmp(pads[i].name, name) == 0) {
            return &pads[i];
        }
    }
    return NULL;
}

void eh_demo_tapper_init(struct eh_demo_tapper *out_tapper, const struct eh_demo_pad *pad,
                         uint64_t seed) {
    *out_tapper = (struct eh_demo_tapper){.pad = pad, .seed = seed, .last_ms = -1e9};
}

static bool hides(const struct eh_demo_tapper *tapper, double at_ms, double level_db) {
    const double gap = at_ms - tapper->last_ms;
    const double above = level_db - tapper->last_db;
    return gap < tapper->pad->dead_ms ||
           (gap <= mask_until_ms && above < tapper->pad->mask_db - mask_db_per_ms * gap);
}

/* What the pad reports of a stroke. */
static void sound(struct playing *playing, double at_ms, double level_db) {
    struct eh_demo_tapper *tapper = playing->tapper;
    const struct eh_demo_pad *pad = tapper->pad;
    double velocity = 127.0 * eh_db_ratio((level_db - pad->top_db) / pad->law);
    if (velocity < pad->floor || hides(tapper, at_ms, level_db)) {
        return;
    }
    velocity = velocity > pad->top ? pad->top : velocity;
    velocity = floor(velocity / pad->step + 0.5) * pad->step;
    velocity = velocity < 1.0 ? 1.0 : velocity > 127.0 ? 127.0 : velocity;
    const struct eh_hit hit = {
        .at_ns = (int64_t)floor((at_ms + pad->delay_ms) * (double)EH_NS_PER_MS + 0.5),
        .velocity = (uint16_t)(velocity * EH_VELOCITY_UNIT),
        .note = HEAD,
        .channel = CHANNEL};
    if (playing->status == EH_OK) {
        playing->status = eh_take_add(playing->take, &hit);
    }
    tapper->last_ms = at_ms;
    tapper->last_db = level_db;
}

static double stroke_db(struct playing *playing, double level_db) {
    return level_db + tap_db * eh_random_human(&playing->random);
}

static double stroke_at(struct playing *playing, double beat_ms) {
    struct eh_demo_tapper *tapper = playing->tapper;
    tapper->wander_ms = wander_keep * tapper->wander_ms +
                        wander_new * wander_ms * eh_random_normal(&playing->random);
    return beat_ms + tapper->wander_ms + stroke_ms * eh_random_human(&playing->random);
}

static void tap(struct playing *playing, double beat_ms, double level_db) {
    const struct eh_demo_pad *pad = playing->tapper->pad;
    const double at = stroke_at(playing, beat_ms);
    const double level = stroke_db(playing, level_db);
    sound(playing, at, level);
    if (100.0 * eh_random_unit(&playing->random) < pad->echo_percent) {
        const double later = pad->echo_ms * (0.8 + 0.2 * eh_random_unit(&playing->random));
        sound(playing, at + later,
              level - pad->echo_softer_db - 2.0 * eh_random_unit(&playing->random));
    }
}

static void pair(struct playing *playing, double beat_ms, double usual_ms, double softer_db) {
    const double at = stroke_at(playing, beat_ms);
    const double gap = usual_ms * (1.0 + gap_share * eh_random_normal(&playing->random));
    sound(playing, at, stroke_db(playing, loud_db));
    sound(playing, at + (gap > 2.0 ? gap : 2.0), stroke_db(playing, loud_db - softer_db));
}

enum eh_status eh_demo_tapper_play(struct eh_demo_tapper *tapper,
                                   const struct eh_calibrate_course *course, int32_t step,
                                   int32_t attempt, int32_t first_beat, struct eh_take *take) {
    struct playing playing = {.tapper = tapper, .take = take, .status = EH_OK};
    eh_random_seed(&playing.random, tapper->seed,
                   (uint64_t)step * EH_CALIBRATE_ATTEMPTS + (uint64_t)attempt);
    const struct eh_calibrate_step *what = &course->steps[step];
    const double beat_ms = (double)course->beat_ns / (double)EH_NS_PER_MS;
    for (int32_t i = 0; i < what->taps; i++) {
        const double at = (first_beat + i) * beat_ms;
        const double softer = fade_db * i / (what->taps - 1);
        switch ((enum eh_calibrate_kind)what->kind) {
        case EH_CALIBRATE_LEVEL:
            tap(&playing, at, meant_db[what->mark]);
            break;
        case EH_CALIBRATE_CLICK:
            tap(&playing, at, 0.0);
            break;
        case EH_CALIBRATE_CLOSE:
            pair(&playing, at, close_ms, softer);
            break;
        case EH_CALIBRATE_DOUBLE:
            pair(&playing, at, double_ms, softer);
            break;
        }
    }
    return playing.status;
}
