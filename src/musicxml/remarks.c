/* What was not understood, each once, with the measures in which it stood. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "read.h"

enum { TOLD_MEASURES = 12 }; /* more do not help a reader */

void eh_musicxml_remarks_deinit(struct eh_musicxml_remarks *remarks) {
    free(remarks->rows);
    *remarks = (struct eh_musicxml_remarks){0};
}

static const char *number_of(const struct mx_reading *reading, int bar) {
    return bar < 0 || (size_t)bar >= reading->rows.bar_count ? "" : reading->rows.bars[bar].number;
}

static bool ends_with_number(const char *list, const char *number) {
    const char *last = strrchr(list, ' ');
    return strcmp(last == NULL ? list : last + 1, number) == 0;
}

static int count_numbers(const char *list) {
    int count = list[0] != '\0';
    for (const char *at = list; *at != '\0'; at++) {
        count += *at == ',';
    }
    return count;
}

static void add_measure(struct eh_musicxml_remark *row, const char *number) {
    const size_t length = strlen(row->measures);
    if (number[0] == '\0' || ends_with_number(row->measures, number)) {
        return;
    }
    if (ends_with_number(row->measures, "...")) {
        return;
    }
    const bool room = length + strlen(number) + sizeof ", , ..." < sizeof row->measures;
    const char *added = room && count_numbers(row->measures) < TOLD_MEASURES ? number : "...";
    (void)snprintf(row->measures + length, sizeof row->measures - length, "%s%s",
                   length > 0 ? ", " : "", added);
}

static struct eh_musicxml_remark *find_row(struct eh_musicxml_remarks *remarks, const char *text) {
    for (size_t i = 0; i < remarks->count; i++) {
        if (strcmp(remarks->rows[i].text, text) == 0) {
            return &remarks->rows[i];
        }
    }
    return NULL;
}

static struct eh_musicxml_remark *add_row(struct mx_reading *reading) {
    struct eh_musicxml_remarks *remarks = reading->remarks;
    if (remarks->count == EH_MUSICXML_REMARKS_MAX) {
        remarks->left_out++;
        return NULL;
    }
    struct eh_musicxml_remark *rows = realloc(remarks->rows, (remarks->count + 1) * sizeof *rows);
    if (rows == NULL) {
        reading->memory_failed = true;
        return NULL;
    }
    remarks->rows = rows;
    return &rows[remarks->count++];
}

void mx_remark(struct mx_reading *reading, int bar, int line, const char *format, ...) {
    if (reading->remarks == NULL) {
        return;
    }
    struct eh_musicxml_remark made = {.line = line};
    va_list args;
    va_start(args, format);
    (void)vsnprintf(made.text, sizeof made.text, format, args);
    va_end(args);
    struct eh_musicxml_remark *row = find_row(reading->remarks, made.text);
    if (row == NULL) {
        row = add_row(reading);
        if (row == NULL) {
            return;
        }
        *row = made;
    }
    add_measure(row, number_of(reading, bar));
}

enum eh_status mx_fail(struct mx_reading *reading, enum eh_status status, int bar, int line,
                       const char *format, ...) {
    char text[EH_ERROR_TEXT];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    const char *number = number_of(reading, bar);
    return eh_fail_at(reading->error, status, line, 0, "%s%.40s%s%s",
                      number[0] != '\0' ? "measure " : "", number, number[0] != '\0' ? ": " : "",
                      text);
}

enum eh_status mx_no_memory(struct mx_reading *reading) {
    return eh_fail(reading->error, EH_NO_MEMORY, "not enough memory for the exercise");
}

bool mx_grow(void *rows, size_t *capacity, size_t count, size_t size) {
    if (count < *capacity) {
        return true;
    }
    const size_t roomy = *capacity == 0 ? 64 : 2 * *capacity;
    void *old = NULL;
    memcpy(&old, rows, sizeof old);
    void *grown = realloc(old, roomy * size);
    if (grown == NULL) {
        return false;
    }
    memcpy(rows, &grown, sizeof grown);
    *capacity = roomy;
    return true;
}
