/* The plan, and what comes next. */
#include "evenhand/report_today.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"
#include "paper.h"
#include "phrase.h"
#include "today.h"

enum { MARK_COLUMNS = 4, BARS_COLUMNS = 9, TEMPO_COLUMNS = 8, PASSES_COLUMNS = 9, NAME_MOST = 46 };

struct today_words today_tempo(double bpm) {
    struct today_words words;
    const bool whole = bpm == floor(bpm);
    (void)snprintf(words.text, sizeof words.text, "%.16s", report_fixed(bpm, whole ? 0 : 1).text);
    return words;
}

struct today_words today_mark(const struct eh_agenda *agenda, size_t item) {
    struct today_words words = {"R"};
    const uint8_t kind = agenda->items[item].kind;
    if (kind == EH_AGENDA_WARM_UP) {
        words.text[0] = 'W';
    } else if (kind != EH_AGENDA_RUN_THROUGH) {
        const size_t first = agenda->items[0].kind == EH_AGENDA_WARM_UP;
        words.text[0] = (char)('A' + (int)(item - first));
    }
    return words;
}

struct today_words today_bars(const struct eh_agenda_item *item, const struct eh_today_piece *piece,
                              const char *to) {
    struct today_words words = {"all bars"};
    if (item->first_bar == item->last_bar) {
        (void)snprintf(words.text, sizeof words.text, "bar %" PRId32, item->first_bar);
    } else if (item->first_bar != 1 || item->last_bar != piece->bars) {
        (void)snprintf(words.text, sizeof words.text, "bars %" PRId32 "%s%" PRId32, item->first_bar,
                       to, item->last_bar);
    }
    return words;
}

struct today_words today_days(int64_t days) {
    struct today_words words = {"today"};
    if (days == 1) {
        (void)snprintf(words.text, sizeof words.text, "yesterday");
    } else if (days > 1) {
        (void)snprintf(words.text, sizeof words.text, "%" PRId64 " days ago", days);
    }
    return words;
}

struct today_words today_range(double low, double high) {
    struct today_words words = today_tempo(low);
    if (high > low) {
        const size_t length = strlen(words.text);
        (void)snprintf(words.text + length, sizeof words.text - length, " to %.20s",
                       today_tempo(high).text);
    }
    return words;
}

static int32_t turns_of(const struct eh_agenda *agenda, size_t item) {
    int32_t turns = 0;
    for (size_t i = 0; i < agenda->step_count; i++) {
        turns += agenda->steps[i].item == item;
    }
    return turns;
}

static void add_fails(struct eh_text *text, const struct eh_agenda_item *item) {
    eh_text_printf(text,
                   "%s at %s, in %" PRIu32 " of the latest %" PRIu32 " runs that fast; these bars "
                   "were played %s",
                   report_verdict(&item->found).text,
                   today_range(item->shown_low_bpm, item->shown_high_bpm).text, item->shown,
                   item->judged, today_days(item->days).text);
}

static void add_again(struct eh_text *text, const struct eh_agenda_item *item) {
    if (item->shown > 0) {
        eh_text_printf(text, "%s in one run; is it there again?",
                       report_verdict(&item->found).text);
    } else {
        eh_text_add(text, "one run says too little; once more at the same tempo");
    }
}

/* Why it is in the plan. */
static void add_reason(struct eh_text *text, const struct eh_agenda_item *item) {
    switch ((enum eh_agenda_kind)item->kind) {
    case EH_AGENDA_WARM_UP:
        eh_text_add(text, "to warm up: soft, and no faster than it is easy");
        break;
    case EH_AGENDA_FAILS:
        add_fails(text, item);
        break;
    case EH_AGENDA_RESTED:
        eh_text_printf(text, "not played for %" PRId64 " days", item->days);
        if (report_known(item->clean_bpm)) {
            eh_text_printf(text, "; without a fault at %s", today_tempo(item->clean_bpm).text);
        }
        break;
    case EH_AGENDA_FASTER:
        eh_text_add(text, "twice without a fault, the latest two runs; a little faster");
        break;
    case EH_AGENDA_AGAIN:
        add_again(text, item);
        break;
    case EH_AGENDA_RUN_THROUGH:
        eh_text_printf(text, "to end with: without a fault at %s, %s",
                       today_tempo(item->clean_bpm).text, today_days(item->days).text);
        break;
    }
    if (item->no_click) {
        eh_text_add(text, "; no click after the count-in");
    }
}

static int name_columns(const struct report_paper *paper) {
    const int room =
        paper->width - MARK_COLUMNS - BARS_COLUMNS - TEMPO_COLUMNS - PASSES_COLUMNS - 1;
    return room < NAME_MOST ? room : NAME_MOST;
}

static void add_headings(const struct report_paper *paper) {
    eh_text_add(paper->out, paper->colour ? "\x1b[1m" : "");
    eh_text_printf(paper->out, "%*s%-*s %*s%*s%*s", MARK_COLUMNS, "", name_columns(paper),
                   "exercise", BARS_COLUMNS, "bars", TEMPO_COLUMNS, "tempo", PASSES_COLUMNS,
                   "passes");
    eh_text_add(paper->out, paper->colour ? "\x1b[0m\n" : "\n");
}

