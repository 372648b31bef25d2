#include "kit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* How far the law of a pad that follows the default one is off it: what the default map says of
 * itself (scale_sd in evenhand/pad.h). */
#define LAW_SD 0.1

/* How far a pad's curve bends beside its law (assumed). */
#define BENDS_DB 2.0

/* "good" hides what the mesh heads of the published takes hide and is otherwise exact. The share of
 * echoes, the floors, curves and merging times are assumptions about cheaper pads. */
static const struct kit kits[] = {
    {.name = "good", .clock_ms = 0.1, .masks = true, .curve = 1.0, .law_sd = LAW_SD},
    {.name = "good-known", .clock_ms = 0.1, .masks = true, .curve = 1.0, .told = TOLD_EXACTLY},
    {.name = "good-calibrated",
     .clock_ms = 0.1,
     .masks = true,
     .curve = 1.0,
     .law_sd = LAW_SD,
     .bends_db = BENDS_DB,
     .told = TOLD_CALIBRATION},
    {.name = "open", .clock_ms = 0.1, .masks = false, .curve = 1.0, .law_sd = LAW_SD},
    {.name = "clock-1ms", .clock_ms = 1.0, .masks = true, .curve = 1.0, .law_sd = LAW_SD},
    {.name = "clock-5ms", .clock_ms = 5.0, .masks = true, .curve = 1.0, .law_sd = LAW_SD},
    {.name = "echoes-3%",
     .clock_ms = 1.0,
     .masks = true,
     .echoes = 0.03,
     .curve = 1.0,
     .law_sd = LAW_SD},
    {.name = "floor-24",
     .clock_ms = 1.0,
     .masks = true,
     .floor_velocity = 24,
     .curve = 1.0,
     .law_sd = LAW_SD},
    {.name = "floor-24-told",
     .clock_ms = 1.0,
     .masks = true,
     .floor_velocity = 24,
     .curve = 1.0,
     .law_sd = LAW_SD,
     .told = TOLD_MAP},
    {.name = "gain-6dB",
     .clock_ms = 1.0,
     .masks = true,
     .gain_db = -6.0,
     .curve = 1.0,
     .law_sd = LAW_SD},
    {.name = "saturated",
     .clock_ms = 1.0,
     .masks = true,
     .gain_db = 8.0,
     .curve = 1.0,
     .law_sd = LAW_SD},
    {.name = "hot", .clock_ms = 1.0, .masks = true, .curve = 0.6},
    {.name = "hot-told",
     .clock_ms = 1.0,
     .masks = true,
     .curve = 0.6,
     .law_sd = LAW_SD,
     .told = TOLD_MAP},
    {.name = "hot-calibrated",
     .clock_ms = 1.0,
     .masks = true,
     .curve = 0.6,
     .bends_db = BENDS_DB,
     .told = TOLD_CALIBRATION},
    {.name = "dull", .clock_ms = 1.0, .masks = true, .curve = 1.5},
    {.name = "dull-told",
     .clock_ms = 1.0,
     .masks = true,
     .curve = 1.5,
     .law_sd = LAW_SD,
     .told = TOLD_MAP},
    {.name = "dull-calibrated",
     .clock_ms = 1.0,
     .masks = true,
     .curve = 1.5,
     .bends_db = BENDS_DB,
     .told = TOLD_CALIBRATION},
    {.name = "straight-calibrated",
     .clock_ms = 1.0,
     .masks = true,
     .curve = 1.0,
     .straight_db = 40.0,
     .step = 3.0,
     .told = TOLD_CALIBRATION},
    {.name = "merging-25ms",
     .clock_ms = 1.0,
     .masks = true,
     .curve = 1.0,
     .law_sd = LAW_SD,
     .merge_ms = 25.0},
};

const struct kit *kit_list(size_t *out_count) {
    *out_count = sizeof kits / sizeof *kits;
    return kits;
}

const struct kit *kit_named(const char *name) {
    for (size_t i = 0; i < sizeof kits / sizeof *kits; i++) {
        if (strcmp(kits[i].name, name) == 0) {
            return &kits[i];
        }
    }
    return NULL;
}

struct kit kit_draw(const struct kit *kit, struct chance *chance) {
    struct kit one = *kit;
    one.curve *= exp(kit->law_sd * chance_normal(chance));
    if (kit->bends_db > 0.0) {
        one.bends_db = one.curve * chance_between(chance, -kit->bends_db, kit->bends_db);
        one.bends_from_db = chance_between(chance, -35.0, -15.0);
    }
    return one;
}

void kit_describe(const struct kit *kit, struct eh_pad *out_pad) {
    eh_pad_init_default(out_pad);
    if (kit->told != TOLD_MAP && kit->told != TOLD_EXACTLY) {
        return;
    }
    struct eh_level_map *map = &out_pad->levels;
    out_pad->floor_velocity = kit->floor_velocity;
    (void)snprintf(map->name, sizeof map->name, "%s", kit->name);
    map->scale_sd = kit->law_sd;
    map->count = EH_LEVEL_POINTS;
    for (int i = 0; i < EH_LEVEL_POINTS; i++) {
        const double velocity = pow(127.0, i / (EH_LEVEL_POINTS - 1.0));
        map->velocity[i] = velocity;
        map->level_db[i] = 20.0 * log10(velocity / 127.0) / kit->curve - kit->gain_db;
    }
}

void reported_free(struct reported *reported) {
    free(reported->hits);
    free(reported->truth);
    memset(reported, 0, sizeof *reported);
}

