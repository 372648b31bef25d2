#include "tapper.h"

#include <math.h>
#include <stdlib.h>

/* Knuth's linear congruential generator (MMIX), its upper bits. */
double tapper_unit(uint64_t *state) {
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (double)(*state >> 11) / 9007199254740992.0;
}

/* Box and Muller 1958. */
double tapper_normal(uint64_t *state) {
    const double u = 1.0 - tapper_unit(state);
    const double v = tapper_unit(state);
    return sqrt(-2.0 * log(u)) * cos(6.283185307179586 * v);
}

/* Student's t of four degrees of freedom with an SD of 1. */
static double long_tailed(uint64_t *state) {
    double squares = 0.0;
    const double normal = tapper_normal(state);
    for (int i = 0; i < 4; i++) {
        const double other = tapper_normal(state);
        squares += other * other;
    }
    return normal / sqrt(squares / 4.0) / sqrt(2.0);
}

double tapper_contrast(const struct tapper_player *player, uint64_t seed) {
    uint64_t state = seed * 6364136223846793005u + 29u;
    for (int i = 0; i < 10; i++) {
        (void)tapper_unit(&state);
    }
    return player->shading * exp(player->shading_sd * tapper_normal(&state));
}

struct tapper_pad tapper_pad_of(const char *name, double law) {
    return (struct tapper_pad){.name = name,
                               .curve = CURVE_LAW,
                               .top_db = 9.5,
                               .law = law,
                               .range = 40.0,
                               .floor = 1.0,
                               .top = 127.0,
                               .step = 1.0,
                               .dead_ms = 10.0,
                               .mask_db = 1.8,
                               .mask_db_per_ms = 0.21,
                               .mask_until_ms = 60.0};
}

/* Scatter of level and of timing: professionals on a pad, Groove MIDI Dataset 1.0.0 (CC BY 4.0),
 * measured. The rest is invented. */
struct tapper_player tapper_player_usual(void) {
    return (struct tapper_player){.scatter_db = 1.5,
                                  .shading = 1.0,
                                  .stroke_ms = 8.5,
                                  .wander_ms = 7.0,
                                  .keep = 0.9,
                                  .close_ms = 28.0,
                                  .double_ms = 55.0,
                                  .fade_db = 14.0};
}

struct tapper_player tapper_player_as_known(void) {
    struct tapper_player player = tapper_player_usual();
    player.shading_sd = 0.25;
    player.day_sd = 0.05;
    player.placing_db = 1.0;
    return player;
}

static double velocity_db(const struct tapper_pad *pad, double level_db) {
    const double along = fmin(fmax((level_db - pad->bend_at_db) / 25.0, 0.0), 1.0);
    return (level_db - pad->top_db) / pad->law + pad->bend_db * sin(3.141592653589793 * along);
}

double tapper_velocity(const struct tapper_pad *pad, double level_db) {
    return pad->curve == CURVE_LAW ? 127.0 * pow(10.0, velocity_db(pad, level_db) / 20.0)
                                   : 127.0 + 126.0 * (level_db - pad->top_db) / pad->range;
}

double tapper_level(const struct tapper_pad *pad, double velocity) {
    double low = -80.0;
    double high = 60.0;
    for (int i = 0; i < 60; i++) {
        const double middle = 0.5 * (low + high);
        *(tapper_velocity(pad, middle) < velocity ? &low : &high) = middle;
    }
    return 0.5 * (low + high);
}

struct play {
    const struct tapper_pad *pad;
    const struct tapper_player *player;
    uint64_t state;
    struct eh_hit *hits;
    size_t count, room;
    double wander;
    double last_at, last_db; /* the last note that was reported */
};

/* Whether the pad reports a note after the one before; exactly what the pad's header describes. */
static bool is_masked(const struct play *play, double at_ms, double level_db) {
    const struct tapper_pad *pad = play->pad;
    const double gap = at_ms - play->last_at;
    if (pad->mask_until_ms <= 0 || gap > pad->mask_until_ms) {
        return false;
    }
    const double needed = gap < pad->dead_ms ? 8.0 : pad->mask_db - pad->mask_db_per_ms * gap;
    return level_db - play->last_db < needed;
}

/* Returns false when the pad did not report it. */
static bool sound(struct play *play, double at_ms, double level_db) {
    const struct tapper_pad *pad = play->pad;
    double velocity = tapper_velocity(pad, level_db);
    if (is_masked(play, at_ms, level_db) || velocity < pad->floor || play->count == play->room) {
        return false;
    }
    velocity = fmin(velocity, pad->top);
    velocity = fmin(fmax(round(velocity / pad->step) * pad->step, 1.0), 127.0);
    play->hits[play->count++] =
        (struct eh_hit){.at_ns = (int64_t)llround((at_ms + pad->delay_ms) * 1e6),
                        .velocity = (uint16_t)(velocity * EH_VELOCITY_UNIT),
                        .note = 38,
                        .channel = 9};
    play->last_at = at_ms;
    play->last_db = level_db;
    return true;
}

static double when(struct play *play, double beat_ms) {
    const struct tapper_player *player = play->player;
    play->wander = player->keep * play->wander + sqrt(1.0 - player->keep * player->keep) *
                                                     player->wander_ms *
                                                     tapper_normal(&play->state);
    return beat_ms + play->wander + player->stroke_ms * tapper_normal(&play->state);
}

