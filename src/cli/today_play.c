#include "today_play.h"

#include <stdio.h>

#include "look.h"
#include "say.h"

/* So many passes in a row in which nothing was heard: the player has left. */
enum { SILENT_MOST = 2 };

/* What a pass leads to. */
enum next { NEXT_PASS, NEXT_SAME, NEXT_STEP, NEXT_END };

struct day {
    struct sitting *sitting;
    const struct today_history *history;
    const struct eh_agenda *agenda;
    struct eh_today_now now[EH_AGENDA_ITEMS_MAX];
    int silent; /* passes in a row without a hit */
    int result;
};

static const struct eh_agenda_item *item_of(const struct day *day, size_t step) {
    return &day->agenda->items[day->agenda->steps[step].item];
}

static void print_text(struct eh_text *text, enum eh_status status) {
    if (status == EH_OK) {
        (void)fputs(eh_text_string(text), stdout);
        (void)fflush(stdout);
    }
    eh_text_deinit(text);
}

static int lay_out(const struct day *day, const struct eh_agenda_item *item) {
    struct sitting *sitting = day->sitting;
    const struct today_piece *piece = &day->history->pieces[item->piece];
    struct play_options *options = &sitting->options;
    const struct sitting_piece laid = {
        .exercise = &piece->exercise,
        .style = &piece->style,
        .request = {.plan = {.first_bar = item->first_bar, .last_bar = item->last_bar, .passes = 1},
                    .count_in_bars = (int32_t)options->count_in,
                    .subdivision = (int32_t)options->subdivision,
                    .no_click = item->no_click},
        .tempo = item->bpm};
    options->no_click = item->no_click;
    return sitting_lay(sitting, &laid);
}

/* Its item's fault as this pass shows it goes to the others of the day. */
static void pool(struct day *day, size_t number, const struct eh_judgement *judgement) {
    const struct eh_finding *found = &day->agenda->items[number].found;
    struct eh_today_now *now = &day->now[number];
    const struct eh_finding *f =
        eh_agenda_answer(found, judgement->findings, judgement->finding_count);
    now->passes++;
    if (f != NULL && eh_pool_add(&now->pool, f, judgement->pad->levels.scale_sd)) {
        now->both |= f->side != found->side;
    }
}

static enum next after(struct day *day, const struct play_ended *ended) {
    if (ended->wish == PLAY_WISH_STOP || ended->end == EH_END_GONE) {
        day->result = ended->end == EH_END_GONE ? CLI_FAILED : day->result;
        return NEXT_END;
    }
    const bool nothing = ended->end == EH_END_NOTHING && ended->wish == PLAY_WISH_NONE;
    day->silent = nothing ? day->silent + 1 : 0;
    if (day->silent >= SILENT_MOST) {
        play_screen_line(&day->sitting->screen, "Nothing was heard twice: the plan ends here.");
        return NEXT_END;
    }
    return ended->wish == PLAY_WISH_AGAIN  ? NEXT_SAME
           : ended->wish == PLAY_WISH_NEXT ? NEXT_STEP
                                           : NEXT_PASS;
}

/* One pass; PASS is its number in its item, from 1. */
static enum next play_pass(struct day *day, size_t step, int32_t pass) {
    struct sitting *sitting = day->sitting;
    const struct eh_agenda_item *item = item_of(day, step);
    struct play_ended ended = {0};
    if (lay_out(day, item) != CLI_GOOD || sitting_begin(sitting) != CLI_GOOD) {
        day->result = CLI_FAILED;
        sitting_clear(sitting);
        return NEXT_END;
    }
    sitting->screen.quiet = true;
    (void)sitting_play(sitting, &ended); /* what went wrong was said */
    sitting->options.seed++;
    if (ended.judged && ended.wish == PLAY_WISH_NONE && ended.end == EH_END_EXERCISE) {
        struct eh_text text = {0};
        const struct eh_report_look look = cli_look();
        pool(day, day->agenda->steps[step].item, ended.judgement);
        print_text(&text, eh_report_today_pass(item, pass, ended.judgement, &look, &text));
    }
    const enum next next = after(day, &ended);
    play_ended_deinit(&ended);
    sitting_clear(sitting);
    return next;
}

static enum next wish_in_rest(struct day *day, double seconds) {
    switch (sitting_rest(day->sitting, seconds)) {
    case PLAY_WISH_STOP:
        return NEXT_END;
    case PLAY_WISH_NEXT:
        return NEXT_STEP;
    case PLAY_WISH_AGAIN:
        return NEXT_SAME;
    case PLAY_WISH_NONE:
        break;
    }
    return NEXT_PASS;
}

/* The passes of a turn. In a rest after one, "again" asks for that one once more. */
static enum next play_passes(struct day *day, size_t step) {
    const int32_t passes = item_of(day, step)->passes;
    int32_t pass = 1;
    for (;;) {
        enum next next = play_pass(day, step, pass);
        const bool whole = next == NEXT_PASS;
        pass += whole;
        if (next == NEXT_STEP || next == NEXT_END || pass > passes) {
            return next;
        }
        next = wish_in_rest(day, EH_AGENDA_REST_PASS_S);
        if (next == NEXT_STEP || next == NEXT_END) {
            return next;
        }
        pass -= next == NEXT_SAME && whole;
    }
}

static enum next play_step(struct day *day, size_t step) {
    const struct eh_report_look look = cli_look();
    struct eh_text text = {0};
    print_text(&text, eh_report_today_step(day->agenda, step, day->history->said, &look, &text));
    const enum next next = wish_in_rest(day, day->agenda->steps[step].rest_s);
    return next == NEXT_STEP || next == NEXT_END ? next : play_passes(day, step);
}

int today_play(struct sitting *sitting, const struct today_history *history,
               const struct eh_agenda *agenda) {
    struct day day = {.sitting = sitting, .history = history, .agenda = agenda, .result = CLI_GOOD};
    sitting->kept.kind = "today";
    play_signals_catch();
    for (size_t step = 0; step < agenda->step_count; step++) {
        if (play_step(&day, step) == NEXT_END) {
            break;
        }
    }
    const struct eh_report_look look = cli_look();
    struct eh_text text = {0};
    print_text(&text, eh_report_today_end(agenda, history->said, day.now, &look, &text));
    return day.result;
}
