/* What fails, the weightiest first. */
#include <math.h>
#include <string.h>

#include "evenhand/rule.h"
#include "number.h"
#include "rank.h"
#include "sheet.h"

const struct eh_finding *sheet_finding(const struct sheet_desk *desk, const struct eh_located *l) {
    return l->finding.aspect == EH_ASPECT_TEMPO && desk->asks_tempo ? &desk->tempo : &l->finding;
}

/* The judge's rule on the change from the first bars to the last. */
static void judge_change(const struct eh_tempo_course *course, struct eh_finding *f) {
    enum { LEAST = 32 }; /* as the judge asks for */
    const struct eh_estimate e = {course->change_percent, course->change_low, course->change_high,
                                  f->n};
    const enum eh_standing stands = eh_rule_stands(&e, f->limit_low, f->limit_high, LEAST);
    const bool beyond = stands == EH_STANDS_ABOVE || stands == EH_STANDS_BELOW;
    f->value = e.value;
    f->low = e.low;
    f->high = e.high;
    f->fault = beyond ? EH_FAULT_YES : stands == EH_STANDS_INSIDE ? EH_FAULT_NO : EH_FAULT_UNCLEAR;
    f->verdict = beyond                       ? EH_VERDICT_DRIFTING
                 : stands == EH_STANDS_INSIDE ? EH_VERDICT_STEADY
                                              : EH_VERDICT_UNCLEAR;
    f->direction = !beyond                     ? EH_DIRECTION_NONE
                   : stands == EH_STANDS_ABOVE ? EH_DIRECTION_RUSHING
                                               : EH_DIRECTION_DRAGGING;
}

static void find_tempo(struct sheet_desk *desk) {
    const struct eh_judgement *j = desk->sheet->judgement;
    for (size_t i = 0; i < j->finding_count; i++) {
        if (j->findings[i].aspect == EH_ASPECT_TEMPO) {
            desk->asks_tempo = true;
            desk->tempo = j->findings[i];
        }
    }
    if (desk->asks_tempo && desk->sheet->course->known && report_known(desk->tempo.value)) {
        judge_change(desk->sheet->course, &desk->tempo);
    }
}

static void add(struct sheet_desk *desk, const struct sheet_fault *fault) {
    struct sheet_faults *faults = &desk->faults;
    if (faults->count == SHEET_FAULTS_MAX) {
        return;
    }
    size_t at = faults->count++;
    for (; at > 0 && faults->list[at - 1].weight < fault->weight; at--) {
        faults->list[at] = faults->list[at - 1];
    }
    faults->list[at] = *fault;
}

static bool is_listed(const struct sheet_desk *desk, const struct eh_place *place) {
    for (size_t i = 0; i < desk->faults.count; i++) {
        const struct eh_place *other = desk->faults.list[i].place;
        if (other != NULL && other->finding.aspect == place->finding.aspect &&
            other->finding.side == place->finding.side && other->first_bar == place->first_bar &&
            other->last_bar == place->last_bar) {
            return true;
        }
    }
    return false;
}

static void add_located(struct sheet_desk *desk, const struct eh_located *l) {
    const struct eh_finding *f = sheet_finding(desk, l);
    if (f->fault == EH_FAULT_YES && l->place_count == 0) {
        const struct sheet_fault fault = {l, NULL, NULL, report_weight(f)};
        add(desk, &fault);
    }
    for (size_t i = 0; i < l->place_count; i++) {
        const struct sheet_fault fault = {l, &l->places[i], NULL,
                                          report_weight(&l->places[i].finding)};
        if (!is_listed(desk, &l->places[i])) { /* of both hands, found for either */
            add(desk, &fault);
        }
    }
}

/* A leg weighs like a finding of its change. */
static void add_legs(struct sheet_desk *desk, const struct eh_located *tempo) {
    const struct eh_tempo_course *course = desk->sheet->course;
    for (size_t i = 0; i < course->leg_count; i++) {
        const struct eh_tempo_leg *leg = &course->legs[i];
        struct eh_finding f = tempo->finding;
        f.fault = EH_FAULT_YES;
        f.value = leg->percent;
        f.n = leg->n;
        const struct sheet_fault fault = {tempo, NULL, leg, report_weight(&f)};
        add(desk, &fault);
    }
}

void sheet_collect(struct sheet_desk *desk) {
    find_tempo(desk);
    for (size_t i = 0; i < desk->sheet->places->count; i++) {
        const struct eh_located *l = &desk->sheet->places->located[i];
        if (l->finding.aspect == EH_ASPECT_TEMPO && desk->sheet->course->leg_count > 0) {
            add_legs(desk, l);
        } else {
            add_located(desk, l);
        }
    }
}

bool sheet_bars(const struct sheet_desk *desk, const struct sheet_fault *fault, int32_t *out_first,
                int32_t *out_last) {
    *out_first = desk->first_bar;
    *out_last = desk->last_bar;
    if (fault->place != NULL) {
        *out_first = fault->place->first_bar;
        *out_last = fault->place->last_bar;
        return true;
    }
    if (fault->leg != NULL && !fault->leg->all) {
        *out_first = fault->leg->first_bar;
        *out_last = fault->leg->last_bar;
        return true;
    }
    return false;
}

void sheet_add_bars(struct eh_text *text, int32_t first, int32_t last) {
    eh_text_printf(text, first == last ? "bar %d" : "bars %d to %d", (int)first, (int)last);
}

/* "(12 doubles; most in bars 3, 4)" and "(most in bar 3)" lose what follows the strokes. */
void sheet_add_sentence(struct eh_text *text, const char *sentence, bool capital) {
    const char *bars = strstr(sentence, "; most in bar");
    const char *end = bars != NULL ? strchr(bars, ')') : NULL;
    const char *from = sentence;
    if (capital && from[0] >= 'a' && from[0] <= 'z') {
        eh_text_add_char(text, (char)(from[0] - 'a' + 'A'));
        from++;
    }
    if (end != NULL) {
        eh_text_printf(text, "%.*s%s", (int)(bars - from), from, end);
    } else {
        eh_text_add(text, from);
    }
}

void sheet_put(const struct report_paper *paper, const char *lead, struct eh_text *sentence) {
    report_wrap(paper, lead, eh_text_string(sentence));
    paper->out->failed |= sentence->failed;
    eh_text_deinit(sentence);
}
