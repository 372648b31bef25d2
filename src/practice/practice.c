#include "evenhand/practice.h"

#include <stdlib.h>

#include "beats.h"
#include "heard.h"

/* What is waited for after the last bar line: a beat, within these bounds. */
static const int64_t least_grace_ns = 600 * EH_NS_PER_MS;
static const int64_t most_grace_ns = 1500 * EH_NS_PER_MS;

/* Shorter silences than this are a player who turns the page. */
static const int64_t least_silence_ns = 4 * EH_NS_PER_S;

static enum eh_status check_request(const struct eh_practice_request *request,
                                    struct eh_error *error) {
    if (!(request->bpm >= EH_TEMPO_MIN && request->bpm <= EH_TEMPO_MAX)) {
        return eh_fail(error, EH_OUT_OF_RANGE, "a tempo is from %d to %d quarter notes a minute",
                       (int)EH_TEMPO_MIN, (int)EH_TEMPO_MAX);
    }
    if (request->plan.passes < 0 || request->plan.passes > EH_PASSES_MAX) {
        return eh_fail(error, EH_OUT_OF_RANGE, "a run has 1 to %d passes", EH_PASSES_MAX);
    }
    if (request->count_in_bars < 0 || request->count_in_bars > EH_COUNT_IN_BARS_MAX) {
        return eh_fail(error, EH_OUT_OF_RANGE, "a count-in has 1 to %d bars", EH_COUNT_IN_BARS_MAX);
    }
    if (request->subdivision < 0 || request->subdivision > EH_SUBDIVISION_MAX) {
        return eh_fail(error, EH_OUT_OF_RANGE, "a beat is divided into 1 to %d clicks",
                       EH_SUBDIVISION_MAX);
    }
    return EH_OK;
}

/* The first bar that is asked for; bar 1 when there is none such (the plan then says so). */
static const struct eh_bar *first_bar(const struct eh_exercise *exercise, int32_t wanted) {
    size_t count = 0;
    const struct eh_bar *bars = eh_exercise_bars(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        if (bars[i].written == wanted) {
            return &bars[i];
        }
    }
    return &bars[0];
}

static enum eh_status lay_plan(struct eh_practice *practice, const struct eh_exercise *exercise,
                               const struct eh_practice_request *request, struct eh_error *error) {
    const int bars = request->count_in_bars > 0 ? request->count_in_bars : 1;
    practice->request = request->plan;
    practice->count_in = eh_practice_count_in(first_bar(exercise, request->plan.first_bar), bars);
    practice->request.gap = request->no_click ? 0 : practice->count_in;
    if (practice->request.passes == 0) {
        practice->request.passes = 1;
    }
    return eh_plan_init(&practice->plan, exercise, &practice->request, &practice->click, 0, error);
}

static enum eh_status lay_silent(struct eh_practice *practice,
                                 const struct eh_practice_request *request,
                                 struct eh_error *error) {
    static const struct eh_silent_ask nothing = {.kind = EH_SILENT_NONE};
    practice->silent = calloc(practice->plan.bar_count, sizeof *practice->silent);
    return practice->silent == NULL ? EH_NO_MEMORY
                                    : eh_silent_lay(request->no_click ? &nothing : &request->silent,
                                                    &practice->plan, practice->silent, error);
}

static int64_t clamp_ns(int64_t value, int64_t low, int64_t high) {
    return value < low ? low : value > high ? high : value;
}

int64_t eh_practice_grace_ns(int64_t beat_ns) {
    return clamp_ns(beat_ns, least_grace_ns, most_grace_ns);
}

int64_t eh_practice_silence_ns(int64_t two_bars_ns) {
    return two_bars_ns > least_silence_ns ? two_bars_ns : least_silence_ns;
}

static void set_waits(struct eh_practice *practice, const struct eh_practice_request *request) {
    const struct eh_plan_bar *bar = &practice->plan.bars[0];
    const struct eh_tempo_map *click = &practice->click;
    practice->beat_ns = eh_tempo_map_ns(click, eh_beat_ticks(bar->beats, bar->unit));
    practice->grace_ns = eh_practice_grace_ns(practice->beat_ns);
    const int64_t two_bars = eh_tempo_map_ns(click, 2 * eh_metre_ticks(bar->beats, bar->unit));
    practice->silence_ns =
        request->silence_ns > 0 ? request->silence_ns : eh_practice_silence_ns(two_bars);
}

