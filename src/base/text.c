#include "evenhand/text.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void eh_text_deinit(struct eh_text *text) {
    free(text->data);
    *text = (struct eh_text){0};
}

static bool reserve(struct eh_text *text, size_t more) {
    if (text->failed || more > SIZE_MAX / 4 - text->length) {
        text->failed = true;
        return false;
    }
    const size_t needed = text->length + more + 1;
    if (needed <= text->capacity) {
        return true;
    }
    size_t capacity = text->capacity == 0 ? 256 : text->capacity;
    while (capacity < needed) {
        capacity *= 2;
    }
    char *grown = realloc(text->data, capacity);
    if (grown == NULL) {
        text->failed = true;
        return false;
    }
    text->data = grown;
    text->capacity = capacity;
    return true;
}

void eh_text_add_bytes(struct eh_text *text, const void *bytes, size_t length) {
    if (length == 0 || !reserve(text, length)) {
        return;
    }
    memcpy(text->data + text->length, bytes, length);
    text->length += length;
    text->data[text->length] = '\0';
}

void eh_text_add(struct eh_text *text, const char *string) {
    eh_text_add_bytes(text, string, strlen(string));
}

void eh_text_add_char(struct eh_text *text, char c) {
    eh_text_add_bytes(text, &c, 1);
}

void eh_text_printf(struct eh_text *text, const char *format, ...) {
    va_list args;
    va_start(args, format);
    va_list again;
    va_copy(again, args);
    const int length = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (length < 0) {
        text->failed = true;
    } else if (length > 0 && reserve(text, (size_t)length)) {
        (void)vsnprintf(text->data + text->length, (size_t)length + 1, format, again);
        text->length += (size_t)length;
    }
    va_end(again);
}

const char *eh_text_string(const struct eh_text *text) {
    return text->data == NULL ? "" : text->data;
}

enum eh_status eh_text_status(const struct eh_text *text) {
    return text->failed ? EH_NO_MEMORY : EH_OK;
}

enum { LONGEST_COMPARED = 63 };

static int smaller(int a, int b) {
    return a < b ? a : b;
}

struct rows {
    int cost[3][LONGEST_COMPARED + 1];
};

static int folded(char c) {
    return tolower((unsigned char)c);
}

/* The cheapest way to have turned the first I characters of A into the first J of B. */
static int cheapest(const struct rows *rows, const char *a, const char *b, int i, int j) {
    const int *row = rows->cost[i % 3];
    const int *above = rows->cost[(i + 2) % 3];
    const bool differ = folded(a[i - 1]) != folded(b[j - 1]);
    const int plain = smaller(smaller(above[j], row[j - 1]) + 1, above[j - 1] + (differ ? 1 : 0));
    const bool swapped = i > 1 && j > 1 && folded(a[i - 1]) == folded(b[j - 2]) &&
                         folded(a[i - 2]) == folded(b[j - 1]);
    return swapped ? smaller(plain, rows->cost[(i + 1) % 3][j - 2] + 1) : plain;
}

/* Optimal string alignment distance; three rows of the usual table suffice. */
int eh_text_distance(const char *a, const char *b) {
    const int la = (int)strnlen(a, LONGEST_COMPARED);
    const int lb = (int)strnlen(b, LONGEST_COMPARED);
    struct rows rows = {{{0}}};
    for (int j = 0; j <= lb; j++) {
        rows.cost[0][j] = j;
    }
    for (int i = 1; i <= la; i++) {
        rows.cost[i % 3][0] = i;
        for (int j = 1; j <= lb; j++) {
            rows.cost[i % 3][j] = cheapest(&rows, a, b, i, j);
        }
    }
    return rows.cost[la % 3][lb];
}
