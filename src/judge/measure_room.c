/* Laying a run out for the measures: one allocation, one row a due stroke. */
#include "measure.h"

#include <math.h>
#include <string.h>

enum { SPARE = 8, DOUBLES = 8 };

static int32_t highest_bar(const struct eh_plan *plan) {
    int32_t most = 0;
    for (size_t i = 0; i < plan->bar_count; i++) {
        most = plan->bars[i].written > most ? plan->bars[i].written : most;
    }
    return most;
}

size_t measures_size(const struct eh_measure_input *input) {
    size_t rows = input->plan->due_count + SPARE;
    size_t bars = (size_t)highest_bar(input->plan) + 1;
    return rows * (sizeof(struct measure_stroke) + DOUBLES * sizeof(double) + sizeof(uint32_t) +
                   sizeof(uint8_t)) +
           (rows + input->hit_count) * sizeof(double) + bars * (sizeof(double) + sizeof(uint32_t)) +
           64;
}

static void *take(char **at, size_t count, size_t size) {
    void *part = *at;
    *at += (count * size + 7) / 8 * 8;
    return part;
}

static void lay_room(struct measures *m, void *room) {
    char *at = room;
    size_t rows = m->count + SPARE;
    size_t bars = (size_t)m->bars + 1;
    double **parts[DOUBLES] = {&m->time_rest, &m->level_rest, &m->a, &m->b,
                               &m->c,         &m->d,          &m->e, &m->f};
    m->row = take(&at, rows, sizeof *m->row);
    for (int i = 0; i < DOUBLES; i++) {
        *parts[i] = take(&at, rows, sizeof(double));
    }
    m->wide = take(&at, rows + m->in->hit_count, sizeof *m->wide);
    m->bar_sum = take(&at, bars, sizeof *m->bar_sum);
    m->bar_count = take(&at, bars, sizeof *m->bar_count);
    m->index = take(&at, rows, sizeof *m->index);
    m->group = take(&at, rows, sizeof *m->group);
}

static void lay_hit(struct measures *m, size_t i) {
    struct measure_stroke *r = &m->row[i];
    const struct eh_match *match = &m->in->matches[i];
    const struct eh_due *due = &m->in->plan->due[i];
    int64_t due_ns = due->at_ns + match->shift_ns;
    r->at_ms = (double)(due_ns - m->in->plan->start_ns) / 1e6;
    r->matched = match->hit != EH_NO_HIT;
    r->off_ms = NAN;
    r->lost_ms = NAN;
    r->level = NAN;
    if (r->matched) {
        const struct eh_hit *hit = &m->in->hits[match->hit];
        r->off_ms = (double)(hit->at_ns - due_ns) / 1e6;
        r->level = eh_pad_level_db(m->in->pad, eh_hit_velocity(hit));
        r->saturated = eh_pad_saturated(m->in->pad, hit);
    }
}

static void lay_row(struct measures *m, size_t i) {
    const struct eh_due *due = &m->in->plan->due[i];
    const struct eh_stroke *s = &m->strokes[due->stroke];
    m->row[i] = (struct measure_stroke){
        .gap_ms = (double)due->spacing_ns / 1e6,
        .stroke = due->stroke,
        .bar = m->in->plan->bars[due->bar].written,
        .hand = s->hand == EH_HAND_RIGHT,
        .kind = s->kind,
        .accent = s->accent,
        .dynamic = s->dynamic,
        .graces = s->grace_count,
        .main = s->kind != EH_KIND_GRACE,
        .beat = s->kind == EH_KIND_SINGLE || s->kind == EH_KIND_FIRST || s->kind == EH_KIND_BUZZ,
    };
    lay_hit(m, i);
}

/* A stretch ends where the bars do not follow each other or the player's place jumped, a passage
 * also where the written level changes at once. */
static void lay_stretches(struct measures *m) {
    const struct eh_plan *plan = m->in->plan;
    int32_t stretch = 0;
    int32_t passage = 0;
    for (size_t i = 0; i < m->count; i++) {
        if (i > 0) {
            const struct eh_plan_bar *was = &plan->bars[plan->due[i - 1].bar];
            const struct eh_plan_bar *is = &plan->bars[plan->due[i].bar];
            const struct eh_stroke *before = &m->strokes[m->row[i - 1].stroke];
            const struct eh_stroke *now = &m->strokes[m->row[i].stroke];
            bool broken = is != was && (is->pass != was->pass && is->at != was->end);
            broken = broken || m->in->matches[i].shift_ns != m->in->matches[i - 1].shift_ns;
            stretch += broken;
            passage += broken || before->dynamic != now->dynamic || before->hairpin != now->hairpin;
        }
        m->row[i].stretch = stretch;
        m->row[i].passage = passage;
    }
}

