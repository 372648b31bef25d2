#include "evenhand/agenda.h"

#include <math.h>

#include "candidate.h"

/* Choices of ours: how much of the minutes a warm-up and a run-through may take. */
static const double warm_up_share = 0.15, warm_up_least_s = 15.0, warm_up_most_s = 180.0;
static const double through_share = 0.25, through_most_s = 180.0;

/* A second fault of one piece counts for half against other pieces, a third for a quarter. */
static const double same_piece = 0.5;

struct choice {
    struct candidate work[EH_AGENDA_WORK_MAX];
    size_t count;
};

/* One item a piece, but for several faults; the same fault of the other hand in the same bars is
 * worked on with it. */
static bool goes_with(const struct eh_agenda_item *a, const struct eh_agenda_item *b) {
    if (a->piece != b->piece) {
        return false;
    }
    if (a->kind != EH_AGENDA_FAILS || b->kind != EH_AGENDA_FAILS) {
        return true;
    }
    const struct span ours = {a->first_bar, a->last_bar};
    const struct span theirs = {b->first_bar, b->last_bar};
    return a->found.aspect == b->found.aspect &&
           (a->found.side == b->found.side || span_overlaps(ours, theirs));
}

static bool chosen(const struct choice *choice, const struct candidate *candidate) {
    for (size_t i = 0; i < choice->count; i++) {
        if (goes_with(&choice->work[i].item, &candidate->item)) {
            return true;
        }
    }
    return false;
}

static double discount(const struct choice *choice, size_t piece) {
    double share = 1.0;
    for (size_t i = 0; i < choice->count; i++) {
        share *= choice->work[i].item.piece == piece ? same_piece : 1.0;
    }
    return share;
}

static void prefer(const struct choice *choice, struct candidate *own, struct candidate *best) {
    own->score *= discount(choice, own->item.piece);
    if (!chosen(choice, own) && own->score > best->score * (1.0 + 1e-9)) {
        *best = *own; /* of equals the first */
    }
}

static bool is_warm_up(const struct eh_agenda_input *input, size_t piece) {
    for (int i = 0; i < EH_WARM_UP_COUNT; i++) {
        if (input->warm_ups[i] >= 0 && (size_t)input->warm_ups[i] == piece) {
            return true;
        }
    }
    return false;
}

/* The one that asks most and is not chosen yet. A warm-up comes by itself; that it was not played
 * for days, or could be faster, is nothing to work on unless there is nothing else. */
static bool find_next(const struct eh_agenda_input *input, const struct choice *choice,
                      bool warm_ups_too, struct candidate *out) {
    *out = (struct candidate){.score = 0.0};
    for (size_t piece = 0; piece < input->piece_count; piece++) {
        struct candidate own;
        bool fails = false;
        for (int key = 0; key < EH_ASPECT_COUNT * 3; key++) {
            if (candidate_fails(input, piece, (uint8_t)(key / 3), (uint8_t)(key % 3), &own)) {
                fails = true;
                prefer(choice, &own, out);
            }
        }
        if (!fails && (warm_ups_too || !is_warm_up(input, piece)) &&
            candidate_holds(input, piece, &own)) {
            prefer(choice, &own, out);
        }
    }
    return out->score > 0.0;
}

/* More things in more time: a choice of ours. */
static size_t items_for(double minutes) {
    return minutes < 6.0    ? 2
           : minutes < 15.0 ? 3
           : minutes < 30.0 ? 4
           : minutes < 45.0 ? 6
                            : EH_AGENDA_WORK_MAX;
}

/* Neighbours are of different pieces where that can be. */
static void spread_out(struct choice *choice) {
    for (size_t i = 1; i < choice->count; i++) {
        size_t other = i;
        while (other < choice->count &&
               choice->work[other].item.piece == choice->work[i - 1].item.piece) {
            other++;
        }
        for (; other < choice->count && other > i; other--) {
            const struct candidate moved = choice->work[other];
            choice->work[other] = choice->work[other - 1];
            choice->work[other - 1] = moved;
        }
    }
}

static void choose(const struct eh_agenda_input *input, bool warm_ups_too, struct choice *out) {
    const size_t most = items_for(input->minutes);
    struct candidate next;
    out->count = 0;
    while (out->count < most && find_next(input, out, warm_ups_too, &next)) {
        out->work[out->count++] = next;
    }
    spread_out(out);
}

static double share_of(const struct eh_agenda_input *input, double share, double most) {
    return fmin(share * input->minutes * 60.0, most);
}

