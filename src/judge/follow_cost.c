#include "follow_internal.h"

#include <math.h>

/* Weights, set by simulation with tests/judge/follow_figures. docs/follower.md gives the figures
 * that they reach. */
static const double echo_weight = 0.6;
static const double bounce_weight = 0.02;
static const double grace_missed_weight = 1.5;
static const double jump_weight = 11.0;
static const double wrong_zone_weight = 2.0;

/* One unit of deviation is 0.2 of the local spacing up to 90 ms, then grows by 0.04 of it: players
 * scatter by milliseconds, hardly more when strokes stand further apart. Below 8 ms a unit would be
 * finer than human scatter, above 45 ms wider than anybody who follows a click strays. */
static const double unit_share = 0.2;
static const double unit_knee_ns = 90e6;
static const double unit_far_share = 0.04;
static const double unit_least_ns = 8e6;
static const double unit_most_ns = 45e6;
/* Over a rest the offset may move by 3 % of the time that passes, 35 ms at most. */
static const double rest_share = 0.03;
static const double rest_most_ns = 35e6;
/* How far the first stroke's offset may lie from the expected one. Professional drummers' own
 * constant offsets from a click lie about 40 ms early to 20 ms late; an uncalibrated path of sound
 * adds tens of milliseconds. Within half the spacing a first stroke is never dearer than one left
 * out. */
static const double first_near_ns = 16e6;
static const double first_far_ns = 45e6;
static const double first_far_weight = 1.0;
static const double first_most = 1.7;
static const double first_offset_most_ns = 60e6;
static const double step_most_units = 3.5;
static const double step_reach_ns = 260e6; /* 3.5 units at their widest */
static const double first_reach_ns = 3e9;  /* half of the longest spacing there may be */
/* The offset is a running mean of which a new stroke makes two fifths; its pace over about sixty.
 */
static const double weight_most = 1.5;
static const double pace_gain = 0.015;
/* A stroke that strays by more than two units moves them no further than that. */
static const double carried_most_units = 2.0;
static const double pace_most = 0.12;
/* A player comes back to a long mean of the offset, over about fifty strokes: half a spacing away
 * from it costs so much a stroke, and no more. Without it a long even roll could be followed one
 * stroke out of step for ever. */
enum { HOME_MOST = 48 };
static const double home_weight = 0.3;
static const double back_home_ns = 2e9; /* the time in which half of the way is made */

double follow_jump_cost(void) {
    return jump_weight;
}

double follow_unit_ns(int64_t spacing_ns) {
    const double spacing = (double)spacing_ns;
    const double near = unit_share * follow_less(spacing, unit_knee_ns);
    const double far = unit_far_share * follow_more(spacing - unit_knee_ns, 0.0);
    return follow_less(follow_more(near + far, unit_least_ns), unit_most_ns);
}

double follow_offset_ns(const struct eh_follower *f, const struct follow_cell *c, int32_t main) {
    const double since_ns =
        c->main < 0 ? 0.0 : (double)(follow_due_ns(f, main) - follow_due_ns(f, c->main));
    const double kept = 1.0 / (1.0 + fabs(since_ns) / back_home_ns);
    return c->home_ns + (c->place_ns - c->home_ns) * kept + c->pace * since_ns;
}

static double bounded(double squared) {
    return squared > step_most_units * step_most_units ? INFINITY : 0.5 * squared;
}

static double first_cost(const struct eh_follower *f, int32_t main, int64_t at_ns) {
    const struct follow_main *m = follow_main(f, main);
    const double away = (double)(at_ns - m->at_ns);
    const double delta = away - (double)f->room.expected_offset_ns;
    const double own = m->scale_ns * m->scale_ns;
    const double near = 0.5 * delta * delta / (own + first_near_ns * first_near_ns);
    const double far = first_far_weight + 0.5 * delta * delta / (own + first_far_ns * first_far_ns);
    const double cost = f->room.offset_known ? near : follow_less(near, far);
    if (main == 0 && fabs(away) <= 0.5 * (double)f->plan->due[m->due].spacing_ns) {
        return follow_less(cost, first_most);
    }
    return cost > step_most_units * step_most_units / 2.0 ? INFINITY : cost;
}

