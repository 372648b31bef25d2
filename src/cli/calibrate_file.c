/* A calibration in a file: reading one, and writing what was played as one. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "calibrate_played.h"
#include "evenhand/smf.h"
#include "read_file.h"
#include "say.h"
#include "write_file.h"

static int read_take(struct eh_take *out, const char *path) {
    struct eh_text bytes = {0};
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status = read_file(&bytes, path, EH_SMF_LONGEST, &error);
    if (status == EH_OK) {
        status = eh_smf_read(out, (const uint8_t *)bytes.data, bytes.length, path, &error);
    }
    eh_text_deinit(&bytes);
    return status == EH_OK ? CLI_GOOD : cli_complain_error(path, &error);
}

/* Moves the take so that tick AT is its tick 0, at time 0. */
static enum eh_status move_zero(struct eh_take *take, eh_ticks at) {
    const int64_t zero_ns = eh_tempo_map_ns(&take->click, at);
    const size_t first = take->click.count;
    struct eh_tempo_map moved = {0};
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < first && status == EH_OK; i++) {
        const struct eh_tempo_segment *s = &take->click.segments[i];
        status =
            i == 0 ? eh_tempo_map_init(&moved, s->at - at, s->at_ns - zero_ns, s->ns_per_quarter)
                   : eh_tempo_map_append(&moved, s->at - at, s->at_ns - zero_ns, s->ns_per_quarter);
    }
    if (status != EH_OK) {
        eh_tempo_map_deinit(&moved);
        return status;
    }
    eh_tempo_map_deinit(&take->click);
    take->click = moved;
    for (size_t i = 0; i < take->count; i++) {
        take->hits[i].at_ns -= zero_ns;
    }
    return EH_OK;
}

/* The course goes by its own even beats; a file's click may drift. */
static int64_t on_even_beats(const struct calibrate_played *played, int64_t at_ns) {
    const eh_ticks tick = eh_tempo_map_tick(&played->take.click, at_ns);
    return (int64_t)((double)tick / (double)EH_TICKS_PER_QUARTER * (double)played->course.beat_ns);
}

static void follow(struct calibrate_played *played) {
    struct eh_calibrate_course *course = &played->course;
    struct eh_calibrate_event event;
    for (size_t i = 0; i < played->take.count; i++) {
        const int64_t at_ns = on_even_beats(played, played->take.hits[i].at_ns);
        while (eh_calibrate_course_next(course, at_ns, &event)) {
        }
        eh_calibrate_course_hit(course, at_ns);
    }
    const int64_t end_ns = (eh_calibrate_course_beats(course) + 1) * course->beat_ns;
    while (eh_calibrate_course_next(course, end_ns, &event)) {
    }
}

/* No port is open that could tell its name. */
static bool is_number(const char *text) {
    return text[0] != '\0' && text[strspn(text, "0123456789")] == '\0';
}

int calibrate_read(struct calibrate_played *played, const struct calibrate_options *options) {
    if (options->port != NULL && is_number(options->port)) {
        return cli_complain("--port %s: with --take, say the port's name as \"evenhand ports\" "
                            "shows it",
                            options->port);
    }
    if (options->port != NULL) {
        (void)snprintf(played->port, sizeof played->port, "%s", options->port);
    }
    int result = calibrate_find_pad(played, options);
    if (result == CLI_GOOD) {
        result = read_take(&played->take, options->take);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    eh_pad_keep_own(&played->pad, &played->take);
    if (played->take.count == 0) {
        return cli_complain("%s: there is not one hit of the pad's notes in it", options->take);
    }
    const eh_ticks start = eh_take_bar_start(&played->take, (int)options->start);
    if (move_zero(&played->take, start) != EH_OK) {
        return cli_complain("%s: its tempos cannot be used from bar %d on", options->take,
                            (int)options->start);
    }
    struct eh_error error;
    eh_error_clear(&error);
    /* A file says whole microseconds: to two decimals it is the tempo that was meant. */
    const double bpm = eh_bpm(eh_tempo_map_ns_per_quarter(&played->take.click, 0));
    const struct eh_calibrate_request request = {
        .bpm = round(bpm * 100.0) / 100.0, .taps = (int32_t)options->taps, .recorded = true};
    if (eh_calibrate_course_init(&played->course, &request, &error) != EH_OK) {
        return cli_complain_error(options->take, &error);
    }
    follow(played);
    return CLI_GOOD;
}

/* Where HIT lies when the click is even. A hit close behind another keeps its distance from it: the
 * sound's jumps are no part of what a pad hides. */
static int64_t evened(const struct calibrate_played *played, const struct eh_hit *hit,
                      const struct eh_hit *before, int64_t before_evened_ns) {
    static const int64_t close_ns = 200 * EH_NS_PER_MS;
    if (before != NULL && hit->at_ns - before->at_ns < close_ns) {
        return before_evened_ns + hit->at_ns - before->at_ns;
    }
    return on_even_beats(played, hit->at_ns);
}

/* Hits of SPAN, moved to where the course has that step when nothing is repeated. */
static enum eh_status copy_span(const struct calibrate_played *played,
                                const struct eh_calibrate_span *span, int32_t first_beat,
                                struct eh_take *out) {
    const struct eh_tempo_map *click = &played->take.click;
    const eh_ticks half = EH_TICKS_PER_QUARTER / 2;
    const int64_t from = eh_tempo_map_ns(click, span->first_beat * EH_TICKS_PER_QUARTER - half);
    const int64_t to =
        eh_tempo_map_ns(click, (span->first_beat + span->taps) * EH_TICKS_PER_QUARTER - half);
    enum eh_status status = EH_OK;
    const struct eh_hit *before = NULL;
    int64_t even_ns = 0;
    for (size_t i = 0; i < played->take.count && status == EH_OK; i++) {
        struct eh_hit hit = played->take.hits[i];
        if (hit.at_ns < from || hit.at_ns >= to) {
            continue;
        }
        even_ns = evened(played, &hit, before, even_ns);
        before = &played->take.hits[i];
        hit.at_ns = even_ns + (first_beat - span->first_beat) * played->course.beat_ns;
        status = eh_take_add(out, &hit);
    }
    return status;
}

static enum eh_status copy_taps(const struct calibrate_played *played, struct eh_take *out) {
    const struct eh_calibrate_course *course = &played->course;
    const struct eh_metre_change metre = {.at = 0, .beats = EH_CALIBRATE_BAR, .unit = 4};
    enum eh_status status = eh_take_init(out, "", metre, 0, course->beat_ns);
    int32_t beat = 0;
    for (int32_t step = 0; step < course->span_count && status == EH_OK; step++) {
        status = copy_span(played, &course->spans[step], beat + EH_CALIBRATE_COUNT_IN, out);
        beat += EH_CALIBRATE_COUNT_IN + course->steps[step].taps;
    }
    return status;
}

int calibrate_save_taps(const struct calibrate_played *played, const char *path) {
    struct eh_take take = {0};
    struct eh_text bytes = {0};
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status = copy_taps(played, &take);
    if (status == EH_OK) {
        status = eh_smf_write(&bytes, &take, "Calibration", &error);
    }
    if (status == EH_OK) {
        status = write_new_file(path, bytes.data, bytes.length, &error);
    }
    error.status = status;
    eh_text_deinit(&bytes);
    eh_take_deinit(&take);
    return status == EH_OK ? CLI_GOOD : cli_complain_error(path, &error);
}
