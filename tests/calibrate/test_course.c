/* The course: steps follow one another, silence ends or repeats them. */
#include <criterion/criterion.h>
#include <math.h>

#include "tapper.h"

static struct eh_calibrate_course make(bool recorded) {
    struct eh_calibrate_course course;
    const struct eh_calibrate_request request = {.bpm = 120, .taps = 8, .recorded = recorded};
    cr_assert_eq(eh_calibrate_course_init(&course, &request, NULL), EH_OK);
    return course;
}

/* Plays COUNT taps of the attempt that is on, from its first beat, and reads on to the event that
 * ends it. Beats are 500 ms apart. */
static struct eh_calibrate_event attempt(struct eh_calibrate_course *course, int count) {
    struct eh_calibrate_event event = {0};
    const int64_t beat_ns = course->beat_ns;
    const int32_t first = course->now.first_beat;
    for (int32_t beat = first - EH_CALIBRATE_COUNT_IN; beat < first + 200; beat++) {
        while (eh_calibrate_course_next(course, beat * beat_ns, &event)) {
            if (event.kind != EH_CALIBRATE_EVENT_COUNT_IN &&
                event.kind != EH_CALIBRATE_EVENT_TAPS) {
                return event;
            }
        }
        if (beat >= first && beat < first + count) {
            eh_calibrate_course_hit(course, beat * beat_ns + 20 * EH_NS_PER_MS);
        }
    }
    cr_assert_fail("the attempt did not end");
    return event;
}

Test(course, has_the_heights_and_levels_that_it_says) {
    /* Stick heights: common practice, no source. Levels: 20 log10(height / 6 in), by hand. */
    const double heights[] = {1, 3, 4.5, 6, 9, 12};
    const double levels[] = {-15.563, -6.021, -2.499, 0, 3.522, 6.021};
    const char *const marks[] = {"pp", "p", "mp", "mf", "f", "ff"};
    const struct eh_calibrate_course course = make(false);
    for (int i = 0; i < EH_CALIBRATE_MARKS; i++) {
        cr_assert_float_eq(eh_calibrate_height_in(i), heights[i], 1e-12);
        cr_assert_float_eq(eh_calibrate_written_db(i), levels[i], 5e-4);
        cr_assert_str_eq(eh_calibrate_mark_text(i), marks[i]);
    }
    for (int i = 0; i < 12; i++) {
        cr_assert_eq(course.steps[i].mark, i % 6, "all dynamics, then all of them again");
        cr_assert_eq(course.steps[i].taps, 8);
    }
    cr_assert_eq(course.step_count, 15);
    cr_assert_eq(eh_calibrate_course_beats(&course), 15 * 8 + 12 * 8 + 3 * 32);
}

Test(course, runs_through_when_everything_is_played) {
    struct eh_calibrate_course course = make(false);
    for (int step = 0; step < course.step_count; step++) {
        const int taps = course.steps[step].taps;
        const struct eh_calibrate_event event = attempt(&course, taps);
        cr_assert_eq(event.kind, EH_CALIBRATE_EVENT_STEP, "step %d", step);
        cr_assert_eq(event.step, step);
        cr_assert_eq(event.span.heard, taps);
    }
    cr_assert_eq(eh_calibrate_course_end(&course), EH_CALIBRATE_DONE);
    struct eh_calibrate_event event;
    cr_assert(eh_calibrate_course_next(&course, 0, &event));
    cr_assert_eq(event.kind, EH_CALIBRATE_EVENT_OVER);
    cr_assert_not(eh_calibrate_course_next(&course, 0, &event));
}

/* Six of eight taps are enough, five are not. */
Test(course, repeats_a_step_of_which_too_little_was_heard_once) {
    struct eh_calibrate_course course = make(false);
    cr_assert_eq(attempt(&course, 6).kind, EH_CALIBRATE_EVENT_STEP);
    cr_assert_eq(attempt(&course, 5).kind, EH_CALIBRATE_EVENT_AGAIN);
    cr_assert_eq(course.step, 1);
    cr_assert_eq(attempt(&course, 3).kind, EH_CALIBRATE_EVENT_STEP);
    cr_assert_eq(course.step, 2);
    cr_assert_eq(course.spans[1].heard, 5, "the better attempt counts");
}