static double loudness(struct play *play, double meant_db) {
    return meant_db + play->player->scatter_db * tapper_normal(&play->state);
}

static void play_tap(struct play *play, double beat_ms, double meant_db) {
    const double at = when(play, beat_ms);
    const double level = loudness(play, meant_db);
    if (tapper_unit(&play->state) < play->player->left_out || !sound(play, at, level)) {
        return;
    }
    const struct tapper_pad *pad = play->pad;
    if (tapper_unit(&play->state) < pad->echo_share) {
        const double later = pad->echo_ms * (0.8 + 0.2 * tapper_unit(&play->state));
        const double softer = pad->echo_db + 2.0 * tapper_unit(&play->state);
        (void)sound(play, at + later, level - softer);
    }
}

static void play_pair(struct play *play, double beat_ms, double gap_ms, double fade_db) {
    const double at = when(play, beat_ms);
    const double first = loudness(play, 3.0);
    const double gap = fmax(gap_ms * (1.0 + 0.3 * tapper_normal(&play->state)), 2.0);
    (void)sound(play, at, first);
    if (tapper_unit(&play->state) >= play->player->left_out) {
        (void)sound(play, at + gap, loudness(play, 3.0 - fade_db));
    }
}

static void play_step(struct play *play, const struct eh_calibrate_step *step, double from_ms,
                      double beat_ms, double meant_db) {
    for (int i = 0; i < step->taps; i++) {
        const double at = from_ms + i * beat_ms;
        const double fade = play->player->fade_db * i / (step->taps - 1);
        switch ((enum eh_calibrate_kind)step->kind) {
        case EH_CALIBRATE_LEVEL:
        case EH_CALIBRATE_CLICK:
            play_tap(play, at, meant_db);
            break;
        case EH_CALIBRATE_CLOSE:
            play_pair(play, at, play->player->close_ms, fade);
            break;
        case EH_CALIBRATE_DOUBLE:
            play_pair(play, at, play->player->double_ms, fade);
            break;
        }
    }
}

size_t tapper_play(const struct eh_calibrate_course *course, const struct tapper_pad *pad,
                   const struct tapper_player *player, uint64_t seed, struct eh_hit *hits,
                   size_t room) {
    struct play play = {.pad = pad,
                        .player = player,
                        .state = seed * 2862933555777941757u + 3037000493u,
                        .hits = hits,
                        .room = room,
                        .last_at = -1e9};
    for (int i = 0; i < 10; i++) {
        (void)tapper_unit(&play.state);
    }
    play.wander = player->wander_ms * tapper_normal(&play.state);
    const double contrast =
        tapper_contrast(player, seed) * exp(player->day_sd * tapper_normal(&play.state));
    double lasting[EH_CALIBRATE_MARKS];
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        lasting[mark] = 0.5 * player->placing_db * long_tailed(&play.state);
    }
    double beat = 0;
    const double beat_ms = (double)course->beat_ns / 1e6;
    for (int i = 0; i < course->step_count; i++) {
        const struct eh_calibrate_step *step = &course->steps[i];
        const double written =
            step->kind == EH_CALIBRATE_LEVEL ? 20.0 * log10(step->height_in / 6.0) : 0.0;
        const double placed = written + lasting[step->mark] +
                              sqrt(0.75) * player->placing_db * long_tailed(&play.state);
        const double meant = contrast * placed;
        for (int k = 0; k < EH_CALIBRATE_COUNT_IN; k++) {
            (void)when(&play, 0.0); /* what wanders goes on doing so through a count-in */
        }
        play_step(&play, step, (beat + EH_CALIBRATE_COUNT_IN) * beat_ms, beat_ms, meant);
        beat += EH_CALIBRATE_COUNT_IN + step->taps;
    }
    return play.count;
}

static void run_course(struct eh_calibrate_course *course, const struct eh_hit *hits,
                       size_t count) {
    struct eh_calibrate_event event;
    for (size_t i = 0; i < count; i++) {
        while (eh_calibrate_course_next(course, hits[i].at_ns, &event)) {
        }
        eh_calibrate_course_hit(course, hits[i].at_ns);
    }
    while (eh_calibrate_course_next(course, course->beat_ns * 10000, &event)) {
    }
}

void tapper_calibrate(const struct tapper_pad *pad, const struct tapper_player *player, int taps,
                      uint64_t seed, struct eh_calibration *out) {
    enum { ROOM = 4096 };
    struct eh_hit *hits = calloc(ROOM, sizeof *hits);
    struct eh_calibrate_course course;
    const struct eh_calibrate_request request = {.taps = taps, .recorded = true};
    if (hits == NULL || eh_calibrate_course_init(&course, &request, NULL) != EH_OK) {
        abort();
    }
    struct eh_pad before;
    eh_pad_init_default(&before);
    const size_t count = tapper_play(&course, pad, player, seed, hits, ROOM);
    run_course(&course, hits, count);
    struct eh_tempo_map click = {0};
    if (eh_tempo_map_init(&click, 0, 0, course.beat_ns) != EH_OK) {
        abort();
    }
    const struct eh_calibrate_input input = {.course = &course,
                                             .hits = hits,
                                             .hit_count = count,
                                             .click = &click,
                                             .resolution_ns = 1,
                                             .pad = &before};
    eh_calibrate_fit(&input, out);
    eh_tempo_map_deinit(&click);
    free(hits);
}
