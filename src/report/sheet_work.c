/* What to work on first, with the command that does it. */
#include <math.h>
#include <stdio.h>

#include "number.h"
#include "phrase.h"
#include "sheet.h"

/* More than three things at once nobody can practise; slower by a fifth to begin with. Common
 * practice, no source. */
enum { WORK_MOST = 3 };
static const double slower = 0.8;

/* Faults in the same bars are worked on together. */
struct task {
    int32_t first, last;
    bool all; /* the whole piece */
    bool tempo, reading;
    size_t faults[SHEET_FAULTS_MAX];
    size_t count;
};

/* Left out, put in, by the other hand: it has to be read first. */
static bool is_reading(const struct sheet_fault *fault) {
    const uint8_t aspect = fault->located->finding.aspect;
    return aspect == EH_ASPECT_MISSED || aspect == EH_ASPECT_EXTRA || aspect == EH_ASPECT_STICKING;
}

static bool is_tempo(const struct sheet_fault *fault) {
    return fault->located->finding.aspect == EH_ASPECT_TEMPO;
}

/* Half of the bars of the longer one at least. */
static bool shares_half(const struct task *a, const struct task *b) {
    const int32_t first = a->first > b->first ? a->first : b->first;
    const int32_t last = a->last < b->last ? a->last : b->last;
    const int32_t longer =
        a->last - a->first > b->last - b->first ? a->last - a->first : b->last - b->first;
    return 2 * (last - first + 1) >= longer + 1;
}

static bool suits(const struct task *task, const struct task *other) {
    return task->all == other->all && task->tempo == other->tempo &&
           task->reading == other->reading && (task->all || shares_half(task, other));
}

static void collect(const struct sheet_desk *desk, struct task *tasks, size_t *out_count) {
    *out_count = 0;
    for (size_t i = 0; i < desk->faults.count; i++) {
        const struct sheet_fault *fault = &desk->faults.list[i];
        struct task task = {.tempo = is_tempo(fault), .reading = is_reading(fault)};
        task.all = !sheet_bars(desk, fault, &task.first, &task.last);
        if (task.tempo) {
            task.all = true;
        }
        size_t k = 0;
        while (k < *out_count && !suits(&tasks[k], &task)) {
            k++;
        }
        if (k == WORK_MOST) {
            continue;
        }
        if (k == *out_count) {
            tasks[(*out_count)++] = task;
        }
        tasks[k].first = task.first < tasks[k].first ? task.first : tasks[k].first;
        tasks[k].last = task.last > tasks[k].last ? task.last : tasks[k].last;
        tasks[k].faults[tasks[k].count++] = i;
    }
}

static struct report_phrase words_of(const struct sheet_desk *desk,
                                     const struct sheet_fault *fault) {
    struct report_phrase phrase;
    if (fault->leg != NULL) {
        const char *way = fault->leg->percent > 0.0 ? "pushed" : "dragged";
        if (fault->leg->first_bar == fault->leg->last_bar) {
            (void)snprintf(phrase.text, sizeof phrase.text, "%s at bar %d", way,
                           (int)fault->leg->first_bar);
        } else {
            (void)snprintf(phrase.text, sizeof phrase.text, "%s in bars %d to %d", way,
                           (int)fault->leg->first_bar, (int)fault->leg->last_bar);
        }
        return phrase;
    }
    return report_verdict(fault->place != NULL ? &fault->place->finding
                                               : sheet_finding(desk, fault->located));
}

static bool is_said(const struct sheet_desk *desk, const struct task *task, size_t upto) {
    const struct report_phrase now = words_of(desk, &desk->faults.list[task->faults[upto]]);
    for (size_t i = 0; i < upto; i++) {
        const struct report_phrase was = words_of(desk, &desk->faults.list[task->faults[i]]);
        bool same = true;
        for (size_t c = 0; c < sizeof now.text && same; c++) {
            same = now.text[c] == was.text[c];
            if (now.text[c] == '\0') {
                break;
            }
        }
        if (same) {
            return true;
        }
    }
    return false;
}

static void add_what(struct eh_text *text, const struct sheet_desk *desk, const struct task *task) {
    if (task->all) {
        eh_text_add(text, task->tempo ? "The tempo" : "All through");
    } else {
        eh_text_add(text, task->first == task->last ? "Bar " : "Bars ");
        eh_text_printf(text, task->first == task->last ? "%d" : "%d to %d", (int)task->first,
                       (int)task->last);
    }
    for (size_t i = 0; i < task->count; i++) {
        if (!is_said(desk, task, i)) {
            eh_text_printf(text, "%s%s", i == 0 ? ": " : "; ",
                           words_of(desk, &desk->faults.list[task->faults[i]]).text);
        }
    }
    eh_text_add(text, task->reading ? ". Read it, then play it slowly:"
                      : task->tempo ? ". Keep it while the click is silent:"
                                    : ". Slower, and up again:");
}

static void add_bars_option(struct eh_text *text, const struct task *task) {
    if (!task->all) {
        eh_text_printf(text, task->first == task->last ? " --bars %d" : " --bars %d-%d",
                       (int)task->first, (int)task->last);
    }
}

/* The bars that did not keep it, or growing stretches. */
static void add_silent(struct eh_text *text, const struct sheet_desk *desk,
                       const struct task *task) {
    const struct eh_tempo_leg *leg = desk->faults.list[task->faults[0]].leg;
    if (leg == NULL || leg->all) {
        eh_text_add(text, "growing");
    } else if (leg->first_bar == leg->last_bar) {
        eh_text_printf(text, "%d", (int)leg->first_bar);
    } else {
        eh_text_printf(text, "%d-%d", (int)leg->first_bar, (int)leg->last_bar);
    }
}

static void add_commands(const struct sheet_desk *desk, const struct task *task) {
    const char *name = desk->sheet->name;
    const struct eh_tempo_course *course = desk->sheet->course;
    const int tempo = (int)lround(course->known ? course->begin_bpm : desk->sheet->judgement->bpm);
    struct eh_text text = {0};
    if (task->reading && !task->all) {
        eh_text_printf(&text, "evenhand show %s", name);
        add_bars_option(&text, task);
        sheet_put(&desk->paper, "      ", &text);
    }
    if (task->tempo) {
        eh_text_printf(&text, "evenhand pulse %s --tempo %d --silent ", name, tempo);
        add_silent(&text, desk, task);
    } else {
        eh_text_printf(&text, "evenhand climb %s", name);
        add_bars_option(&text, task);
        eh_text_printf(&text, " --from %d --to %d", (int)lround(slower * tempo), tempo);
    }
    sheet_put(&desk->paper, "      ", &text);
}

void sheet_say_work(const struct sheet_desk *desk) {
    struct task tasks[WORK_MOST];
    size_t count = 0;
    collect(desk, tasks, &count);
    if (count == 0) {
        return;
    }
    report_heading(&desk->paper, "Work on this first");
    for (size_t i = 0; i < count; i++) {
        struct eh_text text = {0};
        char lead[32];
        (void)snprintf(lead, sizeof lead, "%2zu. ", i + 1);
        add_what(&text, desk, &tasks[i]);
        sheet_put(&desk->paper, lead, &text);
        add_commands(desk, &tasks[i]);
    }
}
