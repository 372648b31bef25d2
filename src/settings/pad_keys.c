#include "pad_keys.h"

#include <math.h>
#include <string.h>

#define NUMBER(section, name, field, least, most)                                                  \
    { section, name, offsetof(struct eh_pad, field), false, least, most }
#define TIME_MS(section, name, field, least, most)                                                 \
    { section, name, offsetof(struct eh_pad, field), true, least, most }

/* The ranges only keep out slips of the pen. Velocity reaches 128 with the high resolution of MIDI
 * CA-031. */
static const struct pad_key keys[] = {
    TIME_MS("retrigger", "within_ms", retrigger_ns, 0.0, 100.0),
    TIME_MS("retrigger", "until_ms", retrigger_late_ns, 0.0, 200.0),
    NUMBER("retrigger", "softer_db", retrigger_softer_db, 0.0, 60.0),
    TIME_MS("mask", "dead_ms", mask_dead_ns, 0.0, 100.0),
    NUMBER("mask", "dead_db", mask_dead_db, -60.0, 60.0),
    TIME_MS("mask", "until_ms", mask_until_ns, 0.0, 300.0),
    NUMBER("mask", "louder_db", mask_db, -60.0, 60.0),
    NUMBER("mask", "falls_db_per_ms", mask_db_per_ms, 0.0, 10.0),
    NUMBER("range", "floor_velocity", floor_velocity, 0.0, 127.0),
    NUMBER("range", "top_velocity", top_velocity, 1.0, 128.0),
    NUMBER("range", "rim_gate_velocity", rim_gate_velocity, 0.0, 128.0),
    TIME_MS("delay", "click_to_hit_ms", delay_ns, -1000.0, 1000.0),
    TIME_MS("clock", "step_ms", clock_ns, 0.0, 50.0),
    NUMBER("levels", "scale_sd", levels.scale_sd, 0.0, 1.0),
};

const struct pad_key *pad_keys(size_t *out_count) {
    *out_count = sizeof keys / sizeof keys[0];
    return keys;
}

double pad_key_get(const struct pad_key *key, const struct eh_pad *pad) {
    const char *at = (const char *)pad + key->offset;
    if (key->is_ns) {
        int64_t ns = 0;
        memcpy(&ns, at, sizeof ns);
        return (double)ns / (double)EH_NS_PER_MS;
    }
    double value = 0.0;
    memcpy(&value, at, sizeof value);
    return value;
}

void pad_key_set(const struct pad_key *key, struct eh_pad *pad, double written) {
    char *at = (char *)pad + key->offset;
    if (key->is_ns) {
        const int64_t ns = llround(written * (double)EH_NS_PER_MS);
        memcpy(at, &ns, sizeof ns);
    } else {
        memcpy(at, &written, sizeof written);
    }
}
