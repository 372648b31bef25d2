#include "rank.h"

#include <math.h>

#include "evenhand/report.h"
#include "number.h"

static const double least_excess = 0.1;
static const double most_excess = 4.0;

static double excess(const struct eh_finding *f) {
    const bool low = report_known(f->limit_low);
    const bool high = report_known(f->limit_high);
    double beyond = 0.0;
    if (high && f->value > f->limit_high) {
        beyond = f->value - f->limit_high;
    } else if (low && f->value < f->limit_low) {
        beyond = f->limit_low - f->value;
    }
    const double width =
        low && high ? f->limit_high - f->limit_low : fabs(high ? f->limit_high : f->limit_low);
    const double relative = beyond / width;
    return relative > least_excess ? fmin(relative, most_excess) : least_excess;
}

double report_weight(const struct eh_finding *finding) {
    return finding->fault == EH_FAULT_YES ? excess(finding) * sqrt(finding->n) : 0.0;
}

static void sort_by_weight(const struct eh_judgement *judgement, size_t *order, size_t count) {
    for (size_t i = 1; i < count; i++) {
        const size_t moving = order[i];
        const double weight = report_weight(&judgement->findings[moving]);
        size_t at = i;
        while (at > 0 && report_weight(&judgement->findings[order[at - 1]]) < weight) {
            order[at] = order[at - 1];
            at--;
        }
        order[at] = moving;
    }
}

size_t report_order(const struct eh_judgement *judgement, enum eh_fault fault, size_t *order) {
    size_t count = 0;
    for (size_t i = 0; i < judgement->finding_count; i++) {
        if (judgement->findings[i].fault == fault) {
            order[count++] = i;
        }
    }
    if (fault == EH_FAULT_YES) {
        sort_by_weight(judgement, order, count);
    }
    return count;
}

struct eh_report_tally eh_report_tally(const struct eh_judgement *judgement) {
    struct eh_report_tally tally = {0, 0, 0};
    for (size_t i = 0; i < judgement->finding_count; i++) {
        switch ((enum eh_fault)judgement->findings[i].fault) {
        case EH_FAULT_YES:
            tally.faults++;
            break;
        case EH_FAULT_NO:
            tally.fine++;
            break;
        case EH_FAULT_UNCLEAR:
            tally.unclear++;
            break;
        }
    }
    return tally;
}
