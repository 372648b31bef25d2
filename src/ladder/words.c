/* Sentences, number by number: the C library's formats follow the locale. */
#include "words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void say(struct eh_ladder *ladder, const char *text) {
    char *reason = ladder->step.reason;
    const size_t length = strlen(reason);
    const size_t room = EH_LADDER_REASON - 1 - length;
    const size_t more = strlen(text) < room ? strlen(text) : room;
    memcpy(reason + length, text, more);
    reason[length + more] = '\0';
}

static void say_number(struct eh_ladder *ladder, double value, int decimals) {
    static const double scales[] = {1.0, 10.0, 100.0};
    char text[32] = "?";
    if (isfinite(value) && fabs(value) < 1e9) {
        const long long scaled = llround(fabs(value) * scales[decimals]);
        const long long unit = (long long)scales[decimals];
        const char *sign = value < 0.0 && scaled != 0 ? "-" : "";
        if (decimals == 0) {
            (void)snprintf(text, sizeof text, "%s%lld", sign, scaled);
        } else {
            (void)snprintf(text, sizeof text, "%s%lld.%0*lld", sign, scaled / unit, decimals,
                           scaled % unit);
        }
    }
    say(ladder, text);
}

/* 84, 84.5, 84.25. */
static void say_tempo(struct eh_ladder *ladder, double bpm) {
    const long long hundredths = llround(bpm * 100.0);
    say_number(ladder, bpm, hundredths % 100 == 0 ? 0 : hundredths % 10 == 0 ? 1 : 2);
}

static int decimals_of(const struct eh_ladder_fault *fault) {
    if (strcmp(fault->unit, "share") == 0) {
        return 2;
    }
    return strcmp(fault->unit, "strokes") == 0 || strcmp(fault->unit, "hits") == 0 ? 0 : 1;
}

static void say_limits(struct eh_ladder *ladder, const struct eh_ladder_fault *fault) {
    const int decimals = decimals_of(fault);
    if (isnan(fault->limit_low)) {
        say(ladder, "up to ");
        say_number(ladder, fault->limit_high, decimals);
    } else {
        say_number(ladder, fault->limit_low, decimals);
        say(ladder, isnan(fault->limit_high) ? " or more" : " to ");
        if (!isnan(fault->limit_high)) {
            say_number(ladder, fault->limit_high, decimals);
        }
    }
}

/* "left diddle-spacing uneven, late: 0.62 share, fine 0.45 to 0.55 (n=12)"; not SURE: without the
 * verdict. */
static void say_finding(struct eh_ladder *ladder, const struct eh_ladder_fault *fault, bool sure) {
    if (fault->side != EH_SIDE_BOTH) {
        say(ladder, eh_side_text((enum eh_side)fault->side));
        say(ladder, " ");
    }
    say(ladder, eh_aspect_text((enum eh_aspect)fault->aspect));
    if (sure && fault->verdict != EH_VERDICT_UNCLEAR) {
        const char *way = eh_direction_text((enum eh_direction)fault->direction);
        say(ladder, " ");
        say(ladder, eh_verdict_text((enum eh_verdict)fault->verdict));
        say(ladder, way != NULL ? ", " : "");
        say(ladder, way != NULL ? way : "");
    }
    say(ladder, ": ");
    say_number(ladder, fault->e.value, decimals_of(fault));
    say(ladder, " ");
    say(ladder, fault->unit);
    say(ladder, ", fine ");
    say_limits(ladder, fault);
    say(ladder, " (n=");
    say_number(ladder, (double)fault->e.n, 0);
    say(ladder, ")");
}

static void say_fault(struct eh_ladder *ladder, const struct eh_ladder_fault *fault) {
    say_finding(ladder, fault, true);
}

static void begin(struct eh_ladder *ladder) {
    ladder->step.reason[0] = '\0';
    if (ladder->request.hand_motion) {
        say(ladder, eh_ladder_stage_text((enum eh_ladder_stage)ladder->step.stage));
        say(ladder, " ");
    }
    say(ladder, "at ");
    say_tempo(ladder, ladder->rungs[ladder->rung].bpm);
    say(ladder, ": ");
}

