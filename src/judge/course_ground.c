#include <math.h>
#include <stdlib.h>

#include "course.h"
#include "follow_internal.h"

/* A stroke's hit lies within two fifths of the spacing, so that no two strokes reach for one hit,
 * and within 90 ms: three and a half units of the widest deviation of slow strokes. */
static const double near_share = 0.4;
static const double near_most_ns = 90e6;
/* Grace notes come before; more than this share of the spacing belongs to the stroke before. */
static const double lead_ns_a_note = 45e6;
static const double lead_share = 0.6;
/* The offset is carried from beat to beat, not from stroke to stroke: half a unit wider. */
static const double unit_wider = 1.5;
/* How long after the plan's end a player may still be under way. */
static const int64_t longest_rest_ns = 120 * EH_NS_PER_S;

void course_ground_deinit(struct course_ground *ground) {
    free(ground->cells);
    free(ground->mains);
    free(ground->grid_ns);
    free(ground->hits);
    *ground = (struct course_ground){0};
}

/* One dynamic mark, see docs/measures.md. */
static const double db_a_mark = 3.0;

static eh_ticks beat_of(const struct eh_plan_bar *bar) {
    return 4 * EH_TICKS_PER_QUARTER / bar->unit;
}

static size_t beats_of(const struct eh_plan_bar *bar) {
    const eh_ticks beat = beat_of(bar);
    return (size_t)((bar->end - bar->at + beat - 1) / beat);
}

/* How far before its due time a stroke's figure may begin: its grace notes come into the gap
 * behind the stroke before. */
static double reach_before(const struct course_ground *g, const struct course_main *m, int graces) {
    const double reach_ns = m->near_ns + lead_ns_a_note * graces;
    if (m == g->mains) {
        return reach_ns;
    }
    const struct eh_due *due = g->plan->due;
    return fmin(reach_ns, lead_share * (double)(due[m->due].at_ns - due[m[-1].due].at_ns));
}

static void lay_main(struct course_ground *g, struct course_cell *cell, uint32_t due) {
    const struct eh_due *d = &g->plan->due[due];
    const struct eh_stroke *stroke = eh_plan_stroke(g->plan, due);
    struct course_main *m = &g->mains[g->main_count++];
    m->after_ns = (double)(d->at_ns - cell->at_ns);
    m->near_ns = fmin(near_share * (double)d->spacing_ns, near_most_ns);
    m->unit_ns = unit_wider * follow_unit_ns(d->spacing_ns);
    m->due = due;
    m->level_db = db_a_mark * stroke->step_milli / 1000.0;
    m->graces = stroke->grace_count;
    m->hand = stroke->hand;
    m->accent = stroke->accent != 0;
    m->buzz = stroke->kind == EH_KIND_BUZZ;
    cell->main_count++;
    cell->graces += stroke->grace_count;
    cell->sounding = cell->sounding || stroke->kind == EH_KIND_BUZZ;
    if (cell->main_count == 1 && m->after_ns < m->near_ns) {
        cell->early_ns = fmax(m->near_ns, reach_before(g, m, stroke->grace_count));
    }
}

/* A plan bar's beats, the last one shorter where the metre does not fill the bar. */
static void lay_bar(struct course_ground *g, uint32_t index) {
    const struct eh_plan_bar *bar = &g->plan->bars[index];
    const eh_ticks beat = beat_of(bar);
    const double ns_per_tick = (double)(bar->end_ns - bar->at_ns) / (double)(bar->end - bar->at);
    const size_t beats = beats_of(bar);
    uint32_t due = bar->first_due;
    for (size_t i = 0; i < beats; i++) {
        const eh_ticks from = (eh_ticks)i * beat;
        const eh_ticks to = i + 1 < beats ? from + beat : bar->end - bar->at;
        struct course_cell *cell = &g->cells[g->cell_count++];
        *cell = (struct course_cell){
            .at = bar->at + from,
            .end = bar->at + to,
            .at_ns = bar->at_ns + (int64_t)((double)from * ns_per_tick),
            .length_ns = (int64_t)((double)(to - from) * ns_per_tick),
            .first_main = (uint32_t)g->main_count,
            .bar = index,
            .place = (double)index + (double)i / (double)beats,
            .early_ns = 0.2 * (double)(to - from) * ns_per_tick,
            .bar_line = i == 0,
        };
        cell->early_ns = fmin(cell->early_ns, near_most_ns);
        for (; due < bar->first_due + bar->due_count && eh_plan_stroke(g->plan, due)->in_bar < to;
             due++) {
            if (g->plan->due[due].main == due) {
                lay_main(g, cell, due);
            }
        }
    }
}

static enum eh_status lay_score(struct course_ground *g) {
    size_t cells = 0;
    for (size_t i = 0; i < g->plan->bar_count; i++) {
        cells += beats_of(&g->plan->bars[i]);
    }
    g->cells = calloc(cells + 1, sizeof *g->cells);
    g->mains = calloc(g->plan->due_count + 1, sizeof *g->mains);
    if (g->cells == NULL || g->mains == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < g->plan->bar_count; i++) {
        lay_bar(g, (uint32_t)i);
    }
    size_t accents = 0;
    double sum_db = 0.0;
    for (size_t i = 0; i < g->main_count; i++) {
        accents += g->mains[i].accent;
        sum_db += g->mains[i].level_db;
    }
    for (size_t i = 0; i < g->main_count; i++) {
        g->mains[i].level_db -= sum_db / (double)g->main_count;
    }
    g->accents = accents > 0 && accents < g->main_count;
    return EH_OK;
}

