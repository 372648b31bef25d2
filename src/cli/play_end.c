#include "play_end.h"

#include <stdio.h>

#include "evenhand/report.h"
#include "evenhand/report_pulse.h"
#include "look.h"
#include "pulse_of.h"
#include "run_played.h"
#include "say.h"

static int judge_version(void) {
    return 1;
}

/* The pad's hits of the take, as `evenhand judge` picks them out of a stored run. */
static enum eh_status judge(const struct play_run *run, struct eh_judgement **out_judgement,
                            struct eh_error *error) {
    struct eh_take *take = &run->keep->take;
    const struct eh_exercise *exercise = run->terms.exercise->exercise;
    const struct run_asked asked = {
        .plan = &run->practice->request,
        .no_click = run->terms.options->no_click,
        .count_off = play_count_off(run->terms.options),
        .complete = eh_practice_end(run->practice) == EH_END_EXERCISE,
        .silent = run->practice->silent,
        .silent_count = run->practice->plan.bar_count,
    };
    struct eh_judge_request request;
    eh_pad_keep_own(run->terms.pad, take);
    const enum eh_status status =
        run_played(exercise, run->terms.pad, &asked, take, &request, error);
    return status != EH_OK ? status
                           : eh_judge(out_judgement, exercise, take, run->terms.pad,
                                      run->terms.style, &request, error);
}

static void keep_judgement(const struct play_run *run, const struct eh_judgement *judgement,
                           const char *json) {
    char headline[EH_REPORT_HEADLINE];
    eh_report_headline(judgement, headline, sizeof headline);
    const struct eh_report_tally tally = eh_report_tally(judgement);
    const struct eh_run_verdict verdict = {.version = judge_version(),
                                           .json = json,
                                           .headline = headline,
                                           .faults = tally.faults,
                                           .unclear = tally.unclear};
    play_keep_judgement(run->keep, &verdict);
}

void play_end_print(const struct play_run *run, const struct play_ended *ended) {
    if (run->terms.options->json) {
        (void)fputs(eh_text_string(&ended->json), stdout);
        return;
    }
    struct eh_text text = {0};
    struct eh_report_look look = cli_look();
    look.played_utc_s = run->keep->started_utc_s;
    if (eh_report_judgement_pulse(ended->judgement, &ended->pulse, &look, &text) == EH_OK) {
        (void)printf("\n%s", eh_text_string(&text));
    }
    eh_text_deinit(&text);
}

void play_end_say_kept(const struct play_run *run) {
    if (run->keep->run > 0) {
        (void)fprintf(run->screen->out, "Kept as run %lld: evenhand judge %s run:%lld\n",
                      (long long)run->keep->run, run->terms.exercise->name,
                      (long long)run->keep->run);
    }
}

void play_ended_deinit(struct play_ended *ended) {
    eh_judgement_free(ended->judgement);
    eh_pulse_deinit(&ended->pulse);
    eh_text_deinit(&ended->json);
    *ended = (struct play_ended){0};
}

static void say_how_ended(const struct play_run *run) {
    const uint32_t dropped = run->keep->take.dropped;
    const enum eh_practice_end end = eh_practice_end(run->practice);
    if (end != EH_END_EXERCISE) {
        char line[80];
        (void)snprintf(line, sizeof line, "The run was %s.",
                       end == EH_END_GONE ? "cut short" : eh_practice_end_text(end));
        play_screen_line(run->screen, line);
    }
    if (dropped > 0) {
        (void)cli_complain("%u hit%s lost on the way in: this run is not reliable",
                           (unsigned)dropped, dropped == 1 ? " was" : "s were");
    }
}

static int judge_and_keep(struct play_run *run, struct play_ended *out) {
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status = judge(run, &out->judgement, &error);
    if (status == EH_OK) {
        status = pulse_of(&out->pulse, out->judgement, run->terms.silent_bars, &error);
    }
    if (status == EH_OK) {
        status = eh_report_json_pulse(out->judgement, &out->pulse, &out->json);
    }
    if (status != EH_OK && run->wish != PLAY_WISH_NONE) {
        return CLI_GOOD; /* he left it before there was enough of it */
    }
    if (status != EH_OK) {
        error.status = status;
        return cli_complain_error("this run cannot be judged", &error);
    }
    out->judged = true;
    keep_judgement(run, out->judgement, eh_text_string(&out->json));
    return CLI_GOOD;
}

static bool has_strokes(const struct play_run *run) {
    const struct eh_take *take = &run->keep->take;
    for (size_t i = 0; i < take->count; i++) {
        if (eh_pad_owns(run->terms.pad, take->hits[i].note)) {
            return true;
        }
    }
    return false;
}

/* Whoever stopped it before he played knows why. */
static int complain_nothing(const struct play_run *run, enum eh_practice_end end) {
    if (end == EH_END_STOPPED) {
        return cli_complain("stopped before anything was played, so nothing is kept");
    }
    return cli_complain(
        "nothing was played, so nothing is kept%s",
        run->terms.options->demo != NULL ? "" : "; \"evenhand ports\" shows what is connected");
}

int play_end(struct play_run *run, struct play_ended *out) {
    *out = (struct play_ended){.end = eh_practice_end(run->practice),
                               .wish = play_signals_caught() ? PLAY_WISH_STOP : run->wish};
    const bool only_wished = run->wish != PLAY_WISH_NONE && !has_strokes(run);
    if (only_wished) {
        run->keep->take.count = 0; /* a hit that was no stroke is not worth a run */
    }
    const int result =
        play_keep_end(run->keep, out->end, &run->terms, play_source_dropped(run->source));
    if (result != CLI_GOOD) {
        return result;
    }
    if (only_wished) {
        return CLI_GOOD;
    }
    if (run->keep->take.count == 0) {
        return complain_nothing(run, out->end);
    }
    say_how_ended(run);
    return judge_and_keep(run, out);
}
