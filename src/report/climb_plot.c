/* Clean passes against tempo, in plain text. */
#include <math.h>

#include "climb.h"

/* Columns before the bar: "   86.5   12 of 13  ". */
enum { TEMPO_COLUMNS = 8, COUNT_COLUMNS = 12, BAR_LEAST = 16, BAR_MOST = 40 };

struct plot {
    const struct report_paper *paper;
    const struct eh_ladder *ladder;
    enum eh_ladder_stage stage;
    struct eh_held_prior prior;
    struct eh_held_answer answers[EH_LADDER_RUNGS_MAX];
    size_t answer_count;
    struct eh_held held;
    int bar; /* columns that stand for all passes clean */
};

static int column_of(const struct plot *plot, double share) {
    return (int)lround(share * plot->bar);
}

/* The share as a bar, and the curve's as a mark upon or beyond it. */
static void add_bar(const struct plot *plot, double share, double curve, struct eh_text *line) {
    const int filled = isnan(share) ? 0 : column_of(plot, share);
    const int mark = column_of(plot, curve);
    for (int i = 0; i <= plot->bar; i++) {
        const bool ended = i >= filled && i > mark;
        if (!ended) {
            eh_text_add(line, i == mark ? "o" : i < filled ? "#" : " ");
        }
    }
}

static void add_row(const struct plot *plot, const struct eh_ladder_rung *rung) {
    const struct eh_ladder_tally *tally = &rung->stages[plot->stage];
    const uint32_t decided = tally->clean_passes + tally->unclean_passes;
    const double answers = tally->clean + tally->unclean;
    struct eh_text line = {0};
    struct eh_text count = {0};
    if (decided > 0) {
        eh_text_printf(&count, "%u of %u", (unsigned)tally->clean_passes, (unsigned)decided);
    } else {
        eh_text_add(&count, tally->unclear_passes > 0 ? "unclear" : "-");
    }
    eh_text_printf(&line, "%*s   ", TEMPO_COLUMNS - 3, climb_tempo(rung->bpm).text);
    report_cell(&line, eh_text_string(&count), COUNT_COLUMNS);
    add_bar(plot, answers > 0.0 ? tally->clean / answers : NAN,
            eh_held_clean_at(&plot->prior, plot->answers, plot->answer_count, rung->bpm), &line);
    report_line(plot->paper, eh_text_string(&line));
    plot->paper->out->failed |= line.failed || count.failed;
    eh_text_deinit(&line);
    eh_text_deinit(&count);
}

static void add_held(const struct plot *plot) {
    struct eh_text line = {0};
    eh_text_printf(&line, "%*s   ---- held: three passes of four are clean", TEMPO_COLUMNS - 3,
                   report_fixed(plot->held.bpm, 0).text);
    report_line(plot->paper, eh_text_string(&line));
    plot->paper->out->failed |= line.failed;
    eh_text_deinit(&line);
}

static bool was_played(const struct eh_ladder_tally *tally) {
    return tally->clean_passes + tally->unclean_passes + tally->unclear_passes > 0;
}

/* From the slowest to the fastest tempo that was played; the tempo held between its neighbours. */
static void add_rows(const struct plot *plot) {
    const struct eh_ladder *ladder = plot->ladder;
    size_t first = ladder->rung_count;
    size_t last = 0;
    for (size_t i = 0; i < ladder->rung_count; i++) {
        if (was_played(&ladder->rungs[i].stages[plot->stage])) {
            first = i < first ? i : first;
            last = i;
        }
    }
    bool told = plot->held.open_high || plot->held.open_low;
    for (size_t i = first; i <= last && i < ladder->rung_count; i++) {
        if (!told && ladder->rungs[i].bpm > plot->held.bpm) {
            add_held(plot);
            told = true;
        }
        add_row(plot, &ladder->rungs[i]);
    }
    if (!told) {
        add_held(plot);
    }
}

static void add_scale(const struct plot *plot) {
    struct eh_text line = {0};
    eh_text_printf(&line, "%*s   ", TEMPO_COLUMNS - 3, "tempo");
    report_cell(&line, "clean", COUNT_COLUMNS);
    for (int quarter = 0; quarter <= 4; quarter++) {
        static const char *const marks[] = {"0", "1/4", "1/2", "3/4", "all"};
        const int at = TEMPO_COLUMNS + COUNT_COLUMNS + column_of(plot, quarter / 4.0);
        while (report_columns(eh_text_string(&line)) < at) {
            eh_text_add(&line, " ");
        }
        eh_text_add(&line, marks[quarter]);
    }
    report_line(plot->paper, eh_text_string(&line));
    plot->paper->out->failed |= line.failed;
    eh_text_deinit(&line);
}

void climb_plot(const struct report_paper *paper, const struct eh_ladder *ladder,
                enum eh_ladder_stage stage) {
    const int room = paper->width - TEMPO_COLUMNS - COUNT_COLUMNS - 4;
    struct plot plot = {.paper = paper,
                        .ladder = ladder,
                        .stage = stage,
                        .bar = room < BAR_LEAST  ? BAR_LEAST
                               : room > BAR_MOST ? BAR_MOST
                                                 : room};
    if (!eh_ladder_held(ladder, stage, &plot.held)) {
        return;
    }
    plot.answer_count = eh_ladder_answers(ladder, stage, plot.answers);
    eh_held_usual_prior(&plot.prior, ladder->request.from_bpm, ladder->request.to_bpm);
    eh_text_add(paper->out, "\n");
    add_scale(&plot);
    add_rows(&plot);
    report_line(paper, "  #: passes that were clean, of those decided; o: by the estimate");
}