/* The click goes on after the last bar line as in the last beat, while hits come. */
static enum eh_status lay_grid(struct course_ground *g, const struct eh_take *take) {
    const struct course_cell *last = &g->cells[g->cell_count - 1];
    const int64_t end_ns = last->at_ns + last->length_ns;
    const int64_t until_ns = take->hits[take->count - 1].at_ns;
    int64_t rest_ns = until_ns > end_ns ? until_ns - end_ns : 0;
    rest_ns = rest_ns < longest_rest_ns ? rest_ns : longest_rest_ns;
    const size_t more = (size_t)(rest_ns / (last->length_ns > 0 ? last->length_ns : 1)) + 1;
    g->grid_ns = calloc(g->cell_count + more + 1, sizeof *g->grid_ns);
    if (g->grid_ns == NULL) {
        return EH_NO_MEMORY;
    }
    for (size_t i = 0; i < g->cell_count; i++) {
        g->grid_ns[i] = (double)(g->cells[i].at_ns - g->plan->start_ns);
    }
    for (size_t i = 0; i <= more; i++) {
        g->grid_ns[g->cell_count + i] =
            (double)(end_ns - g->plan->start_ns + (int64_t)i * last->length_ns);
    }
    g->grid_count = g->cell_count + more;
    return EH_OK;
}

/* A flam's or drag's grace notes come within this and are softer by 5 dB in the middle, by 2.6 or
 * more in nine of ten (Groove MIDI Dataset 1.0.0, CC BY 4.0). */
static const double lead_most_ns = 75e6;
static const double lead_db = 2.5;

/* Each hit's level over the mean of the AROUND hits before and after it. */
enum { AROUND = 8 };

/* Before the levels become differences from the hits around. */
static void find_leads(struct course_ground *g, size_t count) {
    for (size_t i = 0; i + 1 < count; i++) {
        struct course_hit *hit = &g->hits[i];
        hit->leads =
            hit[1].at_ns - hit->at_ns < lead_most_ns && hit[1].above_db - hit->above_db > lead_db;
    }
}

/* Bounces make a roll look as if it began anywhere: what tells a press from a bounce is its rise.
 */
static const double press_weight = 2.0; /* what a press gains by its rise, not over other strokes */

static void find_presses(struct course_ground *g, size_t count) {
    for (size_t i = 0; i < count; i++) {
        struct course_hit *hit = &g->hits[i];
        const int64_t gap_ns = i > 0 ? (int64_t)(hit->at_ns - hit[-1].at_ns) : INT64_MAX;
        const double cost =
            follow_press_cost(gap_ns, i > 0 ? hit->above_db - hit[-1].above_db : 0.0);
        hit->press = cost < 0.0 || cost > 0.0 ? cost + press_weight : 0.0;
    }
}

static enum eh_status hear(struct course_ground *g, const struct eh_take *take,
                           const struct eh_pad *pad) {
    double *sums = calloc(take->count + 1, sizeof *sums);
    g->hits = calloc(take->count + 1, sizeof *g->hits);
    if (sums == NULL || g->hits == NULL) {
        free(sums);
        return EH_NO_MEMORY;
    }
    size_t n = 0;
    for (size_t i = 0; i < take->count; i++) {
        const struct eh_hit *hit = &take->hits[i];
        if (i > 0 && eh_pad_may_retrigger(pad, hit - 1, hit)) {
            continue;
        }
        const double level_db = eh_pad_level_db(pad, eh_hit_velocity(hit));
        g->hits[n] = (struct course_hit){.at_ns = (double)(hit->at_ns - g->plan->start_ns),
                                         .above_db = level_db,
                                         .zone = pad->zones[hit->note & 127]};
        sums[n + 1] = sums[n] + level_db;
        n++;
    }
    find_leads(g, n);
    find_presses(g, n);
    for (size_t i = 0; i < n; i++) {
        const size_t from = i > AROUND ? i - AROUND : 0;
        const size_t to = i + AROUND + 1 < n ? i + AROUND + 1 : n;
        g->hits[i].level_db = g->hits[i].above_db - sums[n] / (double)n;
        g->hits[i].above_db -= (sums[to] - sums[from]) / (double)(to - from);
    }
    g->hit_count = n;
    free(sums);
    return EH_OK;
}

enum eh_status course_ground_init(struct course_ground *ground, const struct eh_plan *plan,
                                  const struct eh_take *take, const struct eh_pad *pad) {
    *ground = (struct course_ground){.plan = plan};
    enum eh_status status = lay_score(ground);
    if (status == EH_OK) {
        status = lay_grid(ground, take);
    }
    if (status == EH_OK) {
        status = hear(ground, take, pad);
    }
    if (status != EH_OK) {
        course_ground_deinit(ground);
    }
    return status;
}
