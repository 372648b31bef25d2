/* The course of a calibration: which step is played, what was heard, what comes next. */
#include <math.h>

#include "evenhand/calibrate.h"

/* What is common in teaching (common practice, no source). */
static const double heights_in[EH_CALIBRATE_MARKS] = {1.0, 3.0, 4.5, 6.0, 9.0, 12.0};

/* A step is repeated when fewer than this share of its taps was heard. */
static const double enough_share = 0.75;

/* So many silent beats in a step mean that the player has stopped: a bar and a half. */
enum { QUIET_BEATS = 6 };

const char *eh_calibrate_mark_text(int mark) {
    static const char *const texts[EH_CALIBRATE_MARKS] = {"pp", "p", "mp", "mf", "f", "ff"};
    return mark >= 0 && mark < EH_CALIBRATE_MARKS ? texts[mark] : "?";
}

double eh_calibrate_height_in(int mark) {
    return mark >= 0 && mark < EH_CALIBRATE_MARKS ? heights_in[mark] : NAN;
}

double eh_calibrate_written_db(int mark) {
    return 20.0 * log10(eh_calibrate_height_in(mark) / heights_in[3]);
}

static void lay_steps(struct eh_calibrate_course *course, int32_t taps) {
    for (int i = 0; i < EH_CALIBRATE_VISITS * EH_CALIBRATE_MARKS; i++) {
        const int mark = i % EH_CALIBRATE_MARKS;
        course->steps[course->step_count++] =
            (struct eh_calibrate_step){.kind = EH_CALIBRATE_LEVEL,
                                       .mark = (uint8_t)mark,
                                       .height_in = heights_in[mark],
                                       .taps = taps};
    }
    /* Pairs and the delay need more: the pad hides some of those, and what follows the click slowly
     * is not seen in a few taps. */
    const uint8_t others[] = {EH_CALIBRATE_CLOSE, EH_CALIBRATE_DOUBLE, EH_CALIBRATE_CLICK};
    for (size_t i = 0; i < sizeof others; i++) {
        course->steps[course->step_count++] =
            (struct eh_calibrate_step){.kind = others[i], .taps = 4 * taps};
    }
}

static void begin_attempt(struct eh_calibrate_course *course, int32_t count_in_beat) {
    course->now = (struct eh_calibrate_span){.step = course->step,
                                             .first_beat = count_in_beat + EH_CALIBRATE_COUNT_IN,
                                             .taps = course->steps[course->step].taps};
    course->last_heard = course->now.first_beat - 1;
    course->told = 0;
}

enum eh_status eh_calibrate_course_init(struct eh_calibrate_course *out_course,
                                        const struct eh_calibrate_request *request,
                                        struct eh_error *error) {
    *out_course = (struct eh_calibrate_course){.recorded = request->recorded};
    const double bpm = request->bpm == 0 ? EH_CALIBRATE_BPM : request->bpm;
    const int32_t taps = request->taps == 0 ? EH_CALIBRATE_TAPS : request->taps;
    if (!(bpm >= EH_CALIBRATE_BPM_LEAST && bpm <= EH_CALIBRATE_BPM_MOST)) {
        return eh_fail(error, EH_OUT_OF_RANGE, "%g is outside %g to %g quarter notes a minute", bpm,
                       EH_CALIBRATE_BPM_LEAST, EH_CALIBRATE_BPM_MOST);
    }
    if (taps < EH_CALIBRATE_TAPS_LEAST || taps > EH_CALIBRATE_TAPS_MOST) {
        return eh_fail(error, EH_OUT_OF_RANGE, "a step has %d to %d taps", EH_CALIBRATE_TAPS_LEAST,
                       EH_CALIBRATE_TAPS_MOST);
    }
    out_course->beat_ns = eh_ns_per_quarter(bpm);
    lay_steps(out_course, (taps + EH_CALIBRATE_BAR - 1) / EH_CALIBRATE_BAR * EH_CALIBRATE_BAR);
    begin_attempt(out_course, 0);
    return EH_OK;
}

/* The beat nearest to a time; half-way belongs to the later one. Years are cut off: they are no
 * beats of any course. */
static int32_t beat_at(const struct eh_calibrate_course *course, int64_t at_ns) {
    const double beat = floor((double)at_ns / (double)course->beat_ns + 0.5);
    return (int32_t)fmin(fmax(beat, -1e9), 1e9);
}

void eh_calibrate_course_hit(struct eh_calibrate_course *course, int64_t at_ns) {
    const int32_t beat = beat_at(course, at_ns);
    if (beat > course->last_heard && beat < course->now.first_beat + course->now.taps) {
        course->last_heard = beat;
        course->now.heard++;
    }
}

