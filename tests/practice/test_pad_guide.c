/* Finding out a pad's notes by hitting it. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/pad_guide.h"

#define MS EH_NS_PER_MS

/* What has happened, as words: "ask:1 heard:38x1 settled:38 skipped:2 over". */
struct log {
    char text[4096];
};

static void take_events(struct eh_pad_guide *g, struct log *log) {
    static const char *const names[] = {"ask",     "heard",   "taken", "mixed",
                                        "settled", "skipped", "over"};
    struct eh_guide_event e;
    while (eh_pad_guide_next(g, &e)) {
        const size_t at = strlen(log->text);
        char *to = log->text + at;
        const size_t room = sizeof log->text - at;
        if (e.kind == EH_GUIDE_HEARD) {
            snprintf(to, room, "heard:%dx%d ", e.note, e.count);
        } else if (e.kind == EH_GUIDE_TAKEN) {
            snprintf(to, room, "taken:%d:%d ", e.note, e.owner);
        } else if (e.kind == EH_GUIDE_SETTLED) {
            snprintf(to, room, "settled:%d ", e.note);
        } else if (e.kind == EH_GUIDE_OVER || e.kind == EH_GUIDE_MIXED) {
            snprintf(to, room, "%s ", names[e.kind]);
        } else {
            snprintf(to, room, "%s:%d ", names[e.kind], e.part);
        }
    }
}

struct stage {
    struct eh_pad_guide guide;
    struct log log;
    int64_t now_ns;
};

static struct stage begin_asking(bool controls) {
    struct stage s = {.now_ns = 5 * EH_NS_PER_S};
    eh_pad_guide_init(&s.guide, s.now_ns, controls);
    take_events(&s.guide, &s.log);
    return s;
}

static struct stage begin(void) {
    return begin_asking(false);
}

static void expect(struct stage *s, const char *wanted) {
    take_events(&s->guide, &s->log);
    cr_expect_str_eq(s->log.text, wanted);
    s->log.text[0] = '\0';
}

static void wait_ns(struct stage *s, int64_t ns) {
    const int64_t until = s->now_ns + ns;
    while (s->now_ns < until) {
        s->now_ns += 3 * MS < until - s->now_ns ? 3 * MS : until - s->now_ns;
        eh_pad_guide_advance(&s->guide, s->now_ns);
        take_events(&s->guide, &s->log);
    }
}

static void hit(struct stage *s, uint8_t note, int velocity) {
    const struct eh_hit h = {
        .at_ns = s->now_ns, .velocity = (uint16_t)(velocity * EH_VELOCITY_UNIT), .note = note};
    eh_pad_guide_hit(&s->guide, &h);
    take_events(&s->guide, &s->log);
}

static void strokes(struct stage *s, const uint8_t *notes, int n) {
    for (int i = 0; i < n; i++) {
        hit(s, notes[i], 80);
        wait_ns(s, 300 * MS);
    }
}

static void even(struct stage *s, uint8_t note, int n) {
    for (int i = 0; i < n; i++) {
        strokes(s, &note, 1);
    }
}

static void settle(struct stage *s, uint8_t note) {
    even(s, note, EH_GUIDE_IN_A_ROW);
    wait_ns(s, EH_GUIDE_REST_NS);
}

Test(pad_guide, four_strokes_on_one_note_settle_a_part_and_three_do_not) {
    struct stage s = begin();
    expect(&s, "ask:1 ");
    even(&s, 38, 3);
    expect(&s, "heard:38x1 heard:38x2 heard:38x3 ");
    even(&s, 38, 1);
    expect(&s, "heard:38x4 settled:38 ");
    cr_expect_eq(eh_pad_guide_found(&s.guide), 1);
}

Test(pad_guide, five_parts_are_asked_for_in_turn_and_make_a_map) {
    struct stage s = begin();
    static const uint8_t notes[] = {31, 34, 37, 60, 61};
    for (int i = 0; i < 5; i++) {
        cr_expect_not(eh_pad_guide_is_over(&s.guide));
        settle(&s, notes[i]);
    }
    cr_expect(eh_pad_guide_is_over(&s.guide));
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    eh_pad_guide_apply(&s.guide, &pad);
    for (int note = 0; note < 128; note++) {
        int wanted = EH_ZONE_NONE;
        for (int i = 0; i < 5; i++) {
            wanted = notes[i] == note ? i + 1 : wanted;
        }
        cr_expect_eq(pad.zones[note], wanted, "note %d", note);
    }
    eh_pad_guide_advance(&s.guide, s.now_ns + EH_NS_PER_S);
    hit(&s, 38, 80);
    wait_ns(&s, EH_NS_PER_S);
    cr_expect_not_null(strstr(s.log.text, "over"));
    cr_expect_null(strstr(s.log.text, "38"));
}

