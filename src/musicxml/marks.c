/* Dynamics and hairpins as the exercise takes them: each hairpin leads somewhere, ends before a
 * repeat sign, and stands at notes. */
#include "read.h"

#include <stdlib.h>
#include <string.h>

struct cleaning {
    struct mx_reading *reading;
    struct mx_mark *out; /* as many as there can be: END, the dynamic, and a hairpin begun anew */
    size_t count;
    eh_ticks *starts; /* of the measures, in the row of written measures */
    eh_ticks *onsets; /* of what is played */
    size_t onset_count;
    int dynamic, before_endings;
    int way; /* of the open hairpin, 0: none */
    int from_dynamic;
    eh_ticks from;
    bool word;     /* it was begun by a word: nothing but the next mark ends it */
    bool stopping; /* its end has been seen, the dynamic there comes next */
};

static eh_ticks global(const struct cleaning *cleaning, const struct mx_mark *mark) {
    return cleaning->starts[mark->bar] + mark->at;
}

static void push(struct cleaning *cleaning, const struct mx_mark *where, int what) {
    struct mx_mark *mark = &cleaning->out[cleaning->count++];
    *mark = *where;
    mark->out = (uint8_t)what;
}

/* Ends the open hairpin at WHERE, one step on; one that holds nothing is taken back. */
static void end_swell(struct cleaning *cleaning, const struct mx_mark *where) {
    if (cleaning->way == 0) {
        return;
    }
    if (global(cleaning, where) <= cleaning->from) {
        cleaning->count--;
        mx_remark(cleaning->reading, where->bar, where->line,
                  "a hairpin over no notes is left out");
    } else {
        push(cleaning, where, EH_MARK_END);
        cleaning->dynamic += cleaning->way;
    }
    cleaning->way = 0;
}

static void begin_swell(struct cleaning *cleaning, const struct mx_mark *mark, int way) {
    const int target = cleaning->dynamic + way;
    if (target < EH_DYNAMIC_PPP || target > EH_DYNAMIC_FFF) {
        mx_remark(cleaning->reading, mark->bar, mark->line,
                  "a hairpin that leads beyond %s is left out", target < 0 ? "ppp" : "fff");
        return;
    }
    push(cleaning, mark, way > 0 ? EH_MARK_CRESC : EH_MARK_DIM);
    cleaning->way = way;
    cleaning->from = global(cleaning, mark);
    cleaning->from_dynamic = cleaning->dynamic;
    cleaning->word = mark->kind == MX_WORD_START;
    cleaning->stopping = false;
}