struct follow_step follow_step_cost(const struct eh_follower *f, const struct follow_cell *c,
                                    int32_t main, int64_t at_ns) {
    if (c->main < 0) {
        return (struct follow_step){first_cost(f, main, at_ns), 0.0};
    }
    const struct follow_main *m = follow_main(f, main);
    const struct follow_main *before = follow_main(f, c->main);
    const double unit = follow_less(m->scale_ns, before->scale_ns);
    const double since = fabs((double)(m->at_ns - before->at_ns));
    const double rest = follow_less(rest_share * since, rest_most_ns);
    const double widened = 1.0 + 1.0 / c->weight;
    const double offset_ns = follow_offset_ns(f, c, main);
    const double delta = (double)(at_ns - m->at_ns) - offset_ns;
    const double cost = bounded(delta * delta / (unit * unit * widened + rest * rest));
    return (struct follow_step){cost, offset_ns};
}

double follow_reach_ns(const struct eh_follower *f, const struct follow_cell *c, int64_t at_ns) {
    if (c->main < 0) {
        return first_reach_ns;
    }
    const double unit = follow_main(f, c->main)->scale_ns;
    const double since = (double)(at_ns - f->room.hits[c->hit].at_ns) + step_reach_ns;
    const double rest = follow_less(rest_share * since, rest_most_ns);
    return step_most_units * sqrt(2.0 * unit * unit + rest * rest);
}

double follow_interval_cost(const struct eh_follower *f, int32_t first, int64_t delta_ns) {
    const double unit =
        follow_less(follow_main(f, first)->scale_ns, follow_main(f, first + 1)->scale_ns);
    const double delta = (double)delta_ns;
    return bounded(delta * delta / (2.0 * unit * unit));
}

void follow_carry(const struct eh_follower *f, const struct follow_cell *p, struct follow_cell *c,
                  double offset_ns, double late_ns) {
    const struct follow_main *m = follow_main(f, c->main);
    const double away_ns = (double)(f->room.hits[c->hit].at_ns - m->at_ns) - late_ns;
    if (p->main < 0) {
        /* Beyond what an offset may be, it is this one stroke's own straying. */
        const double known = (double)f->room.expected_offset_ns;
        const double offset = away_ns - known;
        c->place_ns =
            known + follow_less(follow_more(offset, -first_offset_most_ns), first_offset_most_ns);
        c->pace = 0.0;
        c->home_ns = c->place_ns;
        c->weight = 1;
        c->home_weight = 1;
        return;
    }
    const double since_ns = fabs((double)(m->at_ns - follow_due_ns(f, p->main)));
    const double rest = rest_share * since_ns / m->scale_ns;
    /* After a rest the old offset counts for less. */
    const double weight = 1.0 / (1.0 / p->weight + rest * rest) + 1.0;
    const double most_ns =
        carried_most_units * follow_less(m->scale_ns, follow_main(f, p->main)->scale_ns);
    const double wrong_ns = follow_less(follow_more(away_ns - offset_ns, -most_ns), most_ns);
    c->place_ns = offset_ns + wrong_ns / weight;
    c->pace = p->pace;
    if (since_ns > 0.0) {
        const double gain = pace_gain * wrong_ns / since_ns;
        c->pace = follow_less(follow_more(p->pace + gain, -pace_most), pace_most);
    }
    c->weight = follow_less(weight, weight_most);
    c->home_weight = p->home_weight < HOME_MOST ? p->home_weight + 1 : HOME_MOST;
    const double home_ns = p->home_ns + p->pace * (double)(m->at_ns - follow_due_ns(f, p->main));
    c->home_ns = home_ns + (c->place_ns - home_ns) / c->home_weight;
}

double follow_home_cost(const struct eh_follower *f, const struct follow_cell *c) {
    const double half = 0.5 * (double)f->plan->due[follow_main(f, c->main)->due].spacing_ns;
    const double away = (c->place_ns - c->home_ns) / half;
    return home_weight * follow_less(away * away, 1.0);
}

static bool forgotten(const struct eh_follower *f, int32_t hit) {
    return f->hit_count - hit > FOLLOW_HEARD;
}

static double level_now(const struct eh_follower *f, int32_t hit) {
    return eh_pad_level_db(f->pad, eh_hit_velocity(&f->room.hits[hit]));
}

static bool echo_now(const struct eh_follower *f, int32_t hit) {
    return hit > 0 && eh_pad_may_retrigger(f->pad, &f->room.hits[hit - 1], &f->room.hits[hit]);
}

void follow_hear(struct eh_follower *f, int32_t hit) {
    f->heard[hit & (FOLLOW_HEARD - 1)] =
        (struct follow_heard){.level_db = level_now(f, hit), .echo = echo_now(f, hit)};
}

bool follow_is_echo(const struct eh_follower *f, int32_t hit) {
    return forgotten(f, hit) ? echo_now(f, hit) : f->heard[hit & (FOLLOW_HEARD - 1)].echo;
}

