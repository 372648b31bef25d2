#include "follow_internal.h"

#include <math.h>

/* Presses and their bounces, told apart by level, distance and number. Figures: 1639 presses of the
 * Groove MIDI Dataset 1.0.0 (CC BY 4.0). */

/* A press begins louder than the bounce before it, by what that press has lost, about 4 dB; a
 * bounce is softer by 1 to 2 dB and hardly ever louder (steps of -1.1, -1.6, -1.7 dB, a whole press
 * -4.1 dB). What the rise says for an onset against a bounce is the difference of two normal
 * densities' logarithms, bounded; and there are two bounces to a press. */
static const double onset_rise_db = 4.0;
static const double onset_sd_db = 3.0;
static const double bounce_rise_db = -1.5;
static const double bounce_sd_db = 1.7;
static const double bounces_more = 0.7; /* the logarithm of two */
static const double press_least = -2.5;
static const double press_most = 3.2;
static const int64_t press_near_ns = 80 * EH_NS_PER_MS; /* after a silence nothing is said */
/* Nor by two notes of one velocity: programs and simple modules give all notes the same. */
static const double press_apart_db = 1e-6;

double follow_press_cost(int64_t gap_ns, double rise_db) {
    if (gap_ns > press_near_ns || fabs(rise_db) < press_apart_db) {
        return 0.0;
    }
    const double onset = (rise_db - onset_rise_db) / onset_sd_db;
    const double bounce = (rise_db - bounce_rise_db) / bounce_sd_db;
    const double cost = 0.5 * onset * onset - 0.5 * bounce * bounce + bounces_more;
    return follow_less(follow_more(cost, press_least), press_most);
}

double follow_onset_cost(const struct eh_follower *f, int32_t hit) {
    if (hit == 0) {
        return 0.0;
    }
    /* An echo is far softer than its hit and says nothing of what comes next. */
    const int32_t before = hit > 1 && follow_is_echo(f, hit - 1) ? hit - 2 : hit - 1;
    const struct eh_hit *hits = f->room.hits;
    return follow_press_cost(hits[hit].at_ns - hits[before].at_ns,
                             follow_level_db(f, hit) - follow_level_db(f, before));
}

/* A press has three notes or more. A hit that no bounce follows before a silence, or just one, was
 * rather another press's last bounce, the more so the less it began like a press: one that did was
 * a thin press. The silences are longer than most gaps between bounces, 47 ms for the first and 36
 * for the second. */
static const double no_bounce_weight = 3.0;
static const double one_bounce_weight = 1.0;
static const int64_t no_bounce_ns = 70 * EH_NS_PER_MS;
static const int64_t one_bounce_ns = 50 * EH_NS_PER_MS;

double follow_dry_cost(const struct eh_follower *f, const struct follow_cell *c, int32_t hit) {
    if (c->main < 0 || !follow_main(f, c->main)->buzz || hit - c->hit > 2) {
        return 0.0;
    }
    const int64_t silence_ns = f->room.hits[hit].at_ns - f->room.hits[hit - 1].at_ns;
    const bool none = hit - c->hit == 1;
    if (silence_ns <= (none ? no_bounce_ns : one_bounce_ns)) {
        return 0.0;
    }
    const double onset = follow_onset_cost(f, c->hit);
    const double unlike = follow_less(follow_more(onset + bounces_more, 0.0), 1.0);
    return unlike * (none ? no_bounce_weight : one_bounce_weight);
}

/* A press's own time: presses stray from their row by less than half of what the step's unit allows
 * for every kind of stroke, but a bounce or the next note lies not much further off. Bounded, since
 * a player may be less steady than any that was measured. */
static const double time_unit_ns = 8e6;
static const double time_most = 3.0;

static double time_cost(double away_ns) {
    const double x = away_ns / time_unit_ns;
    return time_most * x * x / (x * x + 2.0 * time_most);
}

/* Where two hands' presses meet, a pad hides an onset soon after a bounce that is not much softer,
 * and what is heard first of the press is its own first bounce: 47 ms later (half of them within
 * 28 % of that), nearer where the hands follow fast, and 1.1 dB softer. In a fast roll that happens
 * to one press in ten. */
static const double hidden_weight = 2.2;
static const double hidden_least_ns = 15e6;
static const double hidden_late_ns = 40e6;
static const double hidden_unit_ns = 14e6;
static const double hidden_before_unit_ns = 6e6; /* the bounce comes before the onset */
static const double hidden_level_weight = 0.4;   /* a dB too loud to be hidden */
static const double first_step_db = 1.1;

static double hidden_cost(const struct eh_follower *f, int32_t hit, double away_ns) {
    if (hit == 0 || away_ns < hidden_least_ns) {
        return INFINITY;
    }
    const int32_t before = hit > 1 && follow_is_echo(f, hit - 1) ? hit - 2 : hit - 1;
    const struct eh_hit *hits = f->room.hits;
    /* From the hit before to where the onset is expected. */
    const double gap_ns = (double)(hits[hit].at_ns - hits[before].at_ns) - away_ns;
    const double mask_db = eh_pad_mask_db(f->pad, (int64_t)follow_more(gap_ns, 0.0));
    if (isinf(mask_db)) {
        return INFINITY;
    }
    const double rise_db = follow_level_db(f, hit) + first_step_db - follow_level_db(f, before);
    const double x = (away_ns - hidden_late_ns) / hidden_unit_ns;
    const double early = follow_more(-gap_ns, 0.0) / hidden_before_unit_ns;
    return hidden_weight + 0.5 * (x * x + early * early) +
           hidden_level_weight * follow_more(rise_db - mask_db, 0.0);
}

struct follow_press follow_press_step(const struct eh_follower *f, int32_t hit, double onset_cost,
                                      double away_ns) {
    const double seen = onset_cost + time_cost(away_ns);
    const double hidden = hidden_cost(f, hit, away_ns);
    return hidden < seen ? (struct follow_press){hidden, hidden_late_ns}
                         : (struct follow_press){seen, 0.0};
}