/* The beat at which the attempt is over: its written end, or the next bar line once the player has
 * stopped. */
static int32_t end_beat(const struct eh_calibrate_course *course) {
    const int32_t written = course->now.first_beat + course->now.taps;
    const int32_t silent_from = course->last_heard + 1 + QUIET_BEATS - course->now.first_beat;
    const int32_t bars = (silent_from + EH_CALIBRATE_BAR - 1) / EH_CALIBRATE_BAR;
    const int32_t stopped = course->now.first_beat + bars * EH_CALIBRATE_BAR;
    return course->recorded || stopped > written ? written : stopped;
}

/* Of two attempts the one with more taps counts, of equal ones the later. */
static void keep_span(struct eh_calibrate_course *course) {
    struct eh_calibrate_span *kept = &course->spans[course->step];
    if (course->span_count <= course->step) {
        course->span_count = course->step + 1;
        *kept = course->now;
    } else if (course->now.heard >= kept->heard) {
        *kept = course->now;
    }
}

static bool must_repeat(const struct eh_calibrate_course *course) {
    const double enough = enough_share * course->steps[course->step].taps;
    return !course->recorded && course->attempt + 1 < EH_CALIBRATE_ATTEMPTS &&
           course->now.heard < enough;
}

static void end_attempt(struct eh_calibrate_course *course, int32_t at_beat,
                        struct eh_calibrate_event *out_event) {
    course->now.taps = at_beat - course->now.first_beat;
    keep_span(course);
    const bool again = must_repeat(course);
    *out_event = (struct eh_calibrate_event){.kind = again ? EH_CALIBRATE_EVENT_AGAIN
                                                           : EH_CALIBRATE_EVENT_STEP,
                                             .step = course->step,
                                             .attempt = course->attempt,
                                             .span = course->now};
    course->silent = course->now.heard > 0 || course->recorded ? 0 : course->silent + 1;
    course->attempt = again ? course->attempt + 1 : 0;
    course->step += again ? 0 : 1;
    if (course->silent >= EH_CALIBRATE_SILENT) {
        course->end = EH_CALIBRATE_FELL_SILENT;
    } else if (course->step == course->step_count) {
        course->end = EH_CALIBRATE_DONE;
    } else {
        begin_attempt(course, at_beat);
    }
}

/* What begins is told half a beat before its first click, what ends half a beat after its last. */
static bool next_begin(struct eh_calibrate_course *course, int32_t beat,
                       struct eh_calibrate_event *out_event) {
    const int32_t from = course->now.first_beat - (course->told == 0 ? EH_CALIBRATE_COUNT_IN : 0);
    if (course->told >= 2 || beat < from) {
        return false;
    }
    *out_event = (struct eh_calibrate_event){.kind = course->told == 0 ? EH_CALIBRATE_EVENT_COUNT_IN
                                                                       : EH_CALIBRATE_EVENT_TAPS,
                                             .step = course->step,
                                             .attempt = course->attempt};
    course->told++;
    return true;
}

bool eh_calibrate_course_next(struct eh_calibrate_course *course, int64_t now_ns,
                              struct eh_calibrate_event *out_event) {
    if (eh_calibrate_course_is_over(course)) {
        *out_event = (struct eh_calibrate_event){.kind = EH_CALIBRATE_EVENT_OVER};
        const bool news = !course->over_told;
        course->over_told = true;
        return news;
    }
    const int32_t beat = beat_at(course, now_ns);
    if (next_begin(course, beat, out_event)) {
        return true;
    }
    const int32_t end = end_beat(course);
    if (beat >= end) {
        end_attempt(course, end, out_event);
        return true;
    }
    return false;
}

void eh_calibrate_course_stop(struct eh_calibrate_course *course, int64_t now_ns) {
    if (eh_calibrate_course_is_over(course)) {
        return;
    }
    const int32_t played = beat_at(course, now_ns) - course->now.first_beat;
    if (2 * played >= course->now.taps) {
        course->now.taps = played < course->now.taps ? played : course->now.taps;
        keep_span(course);
    }
    course->end = EH_CALIBRATE_STOPPED;
}

bool eh_calibrate_course_is_over(const struct eh_calibrate_course *course) {
    return course->end != EH_CALIBRATE_NOT_YET;
}

enum eh_calibrate_end eh_calibrate_course_end(const struct eh_calibrate_course *course) {
    return (enum eh_calibrate_end)course->end;
}

int32_t eh_calibrate_course_beats(const struct eh_calibrate_course *course) {
    int32_t beats = 0;
    for (int32_t i = 0; i < course->step_count; i++) {
        beats += EH_CALIBRATE_COUNT_IN + course->steps[i].taps;
    }
    return beats;
}
