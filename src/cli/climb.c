/* evenhand climb */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "climb_options.h"
#include "climb_past.h"
#include "command.h"
#include "evenhand/exercise_text.h"
#include "evenhand/hand_motion.h"
#include "evenhand/report_climb.h"
#include "look.h"
#include "say.h"
#include "sitting.h"
#include "style_find.h"

/* The demo player is another one in each pass, and none of another seed's. */
enum { SEEDS_A_CLIMB = 1000 };

/* Everything that a climb needs; too large for a stack. */
struct climb {
    struct climb_options options;
    struct found_exercise pieces[EH_STAGE_COUNT];
    struct eh_text texts[EH_STAGE_COUNT]; /* canonical */
    struct eh_style style;
    struct eh_ladder ladder;
    struct climb_past past;
    struct eh_text asked;
    struct sitting sitting;
    struct eh_report_climb report;
    bool begun;                /* the head was printed */
    int passes;                /* that were begun, for the seed */
    int counted;               /* that were told to the ladder in this sitting */
    double next_bpm, last_bpm; /* what comes, what was played */
    enum eh_ladder_stage next_stage, last_stage;
};

static FILE *screen_of(const struct climb *climb) {
    return climb->options.play.json ? stderr : stdout;
}

static struct eh_report_look look_of(const struct climb *climb) {
    struct eh_report_look look = cli_look();
    look.colour = look.colour && !climb->options.play.json;
    return look;
}

static void print(const struct climb *climb, struct eh_text *text) {
    (void)fputs(eh_text_string(text), screen_of(climb));
    (void)fflush(screen_of(climb));
    eh_text_deinit(text);
}

/* ---- Laying out ---- */

static int find_hand_motion(struct climb *climb) {
    const struct eh_plan_request *plan = &climb->options.play.plan;
    struct found_exercise *motion = &climb->pieces[EH_STAGE_HAND_MOTION];
    const struct found_exercise *played = &climb->pieces[EH_STAGE_PLAYED];
    struct eh_error error;
    eh_error_clear(&error);
    if (!eh_exercise_has_rolls(played->exercise, plan->first_bar, plan->last_bar)) {
        return cli_complain("--hand-motion: there is no roll in %s of %s, so its hand motion is "
                            "what is written; climb without --hand-motion",
                            plan->first_bar > 0 || plan->last_bar > 0 ? "these bars" : "the bars",
                            played->name);
    }
    memcpy(motion->name, played->name, sizeof motion->name);
    return eh_exercise_hand_motion(&motion->exercise, played->exercise, &error) == EH_OK
               ? CLI_GOOD
               : cli_complain_error("--hand-motion", &error);
}

static int find(struct climb *climb) {
    const struct play_options *play = &climb->options.play;
    struct found_exercise *played = &climb->pieces[EH_STAGE_PLAYED];
    int result = exercise_find(played, play->exercise, play->part);
    if (result == CLI_GOOD) {
        result = style_find(&climb->style, play->style, played->exercise);
    }
    if (result == CLI_GOOD && climb->options.hand_motion) {
        result = find_hand_motion(climb);
    }
    return result;
}

static int make_ladder(struct climb *climb) {
    const struct climb_options *o = &climb->options;
    const struct eh_exercise *exercise = climb->pieces[EH_STAGE_PLAYED].exercise;
    const struct eh_ladder_request request = {
        .from_bpm = isnan(o->from) ? eh_exercise_tempo_start(exercise) : o->from,
        .to_bpm = isnan(o->to) ? eh_exercise_tempo_goal(exercise) : o->to,
        .step_bpm = o->step,
        .aspects = o->aspects,
        .in_a_row = (int32_t)o->in_a_row,
        .passes_max = (int32_t)o->passes_most,
        .seconds_max = o->minutes * 60.0,
        .least_n = climb->style.least_n,
        .hand_motion = o->hand_motion};
    struct eh_error error;
    eh_error_clear(&error);
    return eh_ladder_init(&climb->ladder, &request, &error) == EH_OK
               ? CLI_GOOD
               : cli_complain_error("--from, --to, --step", &error);
}

/* The same for the same wish: another day finds this climb by it. */
static void note_asked(struct climb *climb) {
    const struct eh_ladder_request *r = &climb->ladder.request;
    const struct eh_plan_request *plan = &climb->options.play.plan;
    eh_text_printf(&climb->asked, "from %.10g to %.10g step %.10g in-a-row %d aspects %08x",
                   r->from_bpm, r->to_bpm, r->step_bpm, (int)r->in_a_row, (unsigned)r->aspects);
    eh_text_printf(&climb->asked, " bars %d-%d style %s%s%s", (int)plan->first_bar,
                   (int)plan->last_bar, climb->style.name,
                   climb->options.hand_motion ? " hand-motion" : "",
                   climb->options.play.demo != NULL ? " demo" : "");
    climb->sitting.kept = (struct eh_store_sitting){
        .kind = "climb", .exercise = climb->pieces[0].name, .asked = eh_text_string(&climb->asked)};
}