static void say_passes(struct eh_ladder *ladder, int32_t n, const char *kind) {
    say_number(ladder, n, 0);
    say(ladder, kind);
    say(ladder, n == 1 ? " pass" : " passes");
}

void words_begin(struct eh_ladder *ladder) {
    begin(ladder);
    say_passes(ladder, ladder->request.in_a_row, " clean");
    say(ladder, ladder->request.in_a_row == 1 ? " leads up" : " in a row lead up");
}

void words_passed(struct eh_ladder *ladder, const struct eh_ladder_fault *open) {
    begin(ladder);
    if (ladder->row_clean == ladder->row_passes) {
        say_passes(ladder, ladder->row_clean, " clean");
        say(ladder, ladder->row_clean == 1 ? "" : " in a row");
    } else {
        say_passes(ladder, ladder->row_passes, "");
        say(ladder, open == NULL ? ", clean when taken together" : " in a row without a fault");
    }
    if (open != NULL && open->known) {
        say(ladder, "; not surely: ");
        say_finding(ladder, open, false);
    }
}

void words_back(struct eh_ladder *ladder, const struct eh_ladder_fault *fault) {
    begin(ladder);
    if (!fault->known) {
        say(ladder, "too little could be judged");
        return;
    }
    say_fault(ladder, fault);
    say(ladder, ", in ");
    say_passes(ladder, (int32_t)fault->passes, "");
}

void words_unclean(struct eh_ladder *ladder, const struct eh_ladder_fault *fault) {
    begin(ladder);
    say_fault(ladder, fault);
    say(ladder, "; once more like this leads back");
}

void words_together(struct eh_ladder *ladder, const struct eh_ladder_fault *fault) {
    begin(ladder);
    say(ladder, "taken together, ");
    say_fault(ladder, fault);
    say(ladder, "; once more like this leads back");
}

void words_more(struct eh_ladder *ladder, const struct eh_ladder_fault *open) {
    const int32_t left = ladder->request.in_a_row - ladder->row_clean;
    begin(ladder);
    if (ladder->step.answer == EH_PASS_UNCLEAR && open->known) {
        say(ladder, "not clear yet: ");
        say_finding(ladder, open, false);
        return;
    }
    if (ladder->step.answer == EH_PASS_UNCLEAR) {
        say(ladder, "too little could be judged; once more");
        return;
    }
    say(ladder, "clean; ");
    say_number(ladder, left > 0 ? left : 1, 0);
    say(ladder, " more leads up");
}

void words_broken_off(struct eh_ladder *ladder) {
    begin(ladder);
    say(ladder, "broken off; it counts neither way");
}

void words_spent(struct eh_ladder *ladder) {
    say(ladder, ladder->step.end == EH_LADDER_TIME ? "; the time is used up"
                                                   : "; the passes of a sitting are used up");
}

const char *eh_ladder_stage_text(enum eh_ladder_stage stage) {
    return stage == EH_STAGE_HAND_MOTION ? "hand motion" : "as written";
}

const char *eh_ladder_next_text(enum eh_ladder_next next) {
    static const char *const texts[] = {[EH_LADDER_AGAIN] = "again",
                                        [EH_LADDER_ON] = "as written",
                                        [EH_LADDER_UP] = "up",
                                        [EH_LADDER_BACK] = "back",
                                        [EH_LADDER_DONE] = "done"};
    return texts[next];
}

const char *eh_ladder_end_text(enum eh_ladder_end end) {
    static const char *const texts[] = {[EH_LADDER_NOT_YET] = "not at its end",
                                        [EH_LADDER_TOP] = "the highest tempo holds",
                                        [EH_LADDER_SETTLED] = "the next tempo failed twice",
                                        [EH_LADDER_FLOOR] = "the lowest tempo failed twice",
                                        [EH_LADDER_PASSES] = "the passes of a sitting are used up",
                                        [EH_LADDER_TIME] = "the time is used up"};
    return texts[end];
}
