/* Finding the beat of a take at which the exercise begins. */
#ifndef EVENHAND_JUDGE_START_H
#define EVENHAND_JUDGE_START_H

#include "evenhand/judgement.h"

/* The tick of the take at which the plan's first bar line fits the hits best. Ties go to a bar line
 * of the take, then to the earlier place. Errors: EH_NO_MEMORY, EH_NO_FIT, those of eh_plan_init.
 */
EH_MUST_USE enum eh_status eh_find_start(const struct eh_exercise *exercise,
                                         const struct eh_take *take, const struct eh_pad *pad,
                                         const struct eh_plan_request *request, eh_ticks *out_start,
                                         struct eh_error *error);

/* How well the take fits the plan as it is written: how many strokes find a hit, and the follower's
 * cost. No other way through the exercise is looked for, since from nearly any beat there is one.
 * Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_follow_fit(const struct eh_plan *plan, const struct eh_take *take,
                                         const struct eh_pad *pad, size_t *out_matched,
                                         double *out_cost);

/* Follows a whole take at once. MATCHES and FATES are the caller's, see follow.h. COURSES may be
 * NULL; else it is allocated and the caller frees it. */
EH_MUST_USE enum eh_status eh_follow_take(const struct eh_plan *plan, const struct eh_take *take,
                                          const struct eh_pad *pad, struct eh_match *matches,
                                          struct eh_fate *fates, struct eh_course **courses,
                                          size_t *course_count, double *out_cost);

/* With a fifth of the strokes left out and as many hits added a run still agrees to 0.8; other
 * exercises stay below this unless their rhythm is nearly the same (tests/judge/test_other.c). */
#define EH_LEAST_AGREEMENT 0.77

/* The same, and how far what was played agrees with what is written, 0 .. 1; below
 * EH_LEAST_AGREEMENT it is another exercise. */
EH_MUST_USE enum eh_status eh_follow_take_agreeing(const struct eh_plan *plan,
                                                   const struct eh_take *take,
                                                   const struct eh_pad *pad,
                                                   struct eh_match *matches, struct eh_fate *fates,
                                                   struct eh_course **courses, size_t *course_count,
                                                   double *out_cost, double *out_agreement);

#endif
