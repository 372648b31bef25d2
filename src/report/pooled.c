#include "pooled.h"

#include <string.h>

struct eh_finding report_pooled(const struct eh_ladder_fault *fault) {
    struct eh_finding finding = {.aspect = fault->aspect,
                                 .side = fault->side,
                                 .verdict = fault->verdict,
                                 .direction = fault->direction,
                                 .fault = EH_FAULT_YES,
                                 .value = fault->e.value,
                                 .low = fault->e.low,
                                 .high = fault->e.high,
                                 .limit_low = fault->limit_low,
                                 .limit_high = fault->limit_high,
                                 .n = (uint32_t)fault->e.n};
    memcpy(finding.unit, fault->unit, sizeof finding.unit);
    return finding;
}
