#include "climb_options.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/ladder.h"

static const char about[] =
    "Climbs the tempo with one exercise: pass after pass with a new count-in, up when\n"
    "two in a row are clean and together leave no doubt, back after two that are not.\n"
    "At the end: the tempo held as an estimate with its interval, clean passes\n"
    "against tempo, and what broke first above it. Nothing needs to be typed.";

static const char more[] =
    "Another day the same command goes on where the ladder stood, also after Ctrl-C\n"
    "or a crash; a pass that was broken off counts neither way. --hand-motion asks at\n"
    "each tempo for the rolls' hand motion before the rolls. --aspects names what\n"
    "counts, with commas: diddle-spacing, diddle-level, accent, timing ... (as in the\n"
    "judgement document). docs/ladder.md has the rules and their reasons.\n"
    "--demo=late-left-seconds@92 is a learner whose fault shows above 92 only;\n"
    "--demo=help lists the faults.";

enum { PASSES_MOST = 400, REST_MOST = 600, MINUTES_MOST = 240 };

static bool read_aspect(const char *name, size_t length, uint32_t *aspects) {
    for (int aspect = 0; aspect < EH_ASPECT_COUNT; aspect++) {
        const char *text = eh_aspect_text((enum eh_aspect)aspect);
        if (strlen(text) == length && strncmp(text, name, length) == 0) {
            *aspects |= UINT32_C(1) << aspect;
            return true;
        }
    }
    return false;
}

static enum options_answer complain_aspect(const struct command_usage *usage, const char *name,
                                           size_t length) {
    char names[512] = "";
    size_t used = 0;
    for (int aspect = 0; aspect < EH_ASPECT_COUNT && used < sizeof names; aspect++) {
        used += (size_t)snprintf(names + used, sizeof names - used, "%s%s", aspect > 0 ? ", " : "",
                                 eh_aspect_text((enum eh_aspect)aspect));
    }
    (void)options_complain(usage, "--aspects: \"%.*s\" is none; there are: %s",
                           length < 40 ? (int)length : 40, name, names);
    return OPTIONS_WRONG;
}

static enum options_answer read_aspects(struct climb_options *options,
                                        const struct command_usage *usage) {
    const char *name = options->aspect_list;
    while (name != NULL) {
        const size_t length = strcspn(name, ",");
        if (!read_aspect(name, length, &options->aspects)) {
            return complain_aspect(usage, name, length);
        }
        name = name[length] == ',' ? name + length + 1 : NULL;
    }
    return OPTIONS_RUN;
}

enum options_answer climb_options_parse(struct climb_options *out, int argc, char **argv) {
    struct play_options *play = &out->play;
    *out = (struct climb_options){.play = play_options_default(),
                                  .from = NAN,
                                  .to = NAN,
                                  .step = 4.0,
                                  .rest = 4.0,
                                  .in_a_row = 2,
                                  .passes_most = 40};
    const struct option_row rows[] = {
        OPTION_ROW_NUMBER("from", "BPM", "lowest tempo, else the exercise's start", out->from,
                          -HUGE_VAL, HUGE_VAL),
        OPTION_ROW_NUMBER("to", "BPM", "highest tempo, else the exercise's aim", out->to, -HUGE_VAL,
                          HUGE_VAL),
        OPTION_ROW_NUMBER("step", "BPM", "from tempo to tempo; else 4", out->step, -HUGE_VAL,
                          HUGE_VAL),
        OPTION_ROW_TEXT("bars", "A-B", "these bars only, as a loop", play->bars),
        OPTION_ROW_TEXT("aspects", "LIST", "what counts; else all that is judged",
                        out->aspect_list),
        OPTION_ROW_COUNT("in-a-row", "N", "clean passes that lead up; else 2", out->in_a_row, 1,
                         EH_LADDER_IN_A_ROW_MAX),
        OPTION_ROW_FLAG("hand-motion", "at each tempo the rolls' hand motion first",
                        out->hand_motion),
        OPTION_ROW_COUNT("passes", "N", "at most so many in a sitting; else 40", out->passes_most,
                         1, PASSES_MOST),
        OPTION_ROW_NUMBER("minutes", "N", "at most so long; else no limit", out->minutes, 0.0,
                          MINUTES_MOST),
        OPTION_ROW_NUMBER("rest", "SECONDS", "between two passes; else 4", out->rest, 0.0,
                          REST_MOST),
        OPTION_ROW_FLAG("anew", "begins anew instead of going on", out->anew),
        OPTION_ROW_FLAG("json", "the end as one JSON document", play->json),
        PLAY_COMMON_ROWS(play),
    };
    const struct command_usage usage = {.name = "climb",
                                        .arguments = "EXERCISE",
                                        .about = about,
                                        .more = more,
                                        .options = rows,
                                        .option_count = sizeof rows / sizeof rows[0],
                                        .least = 0,
                                        .most = 1};
    enum options_answer answer = play_options_take(play, &usage, argc, argv);
    if (answer == OPTIONS_RUN) {
        answer = play_options_settle(play, &usage);
    }
    return answer == OPTIONS_RUN ? read_aspects(out, &usage) : answer;
}
