/* Which of the demo player's faults shows at a stroke. */
#include <math.h>

#include "demo_row.h"

bool eh_demo_fault_in_bar(const struct eh_demo_fault *fault, int32_t written) {
    return fault->first_bar == 0 || (written >= fault->first_bar && written <= fault->last_bar);
}

static int32_t bar_of(const struct eh_demo *demo, size_t due) {
    return demo->plan->bars[demo->plan->due[due].bar].written;
}

bool eh_demo_fault_at(const struct eh_demo *demo, const struct eh_demo_fault *fault, size_t due) {
    return eh_demo_fault_in_bar(fault, bar_of(demo, due));
}

const struct eh_demo_fault *eh_demo_fault_of(const struct eh_demo *demo,
                                             enum eh_demo_fault_kind kind) {
    for (size_t i = 0; i < demo->request.fault_count; i++) {
        if (demo->request.faults[i].kind == kind) {
            return &demo->request.faults[i];
        }
    }
    return NULL;
}

double eh_demo_size(const struct eh_demo *demo, enum eh_demo_fault_kind kind) {
    const struct eh_demo_fault *fault = eh_demo_fault_of(demo, kind);
    return fault != NULL ? fault->size : NAN;
}

double eh_demo_hand_size(const struct eh_demo *demo, enum eh_demo_fault_kind kind, int hand) {
    for (size_t i = 0; i < demo->request.fault_count; i++) {
        if (demo->request.faults[i].kind == kind && demo->request.faults[i].side == hand) {
            return demo->request.faults[i].size;
        }
    }
    return NAN;
}

double eh_demo_size_at(const struct eh_demo *demo, enum eh_demo_fault_kind kind, size_t due) {
    for (size_t i = 0; i < demo->request.fault_count; i++) {
        const struct eh_demo_fault *fault = &demo->request.faults[i];
        if (fault->kind == kind && eh_demo_fault_at(demo, fault, due)) {
            return fault->size;
        }
    }
    return NAN;
}

double eh_demo_hand_size_at(const struct eh_demo *demo, enum eh_demo_fault_kind kind, int hand,
                            size_t due) {
    for (size_t i = 0; i < demo->request.fault_count; i++) {
        const struct eh_demo_fault *fault = &demo->request.faults[i];
        if (fault->kind == kind && fault->side == hand && eh_demo_fault_at(demo, fault, due)) {
            return fault->size;
        }
    }
    return NAN;
}

double eh_demo_lift_db(const struct eh_demo *demo, size_t due) {
    const double under = eh_demo_size_at(demo, EH_DEMO_UNDER_ACCENTS, due);
    const double over = eh_demo_size_at(demo, EH_DEMO_OVERBLOWN_ACCENTS, due);
    return !isnan(under) ? under : !isnan(over) ? over : demo->lift_db;
}
