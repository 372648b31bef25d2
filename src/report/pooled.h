/* A fault pooled over passes, as the words of a finding need it. */
#ifndef EVENHAND_REPORT_POOLED_H
#define EVENHAND_REPORT_POOLED_H

#include "evenhand/judgement.h"
#include "evenhand/ladder.h"

struct eh_finding report_pooled(const struct eh_ladder_fault *fault);

#endif
