#include "play_screen.h"

#include <unistd.h>

#include "look.h"

struct play_screen play_screen_make(bool json) {
    struct play_screen screen = {.out = json ? stderr : stdout, .look = cli_look()};
    screen.terminal = isatty(fileno(screen.out)) == 1;
    screen.look.colour = screen.look.colour && !json;
    return screen;
}

static void print_bars(FILE *out, const struct eh_plan_request *plan) {
    if (plan->first_bar > 0 && plan->first_bar == plan->last_bar) {
        (void)fprintf(out, ", bar %d", plan->first_bar);
    } else if (plan->last_bar > 0) {
        (void)fprintf(out, ", bars %d to %d", plan->first_bar > 0 ? plan->first_bar : 1,
                      plan->last_bar);
    } else if (plan->first_bar > 0) {
        (void)fprintf(out, ", from bar %d", plan->first_bar);
    }
    if (plan->passes > 1) {
        (void)fprintf(out, ", %d passes", plan->passes);
    }
}

static void print_tempo(FILE *out, const struct play_terms *terms) {
    if (terms->practice->uncounted) {
        (void)fputs("at your own tempo", out);
    } else {
        (void)fprintf(out, "%s%g to the quarter", terms->practice->no_click ? "counted in at " : "",
                      terms->bpm);
    }
}

static void print_click(FILE *out, const struct eh_practice *practice,
                        const struct play_click *click) {
    if (practice->uncounted) {
        (void)fputs("no click.\n", out);
        return;
    }
    if (click->audio == NULL) {
        (void)fprintf(out, "click: no sound%s.\n", practice->no_click ? ", only a count-in" : "");
    } else {
        (void)fprintf(out, "click: %s%s.\n", eh_click_granted(click->audio)->device,
                      practice->no_click ? ", for the count-in only" : "");
    }
}

/* What the player is to do where nothing keeps the beat, and what the lines will say. */
static void print_free(FILE *out, const struct play_terms *terms) {
    const int32_t taps = play_count_off(terms->options);
    if (taps > 0) {
        (void)fprintf(out, "Tap %d even beats on the pad and begin on the next one.\n", (int)taps);
    } else if (terms->practice->uncounted) {
        (void)fputs("Begin when you like: your first stroke opens the run.\n", out);
    } else {
        (void)fputs("Go on by yourself after the count-in.\n", out);
    }
    (void)fputs("Bars are followed at your own tempo; what was missed is said at the end.\n", out);
}

void play_screen_begin(const struct play_screen *screen, const struct play_terms *terms,
                       const struct play_source *source, const struct play_click *click) {
    struct eh_text name = {0};
    struct eh_text pad = {0};
    eh_text_add(&name, eh_exercise_title(terms->exercise->exercise));
    (void)fprintf(screen->out, "%s\n%s, ",
                  name.length > 0 ? eh_text_string(&name) : terms->exercise->name,
                  terms->style->name);
    print_tempo(screen->out, terms);
    print_bars(screen->out, &terms->practice->request);
    (void)fprintf(screen->out, "\nHits from %s; ", play_source_name(source));
    print_click(screen->out, terms->practice, click);
    eh_report_pad(terms->pad, screen->look.played_utc_s, &pad);
    (void)fprintf(screen->out, "Judged by %s.\n", eh_text_string(&pad));
    if (terms->practice->no_click) {
        print_free(screen->out, terms);
    }
    (void)fflush(screen->out);
    eh_text_deinit(&name);
    eh_text_deinit(&pad);
}

static void give_way(struct play_screen *screen) {
    if (screen->beat_drawn) {
        (void)fprintf(screen->out, "\r%*s\r", screen->look.width - 1, "");
        screen->beat_drawn = false;
    }
}

void play_screen_line(struct play_screen *screen, const char *line) {
    give_way(screen);
    (void)fprintf(screen->out, "%s\n", line);
    (void)fflush(screen->out);
}

void play_screen_bar(struct play_screen *screen, const struct eh_bar_summary *summary) {
    struct eh_text text = {0};
    if (screen->quiet) {
        return;
    }
    eh_report_bar_line(summary, &screen->look, &text);
    give_way(screen);
    (void)fputs(eh_text_string(&text), screen->out);
    (void)fflush(screen->out);
    eh_text_deinit(&text);
}

void play_screen_heard(struct play_screen *screen, const struct eh_plan *plan,
                       const struct eh_free_bar *bar) {
    struct eh_text text = {0};
    if (screen->quiet) {
        return;
    }
    eh_report_heard_line(bar, &plan->bars[bar->bar], &screen->look, &text);
    give_way(screen);
    (void)fputs(eh_text_string(&text), screen->out);
    (void)fflush(screen->out);
    eh_text_deinit(&text);
}

void play_screen_place(struct play_screen *screen, const struct eh_plan *plan,
                       const struct eh_free_place *place, size_t hits) {
    if (!screen->terminal) {
        return;
    }
    struct eh_text text = {0};
    eh_report_place(place, plan, hits, &screen->look, &text);
    (void)fprintf(screen->out, "\r%-*s", screen->look.width - 1, eh_text_string(&text));
    (void)fflush(screen->out);
    screen->beat_drawn = true;
    eh_text_deinit(&text);
}

static const struct eh_plan_bar *bar_of(const struct eh_practice *practice,
                                        const struct eh_beat *beat) {
    const struct eh_plan *plan = &practice->plan;
    for (size_t i = 0; i < plan->bar_count; i++) {
        if (plan->bars[i].pass == beat->pass && beat->at < plan->bars[i].end) {
            return &plan->bars[i];
        }
    }
    return &plan->bars[plan->bar_count - 1];
}

/* The same on every beat of a silent bar: what moved would be a click for the eye. */
static const char silent_text[] = "silent";

void play_screen_beat(struct play_screen *screen, const struct eh_practice *practice,
                      const struct eh_beat *beat) {
    if (!screen->terminal) {
        return;
    }
    const struct eh_plan_bar *bar = bar_of(practice, beat);
    const eh_ticks whole = EH_TICKS_PER_QUARTER * 4 * bar->beats / bar->unit;
    const int beats = (int)(whole / eh_beat_ticks(bar->beats, bar->unit));
    struct eh_text text = {0};
    if (beat->silent) {
        eh_text_add(&text, silent_text);
    } else {
        eh_report_beat(beat->count_in ? "count-in" : "", beat->number, beats, &screen->look, &text);
    }
    (void)fprintf(screen->out, "\r%-*s", screen->look.width - 1, eh_text_string(&text));
    (void)fflush(screen->out);
    screen->beat_drawn = true;
    eh_text_deinit(&text);
}

void play_screen_end(struct play_screen *screen) {
    give_way(screen);
    (void)fflush(screen->out);
}
