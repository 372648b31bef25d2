/* When a hit of a control note means it: the edges of control.h, and one step past. */
#include <criterion/criterion.h>

#include "evenhand/control.h"

enum { HEAD = 38, AGAIN = 50, NEXT = 51, STOP = 52 };

static struct eh_pad pad_with_controls(void) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    pad.controls[EH_CONTROL_AGAIN] = AGAIN + 1;
    pad.controls[EH_CONTROL_NEXT] = NEXT + 1;
    pad.controls[EH_CONTROL_STOP] = STOP + 1;
    return pad;
}

static enum eh_control feed(struct eh_control_watch *watch, uint8_t note, double ms, bool resting) {
    const struct eh_pad pad = pad_with_controls();
    const struct eh_hit hit = {
        .at_ns = (int64_t)(ms * 1e6), .velocity = 90 << 9, .note = note, .channel = 9};
    return eh_control_feed(watch, &pad, &hit, resting);
}

Test(control, a_pad_knows_its_controls_and_the_default_pad_has_none) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    for (int note = 0; note < 128; note++) {
        cr_expect_eq(eh_pad_control(&pad, (uint8_t)note), EH_CONTROL_NONE);
    }
    pad = pad_with_controls();
    cr_expect_eq(eh_pad_control(&pad, AGAIN), EH_CONTROL_AGAIN);
    cr_expect_eq(eh_pad_control(&pad, NEXT), EH_CONTROL_NEXT);
    cr_expect_eq(eh_pad_control(&pad, STOP), EH_CONTROL_STOP);
    cr_expect_eq(eh_pad_control(&pad, HEAD), EH_CONTROL_NONE);
    cr_expect_not(eh_pad_owns(&pad, AGAIN), "a control is no stroke");
    pad.controls[EH_CONTROL_NEXT] = 1;
    cr_expect_eq(eh_pad_control(&pad, 0), EH_CONTROL_NEXT, "note 0 may be one");
}

Test(control, in_a_rest_one_hit_is_enough) {
    struct eh_control_watch watch = {0};
    cr_expect_eq(feed(&watch, 60, 0, true), EH_CONTROL_NONE, "another pad");
    cr_expect_eq(feed(&watch, NEXT, 1, true), EH_CONTROL_NEXT);
    cr_expect_eq(feed(&watch, STOP, 2, true), EH_CONTROL_STOP);
}

Test(control, what_comes_with_a_stroke_is_crosstalk) {
    struct eh_control_watch watch = {0};
    cr_expect_eq(feed(&watch, HEAD, 1000, true), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, AGAIN, 1049.999, true), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, AGAIN, 1050, true), EH_CONTROL_AGAIN);
}

Test(control, while_playing_it_takes_two_neither_too_near_nor_too_far) {
    static const struct {
        double second_ms;
        enum eh_control means;
    } cases[] = {{49.999, EH_CONTROL_NONE},
                 {50, EH_CONTROL_STOP},
                 {1000, EH_CONTROL_STOP},
                 {1000.001, EH_CONTROL_NONE}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct eh_control_watch watch = {0};
        cr_expect_eq(feed(&watch, STOP, 0, false), EH_CONTROL_NONE, "once is a mistake");
        cr_expect_eq(feed(&watch, STOP, cases[i].second_ms, false), cases[i].means, "%g ms",
                     cases[i].second_ms);
    }
}

Test(control, the_pads_echo_of_the_first_hit_does_not_take_its_place) {
    struct eh_control_watch watch = {0};
    cr_expect_eq(feed(&watch, STOP, 0, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, STOP, 12, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, STOP, 55, false), EH_CONTROL_STOP);
}

Test(control, after_too_long_the_second_hit_is_a_first_one) {
    struct eh_control_watch watch = {0};
    cr_expect_eq(feed(&watch, AGAIN, 0, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, AGAIN, 1500, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, AGAIN, 1900, false), EH_CONTROL_AGAIN);
    cr_expect_eq(feed(&watch, AGAIN, 2300, false), EH_CONTROL_NONE, "it was heard; begin anew");
}

Test(control, a_stroke_between_says_that_he_plays_on) {
    struct eh_control_watch watch = {0};
    cr_expect_eq(feed(&watch, STOP, 0, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, HEAD, 200, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, STOP, 400, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, STOP, 700, false), EH_CONTROL_STOP);
}

Test(control, two_different_ones_are_none) {
    struct eh_control_watch watch = {0};
    cr_expect_eq(feed(&watch, AGAIN, 0, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, STOP, 300, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, AGAIN, 500, false), EH_CONTROL_NONE);
    cr_expect_eq(feed(&watch, AGAIN, 800, false), EH_CONTROL_AGAIN);
}