double follow_level_db(const struct eh_follower *f, int32_t hit) {
    return forgotten(f, hit) ? level_now(f, hit) : f->heard[hit & (FOLLOW_HEARD - 1)].level_db;
}

/* A loud hit is rather an accent than a tap, and a soft one rather a tap. That says little about
 * one stroke, since players miss accents too; it tells two readings apart that fit equally in time.
 */
static const double loud_tap_weight = 0.6;
static const double soft_accent_weight = 0.4;
static const double softer_weight = 0.12; /* a dB below that */
static const double soft_accent_most = 1.6;
static const double loud_db = 4.0;
static const double soft_db = 0.5;

static double accent_cost(const struct eh_follower *f, const struct follow_main *m, int32_t hit) {
    if (isnan(f->level_db)) {
        return 0.0; /* nothing heard yet */
    }
    const double above_db = follow_level_db(f, hit) - f->level_db;
    if (m->accent) {
        return above_db < soft_db
                   ? follow_less(soft_accent_weight + softer_weight * (soft_db - above_db),
                                 soft_accent_most)
                   : 0.0;
    }
    return above_db > loud_db ? loud_tap_weight : 0.0;
}

void follow_hear_level(struct eh_follower *f, int32_t hit) {
    const double level_db = follow_level_db(f, hit);
    f->level_db = isnan(f->level_db) ? level_db : f->level_db + (level_db - f->level_db) / 6.0;
}

double follow_likeness_cost(const struct eh_follower *f, int32_t main, int32_t hit) {
    const struct follow_main *m = follow_main(f, main);
    const struct eh_hit *hits = f->room.hits;
    double cost = accent_cost(f, m, hit);
    const enum eh_zone zone = (enum eh_zone)f->pad->zones[hits[hit].note & 127];
    if ((zone == EH_ZONE_LEFT && m->hand != EH_HAND_LEFT) ||
        (zone == EH_ZONE_RIGHT && m->hand != EH_HAND_RIGHT)) {
        cost += wrong_zone_weight;
    }
    if (!m->buzz && follow_is_echo(f, hit)) {
        cost += FOLLOW_EXTRA - echo_weight;
    }
    return cost;
}

/* A bounce follows the last one within 160 ms and lies within the written length of the buzz (and
 * a little over, since hands overlap). */
static const int64_t bounce_reach_ns = 160 * EH_NS_PER_MS;
static const int64_t bounce_overlap_ns = 60 * EH_NS_PER_MS;

enum eh_fate_kind follow_trail_kind(const struct eh_follower *f, const struct follow_cell *c,
                                    int64_t *press_ns, int32_t hit) {
    const struct eh_hit *hits = f->room.hits;
    const int64_t at_ns = hits[hit].at_ns;
    if (c->main >= 0 && follow_main(f, c->main)->buzz) {
        const struct follow_main *m = follow_main(f, c->main);
        if (at_ns - *press_ns <= bounce_reach_ns &&
            at_ns <= f->room.hits[c->hit].at_ns + m->sustain_ns + bounce_overlap_ns) {
            *press_ns = at_ns;
            return EH_FATE_BOUNCE;
        }
    }
    if (f->room.fates[hit].kind == EH_FATE_OUTSIDE) {
        return EH_FATE_OUTSIDE;
    }
    if (follow_is_echo(f, hit) && f->room.fates[hit - 1].kind != EH_FATE_OUTSIDE) {
        return EH_FATE_DOUBLE_TRIGGER;
    }
    return EH_FATE_EXTRA;
}

static double trail_cost(enum eh_fate_kind kind) {
    return kind == EH_FATE_BOUNCE ? bounce_weight
                                  : (kind == EH_FATE_DOUBLE_TRIGGER ? echo_weight : 0.0);
}

void follow_trail(const struct eh_follower *f, struct follow_cell *c, int32_t hit) {
    const enum eh_fate_kind kind = follow_trail_kind(f, c, &c->press_ns, hit);
    c->extras += kind == EH_FATE_EXTRA;
    c->other += trail_cost(kind);
}

struct grace_walk {
    const struct eh_follower *f;
    const struct follow_cell *c;
    const struct follow_main *m;
    int32_t main_hit;
};

/* A grace note's lead over its main note against the usual one. The unit is 15 ms for a flam, 20 ms
 * a note for a drag: half of professionals' flams lie within 17 to 33 ms, of their drags' gaps
 * within 44 to 64. A wide flam is a flam all the same: up to 180 ms (260 a note in a drag), while
 * it lies hardly further from its main note than from the stroke before (the first notes of a drag
 * may lie nearer to that). A grace note is never dearer than a missing one: where every figure of
 * one hand is wide, giving up the whole row would be cheaper otherwise. */
