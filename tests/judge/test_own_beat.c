/* A player whose beat strays where the click is silent is followed, and is not taken for somebody
 * who plays something else; who does play something else is still refused. */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/judgement.h"
#include "evenhand/settings.h"

/* Rests, presses, flams and bars that differ: little to hold on to. */
#define FOUR_BARS                                                                                  \
    "| mf 8:R>- 16:RLRL 4:Rz - | 8:lR> L 4:- 16:RLR- 8:L> R | 4:Rz Lz 8:R> L R> L |"               \
    " 16:R>LRL 8:- R 4:lR> - "
#define PIECE "metre: 4/4\n" FOUR_BARS FOUR_BARS FOUR_BARS FOUR_BARS
#define OTHER "metre: 4/4\n|: 8:3[R>LR] 3[L>RL] 3[R>LR] 3[L>RL] :|x16"

enum { BARS = 16, FROM = 4, TO = 12 };

struct setting {
    struct eh_exercise *exercise;
    struct eh_plan plan;
    struct eh_take take;
    struct eh_pad pad;
    struct eh_style style;
    bool silent[BARS];
};

static const int64_t quarter_ns = 600 * EH_NS_PER_MS;

static struct eh_exercise *read(const char *text) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    cr_assert_eq(eh_exercise_parse(&exercise, text, strlen(text), &error), EH_OK, "%s", error.text);
    return exercise;
}

static void set_up(struct setting *s) {
    struct eh_error error;
    const struct eh_metre_change metre = {.at = 0, .beats = 4, .unit = 4};
    const struct eh_plan_request whole = {.first_bar = 0};
    memset(s, 0, sizeof *s);
    s->exercise = read(PIECE);
    cr_assert_eq(eh_take_init(&s->take, "test", metre, 0, quarter_ns), EH_OK);
    cr_assert_eq(
        eh_plan_init(&s->plan, s->exercise, &whole, &s->take.click, EH_TICKS_PER_QUARTER, &error),
        EH_OK);
    eh_pad_init_default(&s->pad);
    cr_assert_eq(eh_style_shipped(&s->style, "rudimental", &error), EH_OK);
    for (int bar = FROM; bar < TO; bar++) {
        s->silent[bar] = true;
    }
}

static void tear_down(struct setting *s) {
    eh_plan_deinit(&s->plan);
    eh_take_deinit(&s->take);
    eh_exercise_free(s->exercise);
}

/* How late the player is: PERCENT slower than the silent click; when it is heard again he takes a
 * tenth of a beat back with each beat. */
static double late_ns(const struct setting *s, int64_t at_ns, double percent) {
    const double from_ns = (double)s->plan.bars[FROM].at_ns;
    const double to_ns = (double)s->plan.bars[TO].at_ns;
    const double in_ns = fmin(fmax((double)at_ns - from_ns, 0.0), to_ns - from_ns);
    const double back_ns = 0.1 * fmax((double)at_ns - to_ns, 0.0);
    return copysign(fmax(0.01 * fabs(percent) * in_ns - back_ns, 0.0), percent);
}

static void play(struct setting *s, const struct eh_plan *plan, double percent) {
    for (size_t i = 0; i < plan->due_count; i++) {
        const struct eh_stroke *stroke = eh_plan_stroke(plan, i);
        const int64_t at_ns = plan->due[i].at_ns + llround(late_ns(s, plan->due[i].at_ns, percent));
        const int velocity = stroke->kind == EH_KIND_GRACE ? 30 : stroke->accent > 0 ? 110 : 60;
        const int notes = stroke->kind == EH_KIND_BUZZ ? 4 : 1;
        for (int note = 0; note < notes; note++) {
            const struct eh_hit hit = {.at_ns = at_ns + note * 38 * EH_NS_PER_MS,
                                       .velocity =
                                           (uint16_t)((velocity - 8 * note) * EH_VELOCITY_UNIT),
                                       .note = 38};
            cr_assert_eq(eh_take_add(&s->take, &hit), EH_OK);
        }
    }
}

static enum eh_status judge(const struct setting *s, bool knows, struct eh_judgement **out) {
    struct eh_error error;
    const struct eh_judge_request request = {.start = EH_TICKS_PER_QUARTER,
                                             .silent = knows ? s->silent : NULL,
                                             .silent_count = knows ? BARS : 0};
    return eh_judge(out, s->exercise, &s->take, &s->pad, &s->style, &request, &error);
}

Test(own_beat, it_is_followed_where_the_click_is_silent) {
    static const double percents[] = {-4.0, -2.0, 0.0, 2.0, 4.0};
    for (size_t i = 0; i < sizeof percents / sizeof percents[0]; i++) {
        struct setting s;
        struct eh_judgement *j = NULL;
        set_up(&s);
        play(&s, &s.plan, percents[i]);
        cr_assert_eq(judge(&s, true, &j), EH_OK, "%g %%", percents[i]);
        cr_expect_eq(j->missed, 0, "%g %%: %u", percents[i], j->missed);
        cr_expect_eq(j->extra, 0, "%g %%: %u", percents[i], j->extra);
        cr_expect_eq(j->course_count, 0, "%g %%", percents[i]);
        for (size_t due = 0; due < j->plan.due_count; due++) {
            cr_expect_eq(j->matches[due].shift_ns, 0);
        }
        eh_judgement_free(j);
        tear_down(&s);
    }
}

Test(own_beat, what_does_not_stray_is_judged_as_if_the_click_had_sounded) {
    struct setting s;
    struct eh_judgement *with = NULL;
    struct eh_judgement *without = NULL;
    set_up(&s);
    play(&s, &s.plan, 0.0);
    cr_assert_eq(judge(&s, true, &with), EH_OK);
    cr_assert_eq(judge(&s, false, &without), EH_OK);
    cr_expect_arr_eq(with->matches, without->matches, with->plan.due_count * sizeof *with->matches);
    cr_expect_eq(with->finding_count, without->finding_count);
    eh_judgement_free(with);
    eh_judgement_free(without);
    tear_down(&s);
}

Test(own_beat, another_exercise_is_still_one) {
    struct setting s;
    struct eh_judgement *j = NULL;
    struct eh_plan other;
    struct eh_error error;
    const struct eh_plan_request whole = {.first_bar = 0};
    set_up(&s);
    struct eh_exercise *exercise = read(OTHER);
    cr_assert_eq(
        eh_plan_init(&other, exercise, &whole, &s.take.click, EH_TICKS_PER_QUARTER, &error), EH_OK);
    play(&s, &other, 3.0);
    cr_expect_eq(judge(&s, true, &j), EH_NO_FIT);
    eh_plan_deinit(&other);
    eh_exercise_free(exercise);
    tear_down(&s);
}
