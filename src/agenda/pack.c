/* From items to turns: who comes when, how often, with which rests. */
#include <math.h>

#include "candidate.h"

enum { PASSES_MOST = 4, TURNS_LEAST = 2 };

/* About a minute at one thing, then another: docs/today.md, "In turn". */
static const double turn_s = 60.0;

struct draft {
    const struct eh_agenda_input *input;
    const struct eh_agenda_item *warm_up, *run_through; /* NULL: none */
    struct eh_agenda_item work[EH_AGENDA_WORK_MAX];
    size_t work_count;
    int32_t turns;
    double rest_item, rest_turn;
};

static double seconds_of(const struct eh_agenda_input *input, const struct eh_agenda_item *item,
                         int32_t passes) {
    const struct span span = {item->first_bar, item->last_bar};
    return passes * span_seconds(input, item->piece, span, item->bpm) +
           (passes - 1) * EH_AGENDA_REST_PASS_S;
}

/* How much of the minutes is left for turns: breaks, warm-up and run-through taken off. */
static double room_of(const struct draft *draft) {
    const double whole = draft->input->minutes * 60.0;
    const double beyond = fmax(whole - EH_AGENDA_UNBROKEN_S, 0.0);
    const double breaks = ceil(beyond / (EH_AGENDA_UNBROKEN_S + EH_AGENDA_BREAK_S));
    double room = whole - breaks * EH_AGENDA_BREAK_S;
    if (draft->warm_up != NULL) {
        room -= draft->warm_up->seconds + draft->rest_item;
    }
    if (draft->run_through != NULL) {
        room -= draft->run_through->seconds + draft->rest_turn;
    }
    return room;
}

/* Gives each item its passes, MOST at the most, and finds how many turns fit. */
static bool fit(struct draft *draft, int32_t most, int32_t least_turns) {
    double all = draft->rest_item * (double)(draft->work_count - 1);
    for (size_t i = 0; i < draft->work_count; i++) {
        struct eh_agenda_item *item = &draft->work[i];
        const double one = seconds_of(draft->input, item, 1) + EH_AGENDA_REST_PASS_S;
        const double wanted = fmin(fmax(round(turn_s / one), 1.0), most);
        item->passes = (int32_t)wanted;
        item->seconds = seconds_of(draft->input, item, item->passes);
        all += item->seconds;
    }
    const double room = room_of(draft);
    const double turns = floor((room + draft->rest_turn) / (all + draft->rest_turn));
    draft->turns = (int32_t)fmin(fmax(turns, 0.0), EH_AGENDA_TURNS_MAX);
    return draft->turns >= least_turns;
}

/* As many items as the minutes are made for, with a second turn of each at least; rather fewer
 * passes a turn than fewer items, rather without the run-through than one thing only. */
static bool shrink_to_fit(struct draft *draft, const struct eh_agenda_item *run_through) {
    for (; draft->work_count > 0; draft->work_count--) {
        const int32_t least = draft->work_count > 1 ? TURNS_LEAST : 1;
        for (int with = run_through != NULL; with >= 0; with--) {
            draft->run_through = with > 0 ? run_through : NULL;
            for (int32_t passes = PASSES_MOST; passes >= 1; passes--) {
                if (fit(draft, passes, least)) {
                    return true;
                }
            }
        }
    }
    draft->run_through = run_through;
    return draft->run_through != NULL && room_of(draft) >= 0.0;
}

struct writer {
    struct eh_agenda *out;
    double unbroken; /* since the last break */
};

static void add_step(struct writer *writer, size_t item, int32_t turn, double rest) {
    struct eh_agenda *out = writer->out;
    const double seconds = out->items[item].seconds;
    if (writer->unbroken + rest + seconds > EH_AGENDA_UNBROKEN_S) {
        rest = EH_AGENDA_BREAK_S;
        writer->unbroken = -rest;
    }
    out->steps[out->step_count++] = (struct eh_agenda_step){item, turn, rest};
    out->seconds += rest + seconds;
    writer->unbroken += rest + seconds;
}

static size_t add_item(struct eh_agenda *out, const struct eh_agenda_item *item) {
    out->items[out->item_count] = *item;
    return out->item_count++;
}

static void write_down(const struct draft *draft, struct eh_agenda *out) {
    struct writer writer = {.out = out};
    *out = (struct eh_agenda){.rest_item_s = draft->rest_item, .rest_turn_s = draft->rest_turn};
    if (draft->warm_up != NULL) {
        add_step(&writer, add_item(out, draft->warm_up), 0, 0.0);
    }
    const size_t first = out->item_count;
    for (size_t i = 0; i < draft->work_count; i++) {
        (void)add_item(out, &draft->work[i]);
    }
    for (int32_t turn = 0; turn < draft->turns && draft->work_count > 0; turn++) {
        for (size_t i = 0; i < draft->work_count; i++) {
            const double rest = out->step_count == 0 ? 0.0
                                : i == 0 && turn > 0 ? draft->rest_turn
                                                     : draft->rest_item;
            add_step(&writer, first + i, turn, rest);
        }
    }
    if (draft->run_through != NULL) {
        add_step(&writer, add_item(out, draft->run_through), 0,
                 out->step_count == 0 ? 0.0 : draft->rest_turn);
    }
}

bool pack_turns(const struct eh_agenda_input *input, const struct eh_agenda_item *work,
                size_t work_count, const struct eh_agenda_item *warm_up,
                const struct eh_agenda_item *run_through, struct eh_agenda *out) {
    const double share = input->minutes < EH_AGENDA_FEW_MINUTES ? 0.5 : 1.0;
    struct draft draft = {.input = input,
                          .warm_up = warm_up,
                          .work_count = work_count,
                          .rest_item = share * EH_AGENDA_REST_ITEM_S,
                          .rest_turn = share * EH_AGENDA_REST_TURN_S};
    for (size_t i = 0; i < work_count; i++) {
        draft.work[i] = work[i];
    }
    if (!shrink_to_fit(&draft, run_through)) {
        draft.warm_up = NULL;
        draft.work_count = work_count > 0 ? 1 : 0;
        if (!shrink_to_fit(&draft, NULL)) {
            return false;
        }
    }
    write_down(&draft, out);
    while (out->seconds > input->minutes * 60.0 && draft.turns > 1) { /* one break more */
        draft.turns--;
        write_down(&draft, out);
    }
    return true;
}