static int read_past(struct climb *climb) {
    const struct play_options *play = &climb->options.play;
    climb->past = (struct climb_past){.db = play->db,
                                      .player = play->player,
                                      .exercise = climb->pieces[0].name,
                                      .asked = eh_text_string(&climb->asked),
                                      .sitting = 1};
    for (int stage = 0; stage < EH_STAGE_COUNT; stage++) {
        const struct eh_exercise *exercise = climb->pieces[stage].exercise;
        if (exercise != NULL && eh_exercise_print(exercise, &climb->texts[stage]) != EH_OK) {
            return cli_complain("climb: not enough memory");
        }
        climb->past.texts[stage] = exercise != NULL ? eh_text_string(&climb->texts[stage]) : NULL;
    }
    const int result =
        climb->options.anew ? CLI_GOOD : climb_past_tell(&climb->past, &climb->ladder);
    if (climb->past.open_sitting != 0) {
        climb->sitting.kept.number = climb->past.open_sitting;
        climb->sitting.kept.begun_utc_s = climb->past.open_begun_utc_s;
    } else {
        eh_ladder_resume(&climb->ladder, climb->past.sitting);
    }
    return result;
}

static void make_report(struct climb *climb) {
    const struct eh_plan_request *plan = &climb->options.play.plan;
    const char *title = eh_exercise_title(climb->pieces[0].exercise);
    climb->report =
        (struct eh_report_climb){.ladder = &climb->ladder,
                                 .title = title[0] != '\0' ? title : climb->pieces[0].name,
                                 .style = climb->style.name,
                                 .first_bar = plan->first_bar,
                                 .last_bar = plan->last_bar,
                                 .earlier_passes = climb->past.passes,
                                 .earlier_sittings = climb->past.sittings};
}

/* ---- A pass ---- */

static int lay_out(struct climb *climb) {
    const struct play_options *play = &climb->options.play;
    const struct sitting_piece piece = {.exercise = &climb->pieces[climb->next_stage],
                                        .style = &climb->style,
                                        .request = {.plan = play->plan,
                                                    .count_in_bars = (int32_t)play->count_in,
                                                    .subdivision = (int32_t)play->subdivision},
                                        .tempo = climb->next_bpm,
                                        .stage = eh_ladder_stage_text(climb->next_stage)};
    climb->sitting.options = *play;
    climb->sitting.options.seed =
        play->seed * SEEDS_A_CLIMB + (int64_t)climb->past.passes + climb->passes;
    return sitting_lay(&climb->sitting, &piece);
}

static void print_head(struct climb *climb) {
    struct eh_text text = {0};
    const struct eh_report_look look = look_of(climb);
    if (climb->begun) {
        return;
    }
    climb->begun = true;
    eh_report_climb_head(&climb->report, &look, &text);
    eh_text_printf(&text, "Hits from %s. Judged by ",
                   climb->options.play.demo != NULL ? "the demo player"
                                                    : play_source_name(&climb->sitting.source));
    eh_report_pad(&climb->sitting.pad, (int64_t)climb->sitting.kept.begun_utc_s, &text);
    eh_text_add(&text, ".\n");
    print(climb, &text);
}

static void print_next(struct climb *climb) {
    struct eh_text text = {0};
    const struct eh_report_look look = look_of(climb);
    eh_report_climb_next(&climb->report, climb->next_bpm, climb->next_stage, &look, &text);
    print(climb, &text);
}

/* A pass that was begun again by the player's wish is not told; any other is. */
static int tell(struct climb *climb, const struct play_ended *ended) {
    const struct eh_practice *practice = &climb->sitting.practice;
    struct eh_text text = {0};
    struct eh_error error;
    eh_error_clear(&error);
    const struct eh_report_look look = look_of(climb);
    const struct eh_ladder_pass pass = {
        .bpm = climb->next_bpm,
        .stage = (uint8_t)climb->next_stage,
        .sitting = climb->past.sitting,
        .seconds =
            (double)(practice->plan.end_ns - eh_practice_start_ns(practice)) / (double)EH_NS_PER_S,
        .broken_off = ended->end != EH_END_EXERCISE || climb->sitting.keep.take.dropped > 0,
        .level_scale_sd = climb->sitting.pad.levels.scale_sd,
        .findings = ended->judgement->findings,
        .finding_count = ended->judgement->finding_count};
    if (eh_ladder_pass(&climb->ladder, &pass, &error) != EH_OK) {
        return cli_complain_error("climb", &error);
    }
    climb->counted++;
    eh_report_climb_pass(&climb->report, climb->ladder.passes, &look, &text);
    print(climb, &text);
    return CLI_GOOD;
}