enum eh_status eh_practice_init(struct eh_practice *out_practice,
                                const struct eh_exercise *exercise,
                                const struct eh_practice_request *request, struct eh_error *error) {
    *out_practice = (struct eh_practice){.no_click = request->no_click,
                                         .uncounted = request->no_click && request->uncounted};
    enum eh_status status = check_request(request, error);
    if (status == EH_OK) {
        status = eh_tempo_map_init(&out_practice->click, 0, 0, eh_ns_per_quarter(request->bpm));
    }
    if (status == EH_OK) {
        status = lay_plan(out_practice, exercise, request, error);
    }
    if (status == EH_OK) {
        set_waits(out_practice, request);
        status = lay_silent(out_practice, request, error);
    }
    if (status == EH_OK) {
        status = eh_beats_lay(out_practice, request->subdivision > 0 ? request->subdivision : 1);
    }
    if (status != EH_OK) {
        eh_practice_deinit(out_practice);
        return status == EH_NO_MEMORY ? eh_fail(error, status, "no memory for the run") : status;
    }
    out_practice->now_ns = INT64_MIN;
    out_practice->last_hit_ns = INT64_MIN;
    return EH_OK;
}

void eh_practice_deinit(struct eh_practice *practice) {
    eh_plan_deinit(&practice->plan);
    eh_tempo_map_deinit(&practice->click);
    free(practice->silent);
    free(practice->beats);
    *practice = (struct eh_practice){0};
}

int64_t eh_practice_start_ns(const struct eh_practice *practice) {
    return practice->beat_count > 0 ? practice->beats[0].at_ns : 0;
}

/* A player who has fallen behind is let play on for as long as he plays, but no more than so. */
int64_t eh_practice_latest_end_ns(const struct eh_practice *practice) {
    return practice->plan.end_ns + practice->grace_ns + practice->silence_ns;
}

bool eh_practice_hit(struct eh_practice *practice, int64_t at_ns) {
    if (at_ns < practice->plan.start_ns - practice->beat_ns / 2) {
        return false; /* taps during the count-in */
    }
    practice->hit_count++;
    practice->last_hit_ns = at_ns;
    const struct eh_plan *plan = &practice->plan;
    while (practice->quiet_due < plan->due_count &&
           plan->due[practice->quiet_due].at_ns <=
               at_ns + plan->due[practice->quiet_due].spacing_ns / 2) {
        practice->quiet_due++;
    }
    return true;
}

static void end_with(struct eh_practice *practice, enum eh_practice_end end) {
    if (practice->end == EH_END_NOT_YET) {
        practice->end = (uint8_t)end;
    }
}

/* Silence counts from the first stroke that should have sounded: a written rest or a count-in is
 * no silence. */
static bool is_silent(const struct eh_practice *practice) {
    const struct eh_plan *plan = &practice->plan;
    return practice->hit_count > 0 && practice->quiet_due < plan->due_count &&
           practice->now_ns - plan->due[practice->quiet_due].at_ns >= practice->silence_ns;
}

static bool has_reached_end(const struct eh_practice *practice) {
    if (practice->now_ns < practice->plan.end_ns + practice->grace_ns) {
        return false;
    }
    return practice->hit_count == 0 ||
           practice->now_ns - practice->last_hit_ns >= practice->grace_ns ||
           practice->now_ns >= eh_practice_latest_end_ns(practice);
}

void eh_practice_advance(struct eh_practice *practice, int64_t now_ns, size_t settled_due) {
    if (now_ns > practice->now_ns) {
        practice->now_ns = now_ns;
    }
    if (settled_due > practice->settled_due) {
        practice->settled_due = settled_due;
    }
    if (has_reached_end(practice)) {
        end_with(practice, practice->hit_count > 0 ? EH_END_EXERCISE : EH_END_NOTHING);
    } else if (is_silent(practice)) {
        end_with(practice, EH_END_SILENCE);
    }
}

void eh_practice_stop(struct eh_practice *practice, enum eh_practice_end end) {
    end_with(practice, end);
}

void eh_practice_finish(struct eh_practice *practice) {
    end_with(practice, EH_END_STOPPED);
    practice->finished = true;
    practice->settled_due = practice->plan.due_count;
}

bool eh_practice_is_over(const struct eh_practice *practice) {
    return practice->end != EH_END_NOT_YET;
}

enum eh_practice_end eh_practice_end(const struct eh_practice *practice) {
    return (enum eh_practice_end)practice->end;
}

const char *eh_practice_end_text(enum eh_practice_end end) {
    switch (end) {
    case EH_END_NOT_YET:
        return "still running";
    case EH_END_EXERCISE:
        return "played to the end";
    case EH_END_SILENCE:
        return "ended by silence";
    case EH_END_NOTHING:
        return "nothing was played";
    case EH_END_STOPPED:
        return "stopped";
    case EH_END_GONE:
        return "the pad's port went away";
    }
    return "?";
}
