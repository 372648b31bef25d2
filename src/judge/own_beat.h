/* The player's own beat where the click was silent: how far it went astray, as far as that must be
 * known to follow him. What is measured of it is the pulse room's business. */
#ifndef EVENHAND_JUDGE_OWN_BEAT_H
#define EVENHAND_JUDGE_OWN_BEAT_H

#include "evenhand/hit.h"
#include "evenhand/pad.h"
#include "evenhand/plan.h"

/* Lays OUT: PLAN with each stroke where it is due by the player's own beat, which may stray in
 * silent bars and comes back afterwards; by the click where that explains the take as well. SILENT:
 * one for each of the first SILENT_COUNT bars of PLAN; later ones sounded. The caller gives OUT
 * back with eh_plan_deinit. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status own_beat_lay(struct eh_plan *out, const struct eh_plan *plan,
                                        const bool *silent, size_t silent_count,
                                        const struct eh_take *take, const struct eh_pad *pad);

#endif