Test(pad_guide, controls_are_asked_for_last_and_keep_off_the_notes_that_are_played_on) {
    struct stage s = begin_asking(true);
    settle(&s, 38);
    for (int part = 2; part <= EH_GUIDE_CONTROLS; part++) {
        wait_ns(&s, EH_GUIDE_PATIENCE_NS);
    }
    s.log.text[0] = '\0';
    static const uint8_t taken[] = {38, 38, 38, 38};
    strokes(&s, taken, 4);
    expect(&s, "taken:38:1 ");
    settle(&s, 50);
    expect(&s, "heard:50x1 heard:50x2 heard:50x3 heard:50x4 settled:50 ask:7 ");
    static const uint8_t several[] = {51, 52, 51, 52, 51, 52, 51, 52, 51, 52, 51, 52};
    strokes(&s, several, 12);
    cr_expect_not_null(strstr(s.log.text, "mixed"), "a control has one note");
    wait_ns(&s, EH_GUIDE_PATIENCE_NS);
    settle(&s, 53);
    cr_expect(eh_pad_guide_is_over(&s.guide));
    cr_expect_eq(eh_pad_guide_found(&s.guide), 1, "a control is not played on");
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    pad.controls[EH_CONTROL_NEXT] = 100;
    eh_pad_guide_apply(&s.guide, &pad);
    cr_expect_eq(pad.controls[EH_CONTROL_AGAIN], 50 + 1);
    cr_expect_eq(pad.controls[EH_CONTROL_NEXT], 0, "asked for and not given");
    cr_expect_eq(pad.controls[EH_CONTROL_STOP], 53 + 1);
    for (int note = 0; note < 128; note++) {
        cr_expect_eq(pad.zones[note], note == 38 ? EH_ZONE_HEAD : EH_ZONE_NONE);
    }
}

Test(pad_guide, controls_that_were_not_asked_for_stay_unless_they_are_played_on) {
    struct stage s = begin();
    settle(&s, 40);
    while (!eh_pad_guide_is_over(&s.guide)) {
        wait_ns(&s, EH_GUIDE_PATIENCE_NS);
    }
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    pad.controls[EH_CONTROL_AGAIN] = 40 + 1;
    pad.controls[EH_CONTROL_STOP] = 38 + 1;
    eh_pad_guide_apply(&s.guide, &pad);
    cr_expect_eq(pad.controls[EH_CONTROL_AGAIN], 0);
    cr_expect_eq(pad.controls[EH_CONTROL_STOP], 38 + 1, "38 is no longer played on");
}

Test(pad_guide, silence_of_six_seconds_passes_a_part_over_and_twenty_before_the_first_stroke) {
    struct stage s = begin();
    wait_ns(&s, EH_GUIDE_FIRST_PATIENCE_NS - MS);
    expect(&s, "ask:1 ");
    wait_ns(&s, MS);
    expect(&s, "skipped:1 ask:2 ");
    wait_ns(&s, EH_GUIDE_PATIENCE_NS - MS);
    expect(&s, "");
    wait_ns(&s, MS);
    expect(&s, "skipped:2 ask:3 ");
    even(&s, 37, 2);
    wait_ns(&s, EH_GUIDE_PATIENCE_NS - 300 * MS - MS);
    expect(&s, "heard:37x1 heard:37x2 ");
    wait_ns(&s, MS);
    expect(&s, "skipped:3 ask:4 ");
    wait_ns(&s, 2 * EH_GUIDE_PATIENCE_NS);
    expect(&s, "skipped:4 ask:5 skipped:5 over ");
    cr_expect_eq(eh_pad_guide_found(&s.guide), 0);
}

Test(pad_guide, the_next_part_is_asked_for_when_the_hands_have_come_to_rest) {
    struct stage s = begin();
    even(&s, 38, 9);
    expect(&s, "ask:1 heard:38x1 heard:38x2 heard:38x3 heard:38x4 settled:38 ");
    wait_ns(&s, EH_GUIDE_REST_NS - 300 * MS - MS);
    expect(&s, "");
    wait_ns(&s, MS);
    expect(&s, "ask:2 ");
}