static struct today_words passes_of(const struct eh_agenda *agenda, size_t item) {
    struct today_words words;
    const int32_t turns = turns_of(agenda, item);
    const int32_t passes = agenda->items[item].passes;
    if (turns > 1 && passes > 1) {
        (void)snprintf(words.text, sizeof words.text, "%" PRId32 " x %" PRId32, turns, passes);
    } else {
        (void)snprintf(words.text, sizeof words.text, "%" PRId32, turns * passes);
    }
    return words;
}

static void add_item(const struct report_paper *paper, const struct eh_agenda *agenda,
                     const struct eh_today_piece *pieces, size_t number) {
    const struct eh_agenda_item *item = &agenda->items[number];
    const struct eh_today_piece *piece = &pieces[item->piece];
    struct eh_text text = {0};
    const struct today_words bars = today_bars(item, piece, "-");
    eh_text_printf(paper->out, " %-*s", MARK_COLUMNS - 1, today_mark(agenda, number).text);
    report_cell(paper->out, piece->exercise, name_columns(paper));
    eh_text_printf(paper->out, " %*s%*s%*s\n", BARS_COLUMNS,
                   strncmp(bars.text, "bars ", 5) == 0 ? bars.text + 5 : bars.text, TEMPO_COLUMNS,
                   today_tempo(item->bpm).text, PASSES_COLUMNS, passes_of(agenda, number).text);
    eh_text_printf(&text, "%s: ", piece->style);
    add_reason(&text, item);
    report_wrap(paper, "      ", eh_text_string(&text));
    paper->out->failed |= text.failed;
    eh_text_deinit(&text);
}

/* "A B C, A B C, A B C" between warm-up and run-through. */
static void add_order(const struct report_paper *paper, const struct eh_agenda *agenda) {
    struct eh_text text = {0};
    bool has_break = false;
    eh_text_add(&text, "In turn:");
    for (size_t i = 0; i < agenda->step_count; i++) {
        const struct eh_agenda_step *step = &agenda->steps[i];
        has_break |= step->rest_s >= EH_AGENDA_BREAK_S;
        eh_text_printf(&text, "%s %s",
                       step->rest_s >= EH_AGENDA_BREAK_S    ? ", (break)"
                       : step->rest_s > agenda->rest_item_s ? ","
                                                            : "",
                       today_mark(agenda, step->item).text);
    }
    eh_text_printf(&text, ". Rests: %s s between passes, %s s before another item, %s s at a comma",
                   report_fixed(EH_AGENDA_REST_PASS_S, 0).text,
                   report_fixed(agenda->rest_item_s, 0).text,
                   report_fixed(agenda->rest_turn_s, 0).text);
    if (has_break) {
        eh_text_printf(&text, ", and a break of %s minutes",
                       report_fixed(EH_AGENDA_BREAK_S / 60.0, 0).text);
    }
    eh_text_add(&text, ".");
    eh_text_add_char(paper->out, '\n');
    report_wrap(paper, "", eh_text_string(&text));
    paper->out->failed |= text.failed;
    eh_text_deinit(&text);
}

enum eh_status eh_report_today_plan(const struct eh_agenda *agenda,
                                    const struct eh_today_piece *pieces, double minutes,
                                    const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    struct today_words line;
    (void)snprintf(line.text, sizeof line.text,
                   "Today: about %.16s of %.16s minutes, rests included",
                   report_fixed(agenda->seconds / 60.0, agenda->seconds < 600.0 ? 1 : 0).text,
                   today_tempo(minutes).text);
    report_line(&paper, line.text);
    eh_text_add_char(out, '\n');
    add_headings(&paper);
    for (size_t i = 0; i < agenda->item_count; i++) {
        add_item(&paper, agenda, pieces, i);
    }
    add_order(&paper, agenda);
    return eh_text_status(out);
}

enum eh_status eh_report_today_step(const struct eh_agenda *agenda, size_t step,
                                    const struct eh_today_piece *pieces,
                                    const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    const size_t number = agenda->steps[step].item;
    const struct eh_agenda_item *item = &agenda->items[number];
    const struct eh_today_piece *piece = &pieces[item->piece];
    struct eh_text text = {0};
    char lead[MARK_COLUMNS + 1];
    (void)snprintf(lead, sizeof lead, "%-3.3s", today_mark(agenda, number).text);
    eh_text_printf(&text, "%s, %s, %s to the quarter", piece->exercise,
                   today_bars(item, piece, " to ").text, today_tempo(item->bpm).text);
    if (item->passes > 1) {
        eh_text_printf(&text, ", %" PRId32 " passes", item->passes);
    }
    if (item->no_click) {
        eh_text_add(&text, ", no click after the count-in");
    }
    const struct report_phrase limit = report_limit(&item->found);
    if (item->shown > 0 && limit.text[0] != '\0') {
        eh_text_printf(&text, "; %s (fine: %s)", report_verdict(&item->found).text, limit.text);
    }
    eh_text_add_char(out, '\n');
    if (agenda->steps[step].rest_s >= EH_AGENDA_BREAK_S) {
        eh_text_printf(out, "A break of %s minutes: sticks down.\n",
                       report_fixed(EH_AGENDA_BREAK_S / 60.0, 0).text);
    }
    report_wrap(&paper, lead, eh_text_string(&text));
    out->failed |= text.failed;
    eh_text_deinit(&text);
    return eh_text_status(out);
}
