/* What fails, by several runs: docs/today.md, "What fails". */
#include <math.h>
#include <string.h>

#include "candidate.h"
#include "evenhand/pool.h"
#include "evidence.h"

enum { LATEST = 5, SHOWN_LEAST = 2, HOLDS_IN_A_ROW = 2, RUNS_MAX = 64 };

/* The runs as fast as it fails, the latest of them. */
struct latest {
    uint32_t shown, judged;
    int32_t clear_in_a_row; /* from the latest on */
    double shown_weight, weight;
};

static struct latest look_at_latest(const struct eh_agenda_input *input,
                                    const struct question *question, struct span bars,
                                    double from_bpm) {
    struct latest latest = {0};
    for (size_t i = 0; i < input->run_count && latest.judged < LATEST; i++) {
        const struct eh_agenda_run *run = &input->runs[i];
        const enum answer answer = evidence_answer(input, run, question, bars);
        if (answer == ANSWER_NONE || run->bpm < from_bpm) {
            continue;
        }
        const double weight = evidence_weight(input->today - run->day);
        latest.judged++;
        latest.weight += weight;
        if (answer == ANSWER_SHOWN) {
            latest.shown++;
            latest.shown_weight += weight;
        } else if (latest.shown == 0) {
            latest.clear_in_a_row++;
        }
    }
    return latest;
}

/* What the runs that showed it measured, put together, and at which tempi. */
struct shown {
    struct eh_pool pool;
    double bpm[RUNS_MAX]; /* rising */
    size_t count;
    size_t no_click;
};

static void insert(double *rising, size_t *count, double value) {
    size_t i = (*count)++;
    for (; i > 0 && rising[i - 1] > value; i--) {
        rising[i] = rising[i - 1];
    }
    rising[i] = value;
}

static void gather(const struct eh_agenda_input *input, const struct question *question,
                   struct span bars, struct shown *out) {
    *out = (struct shown){.count = 0};
    for (size_t i = 0; i < input->run_count && out->count < RUNS_MAX; i++) {
        const struct eh_agenda_run *run = &input->runs[i];
        if (evidence_answer(input, run, question, bars) == ANSWER_SHOWN) {
            (void)eh_pool_add(&out->pool, evidence_measured(run, question), run->level_scale_sd);
            insert(out->bpm, &out->count, run->bpm);
            out->no_click += run->no_click;
        }
    }
}

/* Just below where it fails: below the tempo at which three runs of four are clear, and below most
 * of the runs that showed it. A buzz that is slower than its exercise begins breaks for another
 * reason. The shares are choices of ours. */
static double choose_tempo(const struct eh_agenda_input *input, const struct question *question,
                           const struct eh_held *held, const struct shown *shown) {
    const double start = eh_exercise_tempo_start(input->pieces[question->piece].exercise);
    const double slowest = shown->bpm[0];
    const double middle = shown->bpm[(shown->count - 1) / 2];
    const double holds = held->open_low ? 0.90 * slowest : 0.97 * held->bpm;
    const double least = question->aspect == EH_ASPECT_BUZZ ? start : 0.75 * start;
    const double bpm = floor(fmin(holds, 0.95 * middle));
    return fmax(fmax(bpm, fmin(floor(least), floor(slowest))), EH_TEMPO_MIN);
}

/* How far beyond its limit, as a share of the limits' width. */
static double beyond(const struct eh_finding *f) {
    const double low = f->limit_low;
    const double high = f->limit_high;
    const double width = isnan(low) ? fabs(high) : isnan(high) ? fabs(low) : high - low;
    const double far = fmax(isnan(high) ? 0.0 : f->value - high, isnan(low) ? 0.0 : low - f->value);
    return width > 0.0 ? fmin(far / width, 1.0) : 1.0;
}

static struct eh_finding found_of(const struct question *question, const struct shown *shown) {
    struct eh_finding f = {.aspect = question->aspect,
                           .side = question->side,
                           .verdict = question->verdict,
                           .direction = question->direction,
                           .fault = EH_FAULT_YES};
    const struct eh_estimate e = eh_pool_estimate(&shown->pool, &f.limit_low, &f.limit_high);
    f.value = e.value;
    f.low = e.low;
    f.high = e.high;
    f.n = (uint32_t)e.n;
    memcpy(f.unit, shown->pool.unit, sizeof f.unit);
    return f;
}

double candidate_spacing(int64_t days) {
    const double most = 7.0;
    return 1.0 + (days == EH_AGENDA_NONE ? 1.0 : fmin((double)days, most) / most);
}

bool candidate_fails(const struct eh_agenda_input *input, size_t piece, uint8_t aspect,
                     uint8_t side, struct candidate *out) {
    struct question question = {.piece = piece, .aspect = aspect, .side = side};
    if (evidence_fault(input, &question) < SHOWN_LEAST) {
        return false;
    }
    const struct span bars = evidence_bars(input, &question);
    struct eh_held held;
    struct shown shown;
    evidence_held(input, &question, bars, &held);
    gather(input, &question, bars, &shown);
    if (shown.count < SHOWN_LEAST) {
        return false;
    }
    const double bpm = choose_tempo(input, &question, &held, &shown);
    const struct latest latest =
        look_at_latest(input, &question, bars, held.open_low ? shown.bpm[0] : held.bpm);
    if (latest.shown < SHOWN_LEAST || latest.clear_in_a_row >= HOLDS_IN_A_ROW ||
        bpm >= eh_exercise_tempo_goal(input->pieces[piece].exercise)) {
        return false;
    }
    const int64_t days = evidence_days(input, piece, bars);
    out->item = (struct eh_agenda_item){.kind = EH_AGENDA_FAILS,
                                        .piece = piece,
                                        .first_bar = bars.first,
                                        .last_bar = bars.last,
                                        .bpm = bpm,
                                        .no_click = 2 * shown.no_click > shown.count,
                                        .days = days,
                                        .found = found_of(&question, &shown),
                                        .shown = latest.shown,
                                        .judged = latest.judged,
                                        .shown_low_bpm = shown.bpm[0],
                                        .shown_high_bpm = shown.bpm[shown.count - 1],
                                        .clean_bpm = NAN};
    out->score = latest.shown_weight / (latest.weight + 1.0) *
                 (0.5 + 0.5 * beyond(&out->item.found)) * candidate_spacing(days);
    return true;
}