Test(pad_guide, a_note_of_an_earlier_part_is_told_once_and_never_taken_twice) {
    struct stage s = begin();
    settle(&s, 38);
    expect(&s, "ask:1 heard:38x1 heard:38x2 heard:38x3 heard:38x4 settled:38 ask:2 ");
    even(&s, 38, 8);
    expect(&s, "taken:38:1 ");
    wait_ns(&s, EH_GUIDE_PATIENCE_NS - 8 * 300 * MS);
    expect(&s, "skipped:2 ask:3 ");
    even(&s, 38, 1);
    expect(&s, "taken:38:1 ");
}

Test(pad_guide, a_slip_begins_the_row_anew) {
    struct stage s = begin();
    static const uint8_t notes[] = {38, 38, 38, 40, 38, 38, 38, 38};
    strokes(&s, notes, 8);
    expect(&s, "ask:1 heard:38x1 heard:38x2 heard:38x3 heard:40x1 heard:38x1 heard:38x2 "
               "heard:38x3 heard:38x4 settled:38 ");
}

Test(pad_guide, spots_that_send_notes_of_their_own_belong_to_one_part) {
    struct stage s = begin();
    static const uint8_t notes[] = {38, 36, 38, 36, 38, 36, 38, 36, 38, 36, 38, 36};
    strokes(&s, notes, 11);
    cr_expect_eq(eh_pad_guide_found(&s.guide), 0);
    strokes(&s, notes + 11, 1);
    cr_expect_not_null(strstr(s.log.text, "settled:36 settled:38 "));
    cr_expect_eq(eh_pad_guide_found(&s.guide), 2);
}

Test(pad_guide, notes_that_change_too_much_are_counted_anew) {
    struct stage s = begin();
    static const uint8_t notes[] = {38, 36, 38, 36, 38, 36, 38, 36, 38, 36, 40, 40};
    strokes(&s, notes, 12);
    cr_expect_not_null(strstr(s.log.text, "heard:40x2 mixed "));
    cr_expect_eq(eh_pad_guide_found(&s.guide), 0);
    even(&s, 38, 4);
    cr_expect_eq(eh_pad_guide_found(&s.guide), 1);
}

/* A cross-stick brings a head note 2 to 6 ms before it, 13 dB softer (Groove MIDI Dataset 1.0.0,
 * Gillick et al. 2019, CC BY 4.0, measured). */
Test(pad_guide, notes_within_30_ms_are_one_stroke_on_the_loudest_and_31_ms_are_two) {
    struct stage s = begin();
    settle(&s, 38);
    s.log.text[0] = '\0';
    for (int i = 0; i < 4; i++) {
        hit(&s, 38, 20);
        wait_ns(&s, 4 * MS);
        hit(&s, 37, 90);
        wait_ns(&s, 300 * MS);
    }
    expect(&s, "heard:37x1 heard:37x2 heard:37x3 heard:37x4 settled:37 ");
    wait_ns(&s, EH_GUIDE_REST_NS);
    s.log.text[0] = '\0';
    hit(&s, 40, 20);
    wait_ns(&s, 30 * MS);
    hit(&s, 41, 90);
    wait_ns(&s, 300 * MS);
    expect(&s, "heard:41x1 ");
    hit(&s, 40, 20);
    wait_ns(&s, 31 * MS);
    hit(&s, 41, 90);
    wait_ns(&s, 300 * MS);
    expect(&s, "heard:40x1 heard:41x1 ");
}

Test(pad_guide, any_stream_of_hits_leaves_each_note_with_one_owner_and_comes_to_an_end) {
    uint32_t state = 1;
    for (int run = 0; run < 300; run++) {
        struct stage s = begin_asking(run % 3 == 0);
        for (int i = 0; i < 400 && !eh_pad_guide_is_over(&s.guide); i++) {
            state = state * 1664525U + 1013904223U;
            hit(&s, (uint8_t)(state >> 24 & (run % 2 ? 7U : 127U)), 1 + (int)(state >> 16 & 126U));
            wait_ns(&s, (int64_t)(state >> 8 & 1023U) * MS);
            s.log.text[0] = '\0';
        }
        wait_ns(&s, 9 * EH_GUIDE_PATIENCE_NS);
        cr_assert(eh_pad_guide_is_over(&s.guide));
        struct eh_pad pad = {.name = ""};
        eh_pad_guide_apply(&s.guide, &pad);
        size_t owned = 0;
        for (int note = 0; note < 128; note++) {
            cr_assert_leq(pad.zones[note], EH_ZONE_RIGHT);
            owned += pad.zones[note] != EH_ZONE_NONE;
            cr_assert_not(eh_pad_owns(&pad, (uint8_t)note) &&
                          eh_pad_control(&pad, (uint8_t)note) != EH_CONTROL_NONE);
        }
        cr_assert_eq(owned, eh_pad_guide_found(&s.guide));
    }
}
