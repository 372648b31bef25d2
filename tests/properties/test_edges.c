/* Where a run begins and ends, and how much of it must be there, at the edge and one step past it.
 * docs/judgement.md: a hit up to half the first stroke's spacing early belongs to the exercise, and
 * one up to half a beat past its last bar line. An exercise of which less than a third of the
 * strokes find a hit is not in the take. These are rules of this program (common practice, no
 * source). */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/judgement.h"
#include "evenhand/settings.h"

/* Eighths at 120 to the quarter: 250 ms apart. The take's click begins two bars before. */
static const char music[] = "metre: 4/4\n| 8:RLRLRLRL | RLRLRLRL | RLRLRLRL |\n";
static const int64_t eighth_ns = 250 * EH_NS_PER_MS;
static const int64_t start_ns = 4 * EH_NS_PER_S;
static const eh_ticks start_at = 8 * EH_TICKS_PER_QUARTER;
enum { STROKES = 24 };

struct scene {
    struct eh_exercise *exercise;
    struct eh_take take;
    struct eh_pad pad;
    struct eh_style style;
    struct eh_judge_request request;
    struct eh_judgement *judgement;
};

static void open(struct scene *s) {
    const struct eh_metre_change metre = {0, 4, 4};
    *s = (struct scene){.request = {.start = start_at}};
    cr_assert_eq(eh_exercise_parse(&s->exercise, music, strlen(music), NULL), EH_OK);
    cr_assert_eq(eh_take_init(&s->take, "edges", metre, 0, 2 * eighth_ns), EH_OK);
    cr_assert_eq(eh_style_shipped(&s->style, "rudimental", NULL), EH_OK);
    eh_pad_init_default(&s->pad);
}

static void close(struct scene *s) {
    eh_judgement_free(s->judgement);
    eh_take_deinit(&s->take);
    eh_exercise_free(s->exercise);
}

static void hit(struct scene *s, int64_t at_ns) {
    const struct eh_hit added = {.at_ns = at_ns, .velocity = 64 * EH_VELOCITY_UNIT, .note = 38};
    cr_assert_eq(eh_take_add(&s->take, &added), EH_OK);
}

/* Strokes FROM to TO, exactly on the click. */
static void play(struct scene *s, int from, int to) {
    for (int i = from; i < to; i++) {
        hit(s, start_ns + i * eighth_ns);
    }
}

static enum eh_status judge(struct scene *s) {
    struct eh_error error;
    return eh_judge(&s->judgement, s->exercise, &s->take, &s->pad, &s->style, &s->request, &error);
}

static enum eh_fate_kind fate_at(const struct scene *s, int64_t at_ns) {
    for (size_t i = 0; i < s->take.count; i++) {
        if (s->take.hits[i].at_ns == at_ns) {
            return (enum eh_fate_kind)s->judgement->fates[i].kind;
        }
    }
    return EH_FATE_PENDING;
}

/* What becomes of a hit at AT_NS beside a run that is played exactly. */
static enum eh_fate_kind fate_of(int64_t at_ns) {
    struct scene s;
    open(&s);
    play(&s, 0, STROKES);
    hit(&s, at_ns);
    cr_assert_eq(judge(&s), EH_OK);
    cr_assert_eq(s.judgement->matched, STROKES);
    const enum eh_fate_kind fate = fate_at(&s, at_ns);
    close(&s);
    return fate;
}

Test(edges, a_hit_counts_from_half_the_first_spacing_before_the_first_stroke) {
    const int64_t edge_ns = start_ns - eighth_ns / 2;
    cr_assert_eq(fate_of(edge_ns), EH_FATE_EXTRA);
    cr_assert_eq(fate_of(edge_ns - 1), EH_FATE_OUTSIDE);
}

Test(edges, a_hit_counts_to_half_a_beat_past_the_last_bar_line) {
    const int64_t edge_ns = start_ns + STROKES * eighth_ns + eighth_ns;
    cr_assert_eq(fate_of(edge_ns), EH_FATE_EXTRA);
    cr_assert_eq(fate_of(edge_ns + 1), EH_FATE_OUTSIDE);
}

Test(edges, a_first_stroke_may_be_early_by_half_its_spacing) {
    const int64_t early_ns[] = {eighth_ns / 2, eighth_ns / 2 + 1};
    for (int i = 0; i < 2; i++) {
        struct scene s;
        open(&s);
        hit(&s, start_ns - early_ns[i]);
        play(&s, 1, STROKES);
        cr_assert_eq(judge(&s), EH_OK);
        cr_assert_eq(s.judgement->matches[0].hit, i == 0 ? 0 : EH_NO_HIT);
        cr_assert_eq(s.judgement->missed, (uint32_t)i);
        cr_assert_eq(s.judgement->extra, 0);
        close(&s);
    }
}

Test(edges, a_third_of_the_strokes_is_enough_to_find_an_exercise_and_one_less_is_not) {
    for (int missing = 0; missing < 2; missing++) {
        struct scene s;
        open(&s);
        play(&s, 0, STROKES / 3 - missing);
        s.request.find_start = true;
        cr_assert_eq(judge(&s), missing == 0 ? EH_OK : EH_NO_FIT);
        cr_assert(s.judgement == NULL || s.judgement->matched == STROKES / 3);
        close(&s);
    }
}

/* The whole exercise moved, within what the plain run allows: every stroke is found and the offset
 * is what was added. */
Test(edges, forty_milliseconds_early_or_late_cost_nothing) {
    const int64_t offsets_ms[] = {-40, 40};
    for (int i = 0; i < 2; i++) {
        struct scene s;
        open(&s);
        play(&s, 0, STROKES);
        for (size_t k = 0; k < s.take.count; k++) {
            s.take.hits[k].at_ns += offsets_ms[i] * EH_NS_PER_MS;
        }
        cr_assert_eq(judge(&s), EH_OK);
        cr_assert_eq(s.judgement->matched, STROKES);
        cr_assert_eq(s.judgement->extra, 0);
        cr_assert_float_eq(s.judgement->offset_ms, (double)offsets_ms[i], 1e-9);
        for (size_t k = 0; k < s.judgement->finding_count; k++) {
            cr_assert_neq(s.judgement->findings[k].fault, EH_FAULT_YES, "%s",
                          s.judgement->findings[k].text);
        }
        close(&s);
    }
}

/* Missed and extra: the share of the strokes written, rounded up, may fail; one more is a fault. */
Test(edges, as_many_as_the_style_allows_may_be_missed_and_one_more_is_a_fault) {
    for (int more = 0; more < 2; more++) {
        struct scene s;
        open(&s);
        s.style.missed_share = 2.0 / STROKES;
        play(&s, 0, STROKES);
        for (int gone = 0; gone < 2 + more; gone++) { /* strokes 5, 10, 15 */
            const size_t at = (size_t)(5 * (gone + 1) - gone);
            memmove(&s.take.hits[at], &s.take.hits[at + 1],
                    (s.take.count - at - 1) * sizeof s.take.hits[0]);
            s.take.count--;
        }
        cr_assert_eq(judge(&s), EH_OK);
        cr_assert_eq(s.judgement->missed, (uint32_t)(2 + more));
        for (size_t k = 0; k < s.judgement->finding_count; k++) {
            const struct eh_finding *f = &s.judgement->findings[k];
            if (f->aspect == EH_ASPECT_MISSED) {
                cr_assert_eq(f->fault, more == 0 ? EH_FAULT_NO : EH_FAULT_YES, "%s", f->text);
                cr_assert_float_eq(f->limit_high, 2.0, 1e-12);
            }
        }
        close(&s);
    }
}
