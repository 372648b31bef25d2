/* The demo player's character: what it always does, drawn from its seed. */
#include "evenhand/demo.h"

#include <math.h>

#include "demo_row.h"

/* Loudest and softest velocity aimed at: neither saturates (a hit at 127 hides its level) nor
 * falls below what a pad reports. A tap at mf is no louder than velocity 52. */
static const double loudest_db = -2.43; /* velocity 96 */
static const double softest_db = -22.0; /* velocity 10 */
static const double loudest_mf_db = -7.76;
static const double usual_mark_db = 3.2; /* common practice, no source: 3 to 5 dB a mark */
static const double least_mark_db = 1.0;

/* What an accent of a style rises by: the middle of the allowed range, as a ratio. */
static void find_accent_range(const struct eh_style *style, double *out_low, double *out_high) {
    const bool known =
        style != NULL && style->accent_low_db > 0.0 && style->accent_high_db > style->accent_low_db;
    *out_low = known ? style->accent_low_db : 4.0;
    *out_high = known ? style->accent_high_db : 12.0;
}

/* Sizes that follow from the style or were left open. */
static void settle_sizes(struct eh_demo_request *request) {
    double low = 0.0;
    double high = 0.0;
    find_accent_range(request->style, &low, &high);
    size_t count = 0;
    const struct eh_demo_name *names = eh_demo_names(&count);
    for (size_t i = 0; i < request->fault_count; i++) {
        struct eh_demo_fault *fault = &request->faults[i];
        if (!isnan(fault->size)) {
            continue;
        }
        if (fault->kind == EH_DEMO_UNDER_ACCENTS) {
            fault->size = low / 4.0;
        } else if (fault->kind == EH_DEMO_OVERBLOWN_ACCENTS) {
            fault->size = high * 1.35;
        }
        for (size_t n = 0; n < count && isnan(fault->size); n++) {
            if (names[n].kind == fault->kind && names[n].side == fault->side) {
                fault->size = isnan(names[n].size) ? 0.0 : names[n].size; /* 0 beats: a bar */
            }
        }
    }
}

static void choose_lift(struct eh_demo *demo) {
    double low = 0.0;
    double high = 0.0;
    find_accent_range(demo->request.style, &low, &high);
    demo->lift_db = sqrt(low * high);
}

/* Sets the level of mf and the size of a dynamic mark so that the plan's loudest and softest
 * strokes fit between the pad's ends. */
static void choose_levels(struct eh_demo *demo) {
    double low = 100.0;
    double high = -100.0;
    double lift = 0.0;
    for (size_t i = 0; i < demo->plan->due_count; i++) {
        const struct eh_stroke *stroke = eh_plan_stroke(demo->plan, i);
        const double step = stroke->step_milli / 1000.0 - EH_DYNAMIC_MF;
        low = step < low ? step : low;
        high = step > high ? step : high;
        const double own = stroke->accent > 0 ? eh_demo_lift_db(demo, i) : 0.0;
        lift = own > lift ? own : lift;
    }
    const double left = eh_demo_hand_size(demo, EH_DEMO_STRONG_HAND, EH_HAND_LEFT);
    const double right = eh_demo_hand_size(demo, EH_DEMO_STRONG_HAND, EH_HAND_RIGHT);
    lift += !isnan(left) ? left : !isnan(right) ? right : 0.0;
    demo->mark_db = usual_mark_db;
    const double room = loudest_db - softest_db - lift;
    if (high > low && (high - low) * demo->mark_db > room) {
        demo->mark_db = room / (high - low);
        demo->mark_db = demo->mark_db < least_mark_db ? least_mark_db : demo->mark_db;
    }
    demo->mf_db = loudest_db - lift - high * demo->mark_db;
    if (demo->mf_db > loudest_mf_db) {
        demo->mf_db = loudest_mf_db;
    }
}

/* Habits that stay the same through a run; sizes as professionals show them (docs/practice.md). */
static void choose_habits(struct eh_demo *demo) {
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_HABIT);
    demo->offset_ns = (-12.0 + 3.0 * eh_random_normal(&random)) * EH_NS_PER_MS;
    for (int hand = 0; hand < 2; hand++) {
        demo->hand_ns[hand] = 0.8 * eh_random_normal(&random) * EH_NS_PER_MS;
        demo->hand_db[hand] = 0.3 * eh_random_normal(&random);
        demo->second_share[hand] = 0.012 * eh_random_normal(&random); /* of the gap */
        demo->second_db[hand] = -0.7 + 0.3 * eh_random_normal(&random);
    }
    if (demo->request.exact) {
        demo->offset_ns = 0.0;
        for (int hand = 0; hand < 2; hand++) {
            demo->hand_ns[hand] = demo->hand_db[hand] = 0.0;
            demo->second_share[hand] = demo->second_db[hand] = 0.0;
        }
    }
}

