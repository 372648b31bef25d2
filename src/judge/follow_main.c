#include "follow_internal.h"

/* A main stroke with what the costs need. Laid when it is first asked for, into a ring, so that
 * following takes no more memory for a long exercise than for a short one. */
void follow_lay_main(const struct eh_follower *f, int32_t main, struct follow_main *m) {
    const struct eh_plan *plan = f->plan;
    const uint32_t index = plan->mains[main];
    const struct eh_due *due = &plan->due[index];
    const struct eh_stroke *stroke = eh_plan_stroke(plan, index);
    const struct eh_plan_bar *bar = &plan->bars[due->bar];
    const eh_ticks beat = 4 * EH_TICKS_PER_QUARTER / bar->unit;
    const double ns_per_tick = (double)(bar->end_ns - bar->at_ns) / (double)(bar->end - bar->at);
    m->number = main + 1;
    m->at_ns = due->at_ns;
    m->bar_end_ns = bar->end_ns;
    m->buzz = stroke->kind == EH_KIND_BUZZ;
    m->sustain_ns = m->buzz ? (int64_t)(ns_per_tick * (double)stroke->length) : 0;
    m->beat_ns = (int64_t)(ns_per_tick * (double)beat);
    m->scale_ns = follow_unit_ns(due->spacing_ns);
    m->due = index;
    m->bar = due->bar;
    m->graces = stroke->grace_count > 15 ? 15 : stroke->grace_count;
    m->hand = stroke->hand;
    m->accent = stroke->accent != 0;
    m->on_beat = stroke->in_bar % beat == 0;
}
