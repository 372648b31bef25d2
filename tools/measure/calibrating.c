#include "calibrating.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "evenhand/calibrate.h"
#include "shading.h"

/* How far a dynamic lies from where the player means it, each time that he comes to it, in his own
 * dB (assumed); a quarter of its square is the same for the whole calibration. */
static const double placing_db = 1.0;
static const double lasting_share = 0.25;

/* So that ff keeps clear of the pad's top, as in player_make_room. */
static const double mf_db = -10.0;

/* Gaps of the pairs, and how far their second strokes fade (assumed; the mask's reach is 60 ms). */
static const double close_ms = 28.0;
static const double double_ms = 55.0;
static const double fade_db = 14.0;

struct playing {
    const struct player *player;
    struct chance *chance;
    struct blows *out;
    double wander_ms;
};

static void strike(struct playing *p, double at_ms, double level_db) {
    blows_add(p->out, (struct blow){.at_ms = at_ms,
                                    .level_db = level_db,
                                    .due = (int32_t)p->out->count,
                                    .also = -1,
                                    .role = ROLE_STROKE});
}

static double when(struct playing *p, double beat_ms) {
    const struct player *player = p->player;
    const double fresh = sqrt(1.0 - player->keep * player->keep) * player->wander_ms;
    p->wander_ms = player->keep * p->wander_ms + fresh * chance_normal(p->chance);
    return beat_ms + player->offset_ms + p->wander_ms + player->own_ms * chance_normal(p->chance);
}

static double loud(const struct playing *p, double meant_db) {
    return meant_db + p->player->tap_sd * chance_normal(p->chance);
}

static void play_pair(struct playing *p, double at_ms, double gap_ms, double first_db,
                      double fade) {
    const double gap = fmax(gap_ms * (1.0 + 0.3 * chance_normal(p->chance)), 2.0);
    strike(p, at_ms, loud(p, first_db));
    strike(p, at_ms + gap, loud(p, first_db - fade));
}

static void play_step(struct playing *p, const struct eh_calibrate_step *step, double from_ms,
                      double beat_ms, double meant_db) {
    for (int i = 0; i < step->taps; i++) {
        const double at = when(p, from_ms + i * beat_ms);
        const double fade = fade_db * i / (step->taps - 1);
        if (step->kind == EH_CALIBRATE_CLOSE || step->kind == EH_CALIBRATE_DOUBLE) {
            const double gap = step->kind == EH_CALIBRATE_CLOSE ? close_ms : double_ms;
            play_pair(p, at, gap, meant_db + 3.0, fade);
        } else {
            strike(p, at, loud(p, meant_db));
        }
    }
}

/* All steps in order, each once. */
static void play_course(struct playing *p, const struct eh_calibrate_course *course) {
    double lasting[EH_CALIBRATE_MARKS];
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        lasting[mark] = sqrt(lasting_share) * placing_db * shading_slip(p->chance);
    }
    const double beat_ms = (double)course->beat_ns / 1e6;
    double beat = 0;
    p->wander_ms = p->player->wander_ms * chance_normal(p->chance);
    for (int i = 0; i < course->step_count; i++) {
        const struct eh_calibrate_step *step = &course->steps[i];
        const bool level = step->kind == EH_CALIBRATE_LEVEL;
        const double written =
            level ? eh_calibrate_written_db(step->mark) + lasting[step->mark] : 0.0;
        const double slip = sqrt(1.0 - lasting_share) * placing_db * shading_slip(p->chance);
        const double meant = mf_db + written + slip;
        play_step(p, step, (beat + EH_CALIBRATE_COUNT_IN) * beat_ms, beat_ms, meant);
        beat += EH_CALIBRATE_COUNT_IN + step->taps;
    }
}

static int by_time(const void *a, const void *b) {
    const struct blow *x = a;
    const struct blow *y = b;
    return (x->at_ms > y->at_ms) - (x->at_ms < y->at_ms);
}

/* Tells the course what came, so that it knows which attempts count. */
static void hear(struct eh_calibrate_course *course, const struct reported *heard) {
    struct eh_calibrate_event event;
    for (size_t i = 0; i < heard->count; i++) {
        while (eh_calibrate_course_next(course, heard->hits[i].at_ns, &event)) {
        }
        eh_calibrate_course_hit(course, heard->hits[i].at_ns);
    }
    while (eh_calibrate_course_next(course, course->beat_ns * 10000, &event)) {
    }
}

static void fit(const struct kit *kit, const struct eh_calibrate_course *course,
                const struct reported *heard, struct eh_pad *pad) {
    struct eh_tempo_map click = {0};
    struct eh_calibration found;
    if (eh_tempo_map_init(&click, 0, 0, course->beat_ns) != EH_OK) {
        (void)fprintf(stderr, "no memory for a click\n");
        abort();
    }
    const struct eh_calibrate_input input = {.course = course,
                                             .hits = heard->hits,
                                             .hit_count = heard->count,
                                             .click = &click,
                                             .resolution_ns = llround(kit->clock_ms * 1e6),
                                             .pad = pad};
    eh_calibrate_fit(&input, &found);
    *pad = found.pad;
    eh_tempo_map_deinit(&click);
}

void calibrate(const struct kit *kit, const struct player *player, double contrast,
               struct chance *chance, struct eh_pad *out_pad) {
    struct eh_calibrate_course course;
    struct eh_error error;
    const struct eh_calibrate_request request = {.recorded = true};
    struct blows blows = {0};
    struct reported heard = {0};
    struct playing playing = {.player = player, .chance = chance, .out = &blows};
    if (eh_calibrate_course_init(&course, &request, &error) != EH_OK) {
        (void)fprintf(stderr, "%s\n", error.text);
        abort();
    }
    play_course(&playing, &course);
    shade(&blows, contrast * shading_of_a_day(chance));
    if (blows.row != NULL) {
        qsort(blows.row, blows.count, sizeof *blows.row, by_time);
    }
    kit_report(kit, &blows, chance, &heard);
    hear(&course, &heard);
    eh_pad_init_default(out_pad);
    fit(kit, &course, &heard, out_pad);
    out_pad->calibrated_utc_s = out_pad->levels.count > 0;
    blows_free(&blows);
    reported_free(&heard);
}