/* Bars that the exercise has, but that are not asked for, are no mistake: it does not show. */
static enum eh_status check_bars(const struct eh_demo_request *request, const struct eh_plan *plan,
                                 struct eh_error *error) {
    const size_t bars = (size_t)eh_exercise_bar_count(plan->exercise);
    for (size_t i = 0; i < request->fault_count; i++) {
        const int32_t last = request->faults[i].last_bar;
        if (last > 0 && (size_t)last > bars) {
            return eh_fail(error, EH_OUT_OF_RANGE,
                           "a fault is to show up to bar %d, but the exercise has %zu bars",
                           (int)last, bars);
        }
    }
    return EH_OK;
}

static enum eh_status check_sizes(const struct eh_demo_request *request, struct eh_error *error) {
    if (request->fault_count > EH_DEMO_FAULTS_MAX) {
        return eh_fail(error, EH_OUT_OF_RANGE, "the demo player has at most %d faults at once",
                       EH_DEMO_FAULTS_MAX);
    }
    size_t count = 0;
    const struct eh_demo_name *names = eh_demo_names(&count);
    for (size_t i = 0; i < request->fault_count; i++) {
        const struct eh_demo_fault *fault = &request->faults[i];
        for (size_t n = 0; n < count; n++) {
            if (names[n].kind == fault->kind && !isnan(fault->size) &&
                !(fault->size >= names[n].low && fault->size <= names[n].high)) {
                return eh_fail(error, EH_OUT_OF_RANGE, "the size of %s is from %g to %g (%s)",
                               names[n].name, names[n].low, names[n].high, names[n].unit);
            }
        }
    }
    return EH_OK;
}

static bool shows_somewhere(const struct eh_demo_fault *fault, const struct eh_plan *plan) {
    for (size_t i = 0; i < plan->bar_count; i++) {
        if (eh_demo_fault_in_bar(fault, plan->bars[i].written)) {
            return true;
        }
    }
    return false;
}

/* Leaves out what does not show in the plan's bars or at its tempo. A tempo that a whole number of
 * nanoseconds cannot quite express is not above itself. */
static void drop_hidden(struct eh_demo_request *request, const struct eh_plan *plan) {
    static const double alike_bpm = 0.005;
    const struct eh_plan_bar *bar = &plan->bars[0];
    const double quarters = (double)(bar->end - bar->at) / (double)EH_TICKS_PER_QUARTER;
    const double bpm = quarters * 60e9 / (double)(bar->end_ns - bar->at_ns);
    size_t kept = 0;
    for (size_t i = 0; i < request->fault_count; i++) {
        if (!(bpm <= request->faults[i].above_bpm + alike_bpm) &&
            shows_somewhere(&request->faults[i], plan)) {
            request->faults[kept++] = request->faults[i];
        }
    }
    request->fault_count = kept;
}

static void settle_notes(struct eh_demo_request *request) {
    if (request->notes_set) {
        return;
    }
    request->note = request->note == 0 ? 38 : request->note;
    request->rim_note = request->rim_note == 0 ? 40 : request->rim_note;
    request->hand_notes[EH_HAND_LEFT] = request->note;
    request->hand_notes[EH_HAND_RIGHT] = request->note;
}

enum eh_status eh_demo_init(struct eh_demo *out_demo, const struct eh_plan *plan,
                            const struct eh_demo_request *request, struct eh_error *error) {
    *out_demo = (struct eh_demo){.plan = plan, .request = *request};
    enum eh_status status = check_sizes(request, error);
    if (status == EH_OK) {
        status = check_bars(request, plan, error);
    }
    if (status != EH_OK) {
        return status;
    }
    drop_hidden(&out_demo->request, plan);
    settle_notes(&out_demo->request);
    settle_sizes(&out_demo->request);
    choose_lift(out_demo);
    choose_levels(out_demo);
    choose_habits(out_demo);
    return EH_OK;
}

enum eh_status eh_demo_hits(const struct eh_demo *demo, struct eh_take *take) {
    struct eh_row row = {0};
    enum eh_status status = eh_row_lay(&row, demo);
    if (status == EH_OK) {
        eh_row_time(&row, demo);
        eh_row_level(&row, demo);
        status = eh_row_hits(&row, demo, take);
    }
    eh_row_deinit(&row);
    return status;
}