Test(course, does_not_wait_for_a_player_who_has_stopped) {
    struct eh_calibrate_course course = make(false);
    (void)attempt(&course, 8); /* pp */
    for (int step = 1; step < 14; step++) {
        (void)attempt(&course, course.steps[step].taps);
    }
    /* The last step has 32 taps. After four and six silent beats it ends at the bar line, beat 12.
     */
    const struct eh_calibrate_event event = attempt(&course, 4);
    cr_assert_eq(event.kind, EH_CALIBRATE_EVENT_AGAIN);
    cr_assert_eq(event.span.taps, 12);
}

Test(course, ends_after_three_silent_attempts_and_not_after_two) {
    struct eh_calibrate_course course = make(false);
    (void)attempt(&course, 0);
    (void)attempt(&course, 0);
    cr_assert_not(eh_calibrate_course_is_over(&course), "the pad may not report pp");
    (void)attempt(&course, 0);
    cr_assert_eq(eh_calibrate_course_end(&course), EH_CALIBRATE_FELL_SILENT);
    course = make(false);
    (void)attempt(&course, 0);
    (void)attempt(&course, 0);
    (void)attempt(&course, 8);
    (void)attempt(&course, 0);
    (void)attempt(&course, 0);
    cr_assert_not(eh_calibrate_course_is_over(&course), "what was heard breaks the silence");
}

Test(course, of_a_recording_goes_on_at_full_length_whatever_is_heard) {
    struct eh_calibrate_course course = make(true);
    for (int step = 0; step < course.step_count; step++) {
        const struct eh_calibrate_event event = attempt(&course, 0);
        cr_assert_eq(event.kind, EH_CALIBRATE_EVENT_STEP);
        cr_assert_eq(event.span.taps, course.steps[step].taps);
    }
    cr_assert_eq(eh_calibrate_course_end(&course), EH_CALIBRATE_DONE);
}

Test(course, hears_one_tap_a_click_and_none_in_the_count_in) {
    struct eh_calibrate_course course = make(false);
    struct eh_calibrate_event event;
    cr_assert(eh_calibrate_course_next(&course, 0, &event));
    eh_calibrate_course_hit(&course, 7 * course.beat_ns); /* the count-in's last click */
    cr_assert_eq(course.now.heard, 0);
    eh_calibrate_course_hit(&course, 8 * course.beat_ns - course.beat_ns / 2); /* early enough */
    eh_calibrate_course_hit(&course, 8 * course.beat_ns + 30 * EH_NS_PER_MS);  /* an echo */
    cr_assert_eq(course.now.heard, 1);
    eh_calibrate_course_hit(&course, 16 * course.beat_ns); /* after the last */
    cr_assert_eq(course.now.heard, 1);
}

Test(course, keeps_a_stopped_step_from_its_half_on) {
    struct eh_calibrate_course course = make(false);
    eh_calibrate_course_stop(&course, 11 * course.beat_ns); /* three of eight */
    cr_assert_eq(course.span_count, 0);
    course = make(false);
    eh_calibrate_course_stop(&course, 12 * course.beat_ns); /* four */
    cr_assert_eq(course.span_count, 1);
    cr_assert_eq(course.spans[0].taps, 4);
    cr_assert_eq(eh_calibrate_course_end(&course), EH_CALIBRATE_STOPPED);
}

Test(course, refuses_what_lies_outside_its_ranges) {
    struct eh_calibrate_course course;
    const struct {
        double bpm;
        int taps;
        enum eh_status expected;
    } rows[] = {{50, 8, EH_OK},
                {49.9, 8, EH_OUT_OF_RANGE},
                {140, 32, EH_OK},
                {140.1, 32, EH_OUT_OF_RANGE},
                {NAN, 8, EH_OUT_OF_RANGE},
                {100, 4, EH_OK},
                {100, 3, EH_OUT_OF_RANGE},
                {100, 33, EH_OUT_OF_RANGE},
                {0, 0, EH_OK}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct eh_calibrate_request request = {.bpm = rows[i].bpm, .taps = rows[i].taps};
        cr_assert_eq(eh_calibrate_course_init(&course, &request, NULL), rows[i].expected, "row %zu",
                     i);
    }
    const struct eh_calibrate_request request = {.taps = 9};
    cr_assert_eq(eh_calibrate_course_init(&course, &request, NULL), EH_OK);
    cr_assert_eq(course.steps[0].taps, 12, "whole bars");
}