static const double flam_unit_ns = 15e6;
static const double drag_unit_ns = 20e6;
static const double grace_most = 1.5;
static const double flam_reach_ns = 180e6;
static const double drag_reach_ns = 260e6;
/* A grace note louder than its main note is rather something else. */
static const double loud_grace_weight = 0.2; /* a dB */
static const double loud_grace_most = 1.2;
static const double flam_share = 0.56; /* of the way back to the stroke before */
static const double drag_share = 0.9;

static double grace_cost(const struct grace_walk *w, int32_t hit, int rank) {
    const struct eh_hit *hits = w->f->room.hits;
    const struct follow_main *m = w->m;
    const bool flam = m->graces == 1;
    const struct eh_due *due = &w->f->plan->due[m->due - (size_t)rank];
    const double usual = (double)(m->at_ns - due->at_ns);
    const double lead = (double)(hits[w->main_hit].at_ns - hits[hit].at_ns);
    if (lead > (flam ? flam_reach_ns : drag_reach_ns * rank)) {
        return INFINITY;
    }
    if (w->c->main >= 0) {
        const double way = (double)(hits[w->main_hit].at_ns - hits[w->c->hit].at_ns);
        if (lead > way * (rank == 1 ? flam_share : drag_share)) {
            return INFINITY;
        }
    }
    const double x = (lead - usual) / (flam ? flam_unit_ns : drag_unit_ns * rank);
    const double louder = follow_level_db(w->f, hit) - follow_level_db(w->f, w->main_hit);
    const double loud = follow_less(loud_grace_weight * follow_more(louder, 0.0), loud_grace_most);
    return follow_less(0.5 * x * x, grace_most) + loud;
}

/* A softer hit less than 10 ms before a main stroke that has no grace note is the same stroke
 * reported twice. */
static const int64_t one_stroke_ns = 10 * EH_NS_PER_MS;

static bool is_forerunner(const struct eh_follower *f, int32_t hit, int32_t main_hit) {
    const struct eh_hit *hits = f->room.hits;
    return hits[main_hit].at_ns - hits[hit].at_ns < one_stroke_ns &&
           hits[hit].velocity < hits[main_hit].velocity;
}

static enum eh_fate_kind plain_kind(const struct grace_walk *w, int32_t hit) {
    int64_t press_ns = w->f->room.hits[hit > 0 ? hit - 1 : 0].at_ns;
    return follow_trail_kind(w->f, w->c, &press_ns, hit);
}

/* Gives the hits before the main stroke to its grace notes, from the last backwards: each hit is
 * the next grace note, or an echo and passed over. What a hit would have cost as something else
 * is taken back. */
static void account_graces(const struct grace_walk *w, struct follow_between *between) {
    int32_t hit = w->main_hit - 1;
    int rank = 1;
    while (rank <= w->m->graces && hit > w->c->hit) {
        const enum eh_fate_kind kind = plain_kind(w, hit);
        const double cost = grace_cost(w, hit, rank);
        if (cost > FOLLOW_EXTRA + grace_missed_weight) {
            if (kind != EH_FATE_DOUBLE_TRIGGER) {
                break;
            }
            hit--;
            continue;
        }
        between->extras -= kind == EH_FATE_EXTRA;
        between->other -= trail_cost(kind);
        between->grace += cost;
        between->grace_hits[rank - 1] = hit;
        rank++;
        hit--;
    }
    between->grace += grace_missed_weight * (w->m->graces - rank + 1);
}

void follow_account(const struct eh_follower *f, const struct follow_cell *c, int32_t main,
                    int32_t hit, struct follow_between *out_between) {
    const struct follow_main *m = follow_main(f, main);
    out_between->extras = c->extras;
    out_between->other = c->other + follow_dry_cost(f, c, hit);
    out_between->grace = 0.0;
    if (m->graces > 0) {
        for (int i = 0; i < m->graces; i++) {
            out_between->grace_hits[i] = EH_NO_HIT;
        }
        const struct grace_walk walk = {f, c, m, hit};
        account_graces(&walk, out_between);
    } else if (hit - 1 > c->hit && out_between->extras > 0 && is_forerunner(f, hit - 1, hit) &&
               f->room.fates[hit - 1].kind != EH_FATE_OUTSIDE) {
        const struct grace_walk walk = {f, c, m, hit};
        if (plain_kind(&walk, hit - 1) == EH_FATE_EXTRA) {
            out_between->extras -= 1;
            out_between->other += echo_weight;
        }
    }
}