static void make_room(struct reported *out, size_t count) {
    if (count <= out->capacity) {
        return;
    }
    reported_free(out);
    out->hits = malloc(count * sizeof *out->hits);
    out->truth = malloc(count * sizeof *out->truth);
    out->capacity = count;
    if (out->hits == NULL || out->truth == NULL) {
        (void)fprintf(stderr, "no memory for %zu hits\n", count);
        abort();
    }
}

static double velocity_of(const struct kit *kit, double level_db) {
    if (kit->straight_db > 0.0) {
        return 127.0 + 126.0 * level_db / kit->straight_db;
    }
    const double along = fmin(fmax((level_db - kit->bends_from_db) / 25.0, 0.0), 1.0);
    const double beside = kit->bends_db * sin(3.141592653589793 * along);
    return 127.0 * pow(10.0, (kit->curve * (level_db + kit->gain_db) + beside) / 20.0);
}

double kit_level_db(const struct kit *kit, const struct eh_hit *hit) {
    const double velocity = hit->velocity / (double)EH_VELOCITY_UNIT;
    return 20.0 * log10(velocity / 127.0) / kit->curve - kit->gain_db;
}

/* A second hit is reported only when it is loud enough for its distance from the one before: at
 * least 8 dB louder below 10 ms, from there to 60 ms at least 1.8 - 0.21 dB/ms times the gap
 * (measured on the Groove MIDI Dataset 1.0.0; 0.6 % of 13 167 pairs lie lower). */
static bool hides(const struct kit *kit, const struct blow *before, const struct blow *blow) {
    const double gap = blow->at_ms - before->at_ms;
    const double rise = blow->level_db - before->level_db;
    if (kit->merge_ms > 0.0 && gap < kit->merge_ms) {
        return true;
    }
    if (!kit->masks || gap > 60.0) {
        return false;
    }
    return rise < (gap < 10.0 ? 8.0 : 1.8 - 0.21 * gap);
}

/* A stroke that the pad swallows in the dead time after another hit is one with it. So is a main
 * stroke with its own grace note. */
static void swallow(const struct blow *blow, struct reported *out) {
    struct blow *kept = &out->truth[out->count - 1];
    const bool own_grace = kept->role == ROLE_STROKE && kept->grace && !blow->grace;
    if (blow->role == ROLE_STROKE && (own_grace || blow->at_ms - kept->at_ms < 10.0)) {
        kept->also = blow->due;
    }
    out->masked++;
}

/* Where the first note of a press is not reported, the first that is stands for the press. */
static void promote_bounces(struct reported *out) {
    int32_t pressed = NOT_WRITTEN; /* the last press whose first note is known */
    for (size_t i = 0; i < out->count; i++) {
        struct blow *blow = &out->truth[i];
        if (blow->role == ROLE_BOUNCE && blow->due > pressed) {
            blow->role = ROLE_STROKE;
        }
        pressed = blow->role == ROLE_STROKE && blow->due > pressed ? blow->due : pressed;
    }
}

static void put(const struct kit *kit, const struct blow *blow, double velocity,
                struct reported *out) {
    const double steps = floor(blow->at_ms / kit->clock_ms);
    const double step = fmax(kit->step, 1.0);
    const double whole = fmin(fmax(step * round(velocity / step), 1.0), 127.0);
    out->saturated += whole >= 127.0;
    out->hits[out->count] = (struct eh_hit){.at_ns = (int64_t)llround(steps * kit->clock_ms * 1e6),
                                            .velocity = (uint16_t)(whole * EH_VELOCITY_UNIT),
                                            .note = blow->rim ? 40 : 38,
                                            .channel = 9};
    out->truth[out->count++] = *blow;
}

/* Puts the last hit where its time belongs. */
static void sift(struct reported *out) {
    for (size_t i = out->count - 1; i > 0 && out->hits[i].at_ns < out->hits[i - 1].at_ns; i--) {
        const struct eh_hit hit = out->hits[i];
        const struct blow truth = out->truth[i];
        out->hits[i] = out->hits[i - 1];
        out->truth[i] = out->truth[i - 1];
        out->hits[i - 1] = hit;
        out->truth[i - 1] = truth;
    }
}

/* An echo comes 3 to 25 ms after its hit and 6 to 14 dB softer (assumed: the published kit masks
 * its own). */
static void echo(const struct kit *kit, const struct blow *blow, struct chance *chance,
                 struct reported *out) {
    struct blow back = *blow;
    back.at_ms += chance_between(chance, 3.0, 25.0);
    back.level_db -= chance_between(chance, 6.0, 14.0);
    back.role = ROLE_ECHO;
    back.due = back.also = -1;
    const double velocity = velocity_of(kit, back.level_db);
    if (velocity >= fmax(kit->floor_velocity, 1.0)) {
        put(kit, &back, velocity, out);
        sift(out);
    }
}

void kit_report(const struct kit *kit, const struct blows *blows, struct chance *chance,
                struct reported *out) {
    make_room(out, 2 * blows->count + 1);
    out->count = 0;
    out->masked = out->saturated = 0;
    const struct blow *before = NULL;
    for (size_t i = 0; i < blows->count; i++) {
        const struct blow *blow = &blows->row[i];
        const double velocity = velocity_of(kit, blow->level_db);
        if (velocity < kit->floor_velocity || velocity < 0.5) {
            continue;
        }
        if (before != NULL && hides(kit, before, blow)) {
            swallow(blow, out);
            continue;
        }
        put(kit, blow, velocity, out);
        sift(out);
        before = blow;
        if (kit->echoes > 0.0 && chance_happens(chance, kit->echoes)) {
            echo(kit, blow, chance, out);
        }
    }
    promote_bounces(out);
}