static int play_pass(struct climb *climb, enum play_wish *out_wish) {
    struct play_ended ended = {0};
    *out_wish = PLAY_WISH_STOP;
    int result = sitting_begin(&climb->sitting);
    if (result == CLI_GOOD) {
        climb->sitting.screen.quiet = true;
        climb->passes++;
        result = sitting_play(&climb->sitting, &ended);
        *out_wish = ended.wish;
        if (ended.end != EH_END_EXERCISE && ended.wish == PLAY_WISH_NONE) {
            *out_wish = PLAY_WISH_STOP; /* silence, no pad any more */
        }
    }
    if (result == CLI_GOOD && ended.judged && ended.wish != PLAY_WISH_AGAIN) {
        result = tell(climb, &ended);
    }
    play_ended_deinit(&ended);
    return result;
}

static void follow_ladder(struct climb *climb) {
    climb->next_bpm = climb->ladder.step.bpm;
    climb->next_stage = (enum eh_ladder_stage)climb->ladder.step.stage;
}

/* "Next" leaves a tempo: the one above it is played, at the same stage; at the highest there is
 * none, and it is played once more. */
static void leave_tempo(struct climb *climb) {
    const struct eh_ladder *ladder = &climb->ladder;
    for (size_t i = 0; i + 1 < ladder->rung_count; i++) {
        if (ladder->rungs[i].bpm == climb->next_bpm) {
            climb->next_bpm = ladder->rungs[i + 1].bpm;
            return;
        }
    }
}

/* One pass with all that comes before it. */
static int take_turn(struct climb *climb, enum play_wish *out_wish) {
    *out_wish = PLAY_WISH_STOP;
    int result = lay_out(climb);
    if (result == CLI_GOOD) {
        result = sitting_meet(&climb->sitting);
    }
    if (result == CLI_GOOD) {
        print_head(climb);
        print_next(climb);
        *out_wish = sitting_rest(&climb->sitting, climb->passes > 0 ? climb->options.rest : 0.0);
    }
    if (result == CLI_GOOD && *out_wish == PLAY_WISH_AGAIN) {
        climb->next_bpm = climb->last_bpm; /* the pass that was just played, once more */
        climb->next_stage = climb->last_stage;
    } else if (result == CLI_GOOD && *out_wish == PLAY_WISH_NONE) {
        climb->last_bpm = climb->next_bpm;
        climb->last_stage = climb->next_stage;
        result = play_pass(climb, out_wish);
        if (*out_wish != PLAY_WISH_NEXT) {
            follow_ladder(climb);
        }
    }
    sitting_clear(&climb->sitting);
    return result;
}

static int climb_on(struct climb *climb) {
    enum play_wish wish = PLAY_WISH_NONE;
    int result = CLI_GOOD;
    follow_ladder(climb);
    while (result == CLI_GOOD && wish != PLAY_WISH_STOP &&
           climb->ladder.step.next != EH_LADDER_DONE) {
        result = take_turn(climb, &wish);
        if (wish == PLAY_WISH_NEXT) {
            leave_tempo(climb);
        }
    }
    return result;
}

/* ---- The end ---- */

static int print_end(const struct climb *climb) {
    struct eh_text text = {0};
    const struct eh_report_look look = cli_look();
    const enum eh_status status = climb->options.play.json
                                      ? eh_report_climb_json(&climb->report, &text)
                                      : eh_report_climb(&climb->report, &look, &text);
    if (status == EH_OK) {
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    if (climb->sitting.kept.number > 0) {
        (void)fprintf(screen_of(climb), "Every pass is kept: evenhand history --exercise %s\n",
                      climb->pieces[0].name);
    }
    return status == EH_OK ? CLI_GOOD : cli_complain("climb: %s", eh_status_text(status));
}

static int run_steps(struct climb *climb) {
    int result = find(climb);
    if (result == CLI_GOOD) {
        result = make_ladder(climb);
    }
    if (result == CLI_GOOD) {
        note_asked(climb);
        result = read_past(climb);
    }
    if (result != CLI_GOOD) {
        return result;
    }
    make_report(climb);
    result = climb_on(climb);
    if (climb->counted > 0) {
        const int printed = print_end(climb);
        result = result == CLI_GOOD ? printed : result;
    }
    return result;
}

int cli_climb(int argc, char **argv) {
    static struct climb climb;
    memset(&climb, 0, sizeof climb);
    const enum options_answer answer = climb_options_parse(&climb.options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const int result = run_steps(&climb);
    sitting_close(&climb.sitting);
    eh_ladder_deinit(&climb.ladder);
    eh_text_deinit(&climb.asked);
    for (int stage = 0; stage < EH_STAGE_COUNT; stage++) {
        eh_text_deinit(&climb.texts[stage]);
        exercise_deinit(&climb.pieces[stage]);
    }
    return result;
}