static void take_census(struct measures *m) {
    struct measure_census *c = &m->census;
    for (size_t i = 0; i < m->count; i++) {
        const struct measure_stroke *r = &m->row[i];
        if (!r->main) {
            continue;
        }
        bool plain = r->accent == 0 && (r->kind == EH_KIND_SINGLE || r->kind == EH_KIND_FIRST);
        c->mains++;
        c->accents[r->hand] += r->accent != 0;
        c->flams[r->hand] += r->graces > 0;
        c->presses[r->hand] += r->kind == EH_KIND_BUZZ;
        c->beats[r->hand] += r->beat;
        c->plain[r->hand] += plain && r->graces == 0;
        c->marks |= 1u << r->dynamic;
        c->strong_accents = c->strong_accents || r->accent > 1;
    }
}

/* A buzz roll with some plain strokes of one hand: the hands can be compared on presses only. */
static bool presses_tell(const struct measures *m) {
    enum { ENOUGH = 8 };
    const struct measure_census *c = &m->census;
    bool lacking = c->plain[0] < ENOUGH || c->plain[1] < ENOUGH;
    bool both = c->presses[0] >= ENOUGH && c->presses[1] >= ENOUGH;
    return lacking && both && c->presses[0] + c->presses[1] > c->plain[0] + c->plain[1];
}

/* Levels are compared on unmarked singles and firsts. Where an exercise has hardly any without
 * grace notes, those with grace notes serve too, and in a buzz roll the presses, alone where they
 * are what both hands play. */
static void choose_taps(struct measures *m) {
    enum { ENOUGH = 8 };
    uint32_t plain = m->census.plain[0] + m->census.plain[1];
    bool graced = plain < ENOUGH;
    bool only_presses = presses_tell(m);
    uint32_t count = 0;
    for (int round = only_presses ? 1 : 0; round < 2 && count < ENOUGH; round++) {
        count = 0;
        for (size_t i = 0; i < m->count; i++) {
            struct measure_stroke *r = &m->row[i];
            r->tap = r->main && r->accent == 0 && (graced || r->graces == 0) &&
                     ((!only_presses && (r->kind == EH_KIND_SINGLE || r->kind == EH_KIND_FIRST)) ||
                      (round == 1 && r->kind == EH_KIND_BUZZ));
            count += r->tap;
        }
    }
    for (size_t i = 0; i < m->count; i++) {
        m->census.taps[m->row[i].hand] += m->row[i].tap;
    }
}

void measures_init(struct measures *m, const struct eh_measure_input *input,
                   struct eh_judgement *judgement, void *room) {
    *m = (struct measures){.in = input,
                           .out = judgement,
                           .style = input->style,
                           .strokes = eh_exercise_strokes(input->plan->exercise, NULL),
                           .count = input->plan->due_count,
                           .bars = highest_bar(input->plan)};
    m->clock_ms = (double)input->resolution_ns / 1e6;
    m->step_ms = m->clock_ms / sqrt(12.0); /* rounding: a uniform error */
    lay_room(m, room);
    for (size_t i = 0; i < m->count; i++) {
        lay_row(m, i);
    }
    lay_stretches(m);
    measure_find_lost(m);
    take_census(m);
    choose_taps(m);
}

/* ---- Small helpers ---- */

size_t measure_next_main(const struct measures *m, size_t row) {
    do {
        row++;
    } while (row < m->count && !m->row[row].main);
    return row;
}

bool measure_twin_at(const struct measures *m, size_t row, struct measure_twin *out) {
    const struct measure_stroke *first = &m->row[row];
    if (first->kind != EH_KIND_FIRST) {
        return false;
    }
    size_t second = measure_next_main(m, row);
    if (second >= m->count || m->row[second].kind != EH_KIND_SECOND ||
        m->row[second].hand != first->hand || m->row[second].stretch != first->stretch) {
        return false;
    }
    *out = (struct measure_twin){row, second, measure_next_main(m, second)};
    return true;
}