/* What the work is made of decides; where there is no such warm-up, another. */
static bool find_warm_up(const struct eh_agenda_input *input, const struct choice *choice,
                         struct eh_agenda_item *out) {
    bool rolls = false;
    bool buzzes = false;
    for (size_t i = 0; i < choice->count; i++) {
        size_t count = 0;
        const struct eh_exercise *exercise = input->pieces[choice->work[i].item.piece].exercise;
        const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
        for (size_t s = 0; s < count; s++) {
            buzzes |= strokes[s].kind == EH_KIND_BUZZ;
            rolls |= strokes[s].kind == EH_KIND_SECOND;
        }
    }
    const int wanted = buzzes ? EH_WARM_UP_BUZZ : rolls ? EH_WARM_UP_ROLL : EH_WARM_UP_HANDS;
    int32_t piece = input->warm_ups[wanted];
    for (int i = 0; i < EH_WARM_UP_COUNT && piece < 0; i++) {
        piece = input->warm_ups[i];
    }
    if (piece < 0) {
        return false;
    }
    const struct eh_exercise *exercise = input->pieces[piece].exercise;
    const double bpm = eh_exercise_tempo_start(exercise);
    const double room = fmax(share_of(input, warm_up_share, warm_up_most_s), warm_up_least_s);
    const struct span span =
        span_cut(input, (size_t)piece, span_all(exercise), bpm, room, INT32_MAX);
    *out = (struct eh_agenda_item){.kind = EH_AGENDA_WARM_UP,
                                   .piece = (size_t)piece,
                                   .first_bar = span.first,
                                   .last_bar = span.last,
                                   .bpm = bpm,
                                   .passes = 1,
                                   .seconds = span_seconds(input, (size_t)piece, span, bpm),
                                   .days = EH_AGENDA_NONE,
                                   .clean_bpm = NAN};
    return true;
}

static bool is_in(const struct choice *choice, size_t piece) {
    for (size_t i = 0; i < choice->count; i++) {
        if (choice->work[i].item.piece == piece) {
            return true;
        }
    }
    return false;
}

/* The longest clean run of a piece that is not worked on; of equals the one that rested longest,
 * then the first. */
static bool find_run_through(const struct eh_agenda_input *input, const struct choice *choice,
                             const struct eh_agenda_item *warm_up, struct eh_agenda_item *out) {
    const struct eh_agenda_run *best = NULL;
    int32_t most = 0;
    for (size_t piece = 0; piece < input->piece_count; piece++) {
        const struct eh_agenda_run *clean = candidate_clean(input, piece);
        if (clean == NULL || is_in(choice, piece) || (warm_up != NULL && warm_up->piece == piece)) {
            continue;
        }
        const struct span span = span_of_run(input, clean);
        const int32_t bars = span.last - span.first + 1;
        if (bars > most || (bars == most && best != NULL && clean->day < best->day)) {
            most = bars;
            best = clean;
        }
    }
    if (best == NULL) {
        return false;
    }
    const struct span span = span_cut(input, best->piece, span_of_run(input, best), best->bpm,
                                      share_of(input, through_share, through_most_s), INT32_MAX);
    *out = (struct eh_agenda_item){.kind = EH_AGENDA_RUN_THROUGH,
                                   .piece = best->piece,
                                   .first_bar = span.first,
                                   .last_bar = span.last,
                                   .bpm = best->bpm,
                                   .passes = 1,
                                   .no_click = best->no_click,
                                   .seconds = span_seconds(input, best->piece, span, best->bpm),
                                   .days = best->day < input->today ? input->today - best->day : 0,
                                   .clean_bpm = best->bpm};
    return true;
}

static enum eh_status check(const struct eh_agenda_input *input, struct eh_error *error) {
    if (!(input->minutes >= EH_AGENDA_MINUTES_MIN && input->minutes <= EH_AGENDA_MINUTES_MAX)) {
        return eh_fail(error, EH_OUT_OF_RANGE, "%g minutes are outside %d to %d", input->minutes,
                       EH_AGENDA_MINUTES_MIN, EH_AGENDA_MINUTES_MAX);
    }
    if (input->run_count == 0) {
        return eh_fail(error, EH_EMPTY, "there is no run in the history");
    }
    for (size_t i = 0; i < input->run_count; i++) {
        if (input->runs[i].piece >= input->piece_count) {
            return eh_fail(error, EH_OUT_OF_RANGE, "run %zu is of no piece", i);
        }
    }
    return EH_OK;
}

enum eh_status eh_agenda_make(struct eh_agenda *out_agenda, const struct eh_agenda_input *input,
                              struct eh_error *error) {
    *out_agenda = (struct eh_agenda){.item_count = 0};
    const enum eh_status status = check(input, error);
    if (status != EH_OK) {
        return status;
    }
    struct choice choice;
    struct eh_agenda_item warm_up;
    struct eh_agenda_item run_through;
    choose(input, false, &choice);
    bool warm = find_warm_up(input, &choice, &warm_up);
    bool through = find_run_through(input, &choice, warm ? &warm_up : NULL, &run_through);
    if (choice.count == 0 && !through) { /* nothing but warm-ups was ever played */
        choose(input, true, &choice);
        warm = warm && !is_in(&choice, warm_up.piece) && choice.count > 0;
        through = find_run_through(input, &choice, NULL, &run_through);
    }
    struct eh_agenda_item work[EH_AGENDA_WORK_MAX];
    for (size_t i = 0; i < choice.count; i++) {
        work[i] = choice.work[i].item;
    }
    if (!pack_turns(input, work, choice.count, warm ? &warm_up : NULL,
                    through ? &run_through : NULL, out_agenda)) {
        *out_agenda = (struct eh_agenda){.item_count = 0};
        return eh_fail(error, EH_OUT_OF_RANGE, "nothing fits into %g minutes", input->minutes);
    }
    return EH_OK;
}