/* How many strokes begin after FROM and before TO. */
static size_t onsets_between(const struct cleaning *cleaning, eh_ticks from, eh_ticks to) {
    size_t bound[2];
    for (int i = 0; i < 2; i++) {
        size_t low = 0;
        size_t high = cleaning->onset_count;
        while (low < high) {
            const size_t middle = low + (high - low) / 2;
            const bool before =
                i == 0 ? cleaning->onsets[middle] <= from : cleaning->onsets[middle] < to;
            if (before) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        bound[i] = low;
    }
    return bound[1] > bound[0] ? bound[1] - bound[0] : 0;
}

/* A repeat or ending sign somewhere from the end of measure A to the beginning of measure B. */
static bool sign_between(const struct cleaning *cleaning, int a, int b) {
    const struct mx_bar *bars = cleaning->reading->rows.bars;
    for (int i = a; i < b; i++) {
        if (bars[i].times != 0 || bars[i + 1].repeat_from || bars[i + 1].endings != 0) {
            return true;
        }
    }
    return false;
}

/* Whether DYNAMIC is where the open hairpin leads. */
static bool is_target(const struct cleaning *cleaning, const struct mx_mark *dynamic) {
    return !dynamic->suddenly &&
           ((int)dynamic->dynamic - cleaning->from_dynamic) * cleaning->way > 0;
}

/* A hairpin is drawn up to the last note under it, or up to the dynamic behind it: the dynamic is
 * its target if no stroke lies between. */
static bool leads_to_next(const struct cleaning *cleaning, const struct mx_mark *stop) {
    const struct mx_rows *rows = &cleaning->reading->rows;
    const struct mx_mark *next = stop + 1;
    if (next == rows->marks + rows->mark_count || next->kind != MX_DYNAMIC ||
        sign_between(cleaning, stop->bar, next->bar)) {
        return false;
    }
    return is_target(cleaning, next) &&
           onsets_between(cleaning, global(cleaning, stop), global(cleaning, next)) == 0;
}

static void take_stop(struct cleaning *cleaning, const struct mx_mark *mark) {
    if (cleaning->way == 0 || cleaning->word) {
        return;
    }
    if (global(cleaning, mark) > cleaning->from && leads_to_next(cleaning, mark)) {
        cleaning->stopping = true;
        return;
    }
    end_swell(cleaning, mark);
}

/* Whether the hairpin goes on behind DYNAMIC, for more than the note that stands there. */
static bool goes_on(const struct cleaning *cleaning, const struct mx_mark *dynamic) {
    const struct mx_rows *rows = &cleaning->reading->rows;
    if (cleaning->word || cleaning->stopping) {
        return false;
    }
    for (const struct mx_mark *at = dynamic + 1; at < rows->marks + rows->mark_count; at++) {
        if (at->kind == MX_WEDGE_STOP) {
            return onsets_between(cleaning, global(cleaning, dynamic), global(cleaning, at)) > 0;
        }
        if (at->kind != MX_DYNAMIC) {
            return false;
        }
    }
    return false;
}

static void take_dynamic(struct cleaning *cleaning, const struct mx_mark *mark) {
    const int way = cleaning->way;
    bool again = false;
    if (way != 0) {
        if (is_target(cleaning, mark) && global(cleaning, mark) > cleaning->from) {
            again = goes_on(cleaning, mark);
            cleaning->way = 0;
        } else {
            end_swell(cleaning, mark);
        }
    }
    push(cleaning, mark, mark->dynamic);
    cleaning->dynamic = mark->dynamic;
    if (again) {
        begin_swell(cleaning, mark, way);
    }
}

static void take_start(struct cleaning *cleaning, const struct mx_mark *mark) {
    end_swell(cleaning, mark);
    begin_swell(cleaning, mark, mark->way);
}

static void take(struct cleaning *cleaning, const struct mx_mark *mark) {
    switch ((enum mx_mark_kind)mark->kind) {
    case MX_WEDGE_STOP:
        take_stop(cleaning, mark);
        return;
    case MX_DYNAMIC:
        take_dynamic(cleaning, mark);
        return;
    case MX_WEDGE_START:
    case MX_WORD_START:
        take_start(cleaning, mark);
        return;
    case MX_GONE:
        return;
    }
}

/* Signs ---------------------------------------------------------------------------------------- */

/* A hairpin ends at the end of measure BAR because of what stands there. */
static void end_at_bar(struct cleaning *cleaning, int bar, const char *why) {
    if (cleaning->way == 0) {
        return;
    }
    const struct mx_bar *bars = cleaning->reading->rows.bars;
    const struct mx_mark end = {.bar = bar, .at = bars[bar].length, .line = bars[bar].line};
    if (!cleaning->word || why != NULL) {
        mx_remark(cleaning->reading, bar, end.line, "a hairpin ends here at the latest: %s",
                  why != NULL ? why : "the music ends");
    }
    end_swell(cleaning, &end);
}

static void open_bar(struct cleaning *cleaning, int bar) {
    const struct mx_bar *bars = cleaning->reading->rows.bars;
    if (bar > 0 && (bars[bar].repeat_from || bars[bar].endings != 0)) {
        end_at_bar(cleaning, bar - 1, "it does not cross a repeat or ending sign");
    }
    if ((bars[bar].endings & 1u) != 0) {
        cleaning->before_endings = cleaning->dynamic;
    } else if (bars[bar].endings != 0) {
        cleaning->dynamic = cleaning->before_endings;
    }
}

static void clean_all(struct cleaning *cleaning) {
    const struct mx_rows *rows = &cleaning->reading->rows;
    size_t next = 0;
    for (int bar = 0; bar < (int)rows->bar_count; bar++) {
        open_bar(cleaning, bar);
        while (next < rows->mark_count && rows->marks[next].bar == bar) {
            take(cleaning, &rows->marks[next++]);
        }
        if (rows->bars[bar].times != 0) {
            end_at_bar(cleaning, bar, "it does not cross a repeat sign");
        }
    }
    end_at_bar(cleaning, (int)rows->bar_count - 1, NULL);
}

/* Places -----------------------------------------------------------------------------------------
 */

/* Marks stand between notes: one that stands inside a note moves to its end. */
static eh_ticks snap(const struct mx_rows *rows, const struct mx_bar *bar, eh_ticks at) {
    size_t low = bar->first_piece; /* pieces stand in the order of their places */
    size_t high = bar->first_piece + bar->piece_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (rows->pieces[middle].at < at) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < bar->first_piece + bar->piece_count ? rows->pieces[low].at : bar->length;
}

static int compare(const void *a, const void *b) {
    const struct mx_mark *one = a;
    const struct mx_mark *two = b;
    if (one->bar != two->bar) {
        return one->bar < two->bar ? -1 : 1;
    }
    if (one->at != two->at) {
        return one->at < two->at ? -1 : 1;
    }
    if (one->kind != two->kind) {
        return one->kind < two->kind ? -1 : 1;
    }
    return one->line < two->line ? -1 : one->line > two->line;
}

/* The end of the hairpin that begins with mark INDEX, if it stands where that begins; else -1. The
 * marks still stand in the order of the document. */
static ptrdiff_t end_right_here(const struct mx_rows *rows, size_t index) {
    const struct mx_mark *start = &rows->marks[index];
    for (size_t i = index + 1; i < rows->mark_count; i++) {
        const struct mx_mark *mark = &rows->marks[i];
        if (mark->bar != start->bar || mark->kind == MX_WEDGE_START) {
            return -1;
        }
        if (mark->kind == MX_WEDGE_STOP) {
            return mark->at == start->at ? (ptrdiff_t)i : -1;
        }
    }
    return -1;
}

static void remove_empty(struct mx_reading *reading) {
    struct mx_rows *rows = &reading->rows;
    size_t kept = 0;
    for (size_t i = 0; i < rows->mark_count; i++) {
        const struct mx_mark mark = rows->marks[i];
        const ptrdiff_t end = mark.kind == MX_WEDGE_START ? end_right_here(rows, i) : -1;
        if (end >= 0) {
            mx_remark(reading, mark.bar, mark.line, "a hairpin over no notes is left out");
            rows->marks[end].kind = MX_GONE;
        } else if (mark.kind != MX_GONE) {
            rows->marks[kept++] = mark;
        }
    }
    rows->mark_count = kept;
}

static void place_marks(struct mx_reading *reading) {
    struct mx_rows *rows = &reading->rows;
    for (size_t i = 0; i < rows->mark_count; i++) {
        struct mx_mark *mark = &rows->marks[i];
        mark->at = snap(rows, &rows->bars[mark->bar], mark->at);
    }
    remove_empty(reading);
    if (rows->mark_count > 0) {
        qsort(rows->marks, rows->mark_count, sizeof *rows->marks, compare);
    }
}

static void find_places(struct cleaning *cleaning) {
    const struct mx_rows *rows = &cleaning->reading->rows;
    eh_ticks at = 0;
    for (size_t i = 0; i < rows->bar_count; i++) {
        const struct mx_bar *bar = &rows->bars[i];
        cleaning->starts[i] = at;
        for (size_t k = bar->first_piece; k < bar->first_piece + bar->piece_count; k++) {
            if (rows->pieces[k].kind == MX_PLAY) {
                cleaning->onsets[cleaning->onset_count++] = at + rows->pieces[k].at;
            }
        }
        at += bar->length;
    }
}

enum eh_status mx_clean_marks(struct mx_reading *reading) {
    struct mx_rows *rows = &reading->rows;
    struct cleaning cleaning = {
        .reading = reading, .dynamic = EH_DYNAMIC_MF, .before_endings = EH_DYNAMIC_MF};
    enum { MARKS_EACH = 3 };
    const size_t most = MARKS_EACH * rows->mark_count + 1;
    cleaning.out = calloc(most, sizeof *cleaning.out);
    cleaning.starts = calloc(rows->bar_count + 1, sizeof *cleaning.starts);
    cleaning.onsets = calloc(rows->piece_count + 1, sizeof *cleaning.onsets);
    if (cleaning.out == NULL || cleaning.starts == NULL || cleaning.onsets == NULL) {
        free(cleaning.out);
        free(cleaning.starts);
        free(cleaning.onsets);
        return mx_no_memory(reading);
    }
    place_marks(reading);
    find_places(&cleaning);
    clean_all(&cleaning);
    free(cleaning.starts);
    free(cleaning.onsets);
    free(rows->marks);
    rows->marks = cleaning.out;
    rows->mark_count = cleaning.count;
    rows->mark_capacity = most;
    return EH_OK;
}
