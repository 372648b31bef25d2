#include "days.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/exercise_text.h"

static const char text[] = "title: Sixteen bars\ntempo: 60 to 120\nmetre: 4/4\n\n"
                           "| mf 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n"
                           "| 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n"
                           "| 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n"
                           "| 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n"
                           "| 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n"
                           "| 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n"
                           "| 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n"
                           "| 16:R>LRR L>RLL R>LRR L>RLL | 16:RRLL RRLL RRLL RRLL |\n";

static struct eh_exercise *sixteen_bars(void) {
    struct eh_exercise *exercise = NULL;
    struct eh_error error = {0};
    cr_assert_eq(eh_exercise_parse(&exercise, text, strlen(text), &error), EH_OK, "%s", error.text);
    return exercise;
}

struct days *days_new(size_t count) {
    struct days *days = calloc(1, sizeof *days);
    cr_assert(days != NULL && count <= PIECES);
    for (size_t i = 0; i < count; i++) {
        days->exercises[i] = sixteen_bars();
        days->pieces[i] = (struct eh_agenda_piece){.exercise = days->exercises[i], .least_n = 8.0};
    }
    days->input = (struct eh_agenda_input){.pieces = days->pieces,
                                           .piece_count = count,
                                           .runs = days->runs,
                                           .today = TODAY,
                                           .minutes = 20.0};
    days_warm_up(days, EH_AGENDA_NONE);
    return days;
}

void days_free(struct days *days) {
    for (size_t i = 0; i < PIECES; i++) {
        eh_exercise_free(days->exercises[i]);
    }
    free(days);
}

void days_warm_up(struct days *days, int32_t piece) {
    for (int i = 0; i < EH_WARM_UP_COUNT; i++) {
        days->input.warm_ups[i] = piece;
    }
}

static struct eh_finding seconds(double value, int fault) {
    return (struct eh_finding){.aspect = EH_ASPECT_DIDDLE_SPACING,
                               .side = EH_SIDE_LEFT,
                               .verdict = fault == EH_FAULT_NO    ? EH_VERDICT_EVEN
                                          : fault == EH_FAULT_YES ? EH_VERDICT_UNEVEN
                                                                  : EH_VERDICT_UNCLEAR,
                               .direction = fault != EH_FAULT_YES ? EH_DIRECTION_NONE
                                            : value > 0.5         ? EH_DIRECTION_LATE
                                                                  : EH_DIRECTION_EARLY,
                               .fault = (uint8_t)fault,
                               .value = value,
                               .low = value - 0.02,
                               .high = value + 0.02,
                               .limit_low = 0.45,
                               .limit_high = 0.55,
                               .unit = "share",
                               .n = 40,
                               .bars = {5, 6},
                               .bar_count = fault == EH_FAULT_YES ? 2 : 0};
}

static struct eh_finding accents(double value, int fault) {
    return (struct eh_finding){.aspect = EH_ASPECT_ACCENT,
                               .side = EH_SIDE_RIGHT,
                               .verdict = fault == EH_FAULT_YES ? EH_VERDICT_UNDER
                                                                : EH_VERDICT_RIGHT_SIZED,
                               .fault = (uint8_t)fault,
                               .value = value,
                               .low = value - 0.5,
                               .high = value + 0.5,
                               .limit_low = 4.5,
                               .limit_high = 12.0,
                               .unit = "dB",
                               .n = 32,
                               .bars = {12},
                               .bar_count = fault == EH_FAULT_YES ? 1 : 0};
}

struct eh_agenda_run *days_run(struct days *days, size_t piece, int64_t ago, double bpm,
                               char letter) {
    const size_t number = days->input.run_count++;
    cr_assert(number < RUNS);
    struct eh_finding *f = days->findings[number];
    f[0] = seconds(0.5, EH_FAULT_NO);
    f[1] = accents(7.0, EH_FAULT_NO);
    if (letter == 'l' || letter == 'b') {
        f[0] = seconds(0.62, EH_FAULT_YES);
    } else if (letter == 'e') {
        f[0] = seconds(0.38, EH_FAULT_YES);
    } else if (letter == 'u') {
        f[0] = seconds(0.54, EH_FAULT_UNCLEAR);
    } else if (letter == 'f' || letter == 'F') {
        f[0] = seconds(letter == 'f' ? 0.5 : 0.62, EH_FAULT_UNCLEAR);
        f[0].n = 4;
    }
    if (letter == 'a' || letter == 'b') {
        f[1] = accents(2.0, EH_FAULT_YES);
    }
    days->runs[number] = (struct eh_agenda_run){.piece = piece,
                                                .day = TODAY - ago,
                                                .bpm = bpm,
                                                .complete = true,
                                                .findings = f,
                                                .finding_count = 2};
    return &days->runs[number];
}

struct eh_agenda days_plan(const struct days *days) {
    struct eh_agenda agenda;
    struct eh_error error = {0};
    cr_assert_eq(eh_agenda_make(&agenda, &days->input, &error), EH_OK, "%s", error.text);
    return agenda;
}

const struct eh_agenda_item *days_item(const struct eh_agenda *agenda, enum eh_agenda_kind kind) {
    for (size_t i = 0; i < agenda->item_count; i++) {
        if (agenda->items[i].kind == kind) {
            return &agenda->items[i];
        }
    }
    return NULL;
}
