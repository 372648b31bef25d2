#include "contrast_bars.h"

#include <math.h>

#include "command.h"
#include "say.h"

/* What stands in the written bars from FIRST to LAST. */
struct content {
    int accents, taps;
};

static struct content count(const struct eh_exercise *exercise, int first, int last) {
    struct content content = {0, 0};
    size_t n = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &n);
    for (size_t i = 0; i < n; i++) {
        const struct eh_stroke *s = &strokes[i];
        if (s->bar < first || s->bar > last || s->kind == EH_KIND_GRACE) {
            continue;
        }
        content.accents += s->accent > 0;
        content.taps += s->accent == 0 && s->kind != EH_KIND_SECOND;
    }
    return content;
}

/* The first bar of the window that has the most accents; windows without a tap do not count. */
static int best_window(const struct eh_exercise *exercise, int bars) {
    int best = 1;
    int most = -1;
    for (int first = 1; first + CONTRAST_BARS - 1 <= bars || first == 1; first++) {
        const struct content content = count(exercise, first, first + CONTRAST_BARS - 1);
        if (content.taps > 0 && content.accents > most) {
            most = content.accents;
            best = first;
        }
    }
    return best;
}

static int settle(struct eh_plan_request *plan, const char *asked,
                  const struct found_exercise *found) {
    const int bars = eh_exercise_bar_count(found->exercise);
    if (asked == NULL) {
        plan->first_bar = best_window(found->exercise, bars);
        plan->last_bar = plan->first_bar + CONTRAST_BARS - 1;
        plan->last_bar = plan->last_bar > bars ? bars : plan->last_bar;
        return CLI_GOOD;
    }
    plan->first_bar = plan->first_bar == 0 ? 1 : plan->first_bar;
    plan->last_bar = plan->last_bar == 0 ? bars : plan->last_bar;
    if (plan->first_bar > bars || plan->last_bar > bars) {
        return cli_complain("--bars: %s has the bars 1 to %d", found->name, bars);
    }
    if (plan->first_bar > plan->last_bar) {
        return cli_complain("--bars: bar %d comes after bar %d; say the earlier one first",
                            (int)plan->first_bar, (int)plan->last_bar);
    }
    return CLI_GOOD;
}

int contrast_bars_choose(struct contrast_options *options, const struct found_exercise *exercise,
                         double least_n) {
    struct eh_plan_request *plan = &options->play.plan;
    if (count(exercise->exercise, 1, INT32_MAX).accents == 0) {
        return cli_complain("%s: there is no accent in it, so there is nothing to contrast; "
                            "\"evenhand list accents\" names exercises with accents",
                            exercise->name);
    }
    if (settle(plan, options->play.bars, exercise) != CLI_GOOD) {
        return CLI_FAILED;
    }
    const struct content there = count(exercise->exercise, plan->first_bar, plan->last_bar);
    if (there.accents == 0) {
        const int best = best_window(exercise->exercise, eh_exercise_bar_count(exercise->exercise));
        return cli_complain("--bars: there is no accent in bars %d to %d of %s; without --bars, "
                            "those from bar %d on are taken",
                            (int)plan->first_bar, (int)plan->last_bar, exercise->name, best);
    }
    if (there.taps == 0) {
        return cli_complain("%s: every stroke in bars %d to %d is accented, and nothing stands "
                            "beside them to hold them against; --bars A-B takes others",
                            exercise->name, (int)plan->first_bar, (int)plan->last_bar);
    }
    const double rounds = ceil(least_n / there.accents);
    if ((double)options->rounds < rounds) {
        return cli_complain("--rounds: bars %d to %d have %d accent%s, and %g are needed in each "
                            "style; ask for --rounds %g, or for more bars",
                            (int)plan->first_bar, (int)plan->last_bar, there.accents,
                            there.accents == 1 ? "" : "s", least_n, rounds);
    }
    return CLI_GOOD;
}
