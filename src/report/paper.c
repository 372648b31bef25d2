#include "paper.h"

#include <string.h>

#include "utf8.h"

struct report_paper report_paper(const struct eh_report_look *look, struct eh_text *out) {
    struct report_paper paper = {.out = out, .width = EH_REPORT_WIDTH, .colour = false};
    if (look != NULL) {
        paper.colour = look->colour;
        if (look->width > 0) {
            paper.width = look->width < EH_REPORT_WIDTH_LEAST ? EH_REPORT_WIDTH_LEAST : look->width;
        }
    }
    return paper;
}

static void spaces(struct eh_text *out, int count) {
    while (count-- > 0) {
        eh_text_add_char(out, ' ');
    }
}

/* Adds one character, made harmless; returns its columns. */
static int add_character(struct eh_text *out, const char *bytes, size_t length,
                         uint32_t character) {
    if (character == REPORT_REPLACEMENT || report_utf8_steers(character)) {
        eh_text_add_char(out, '?');
        return 1;
    }
    eh_text_add_bytes(out, bytes, length);
    return report_utf8_columns(character);
}

static bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/* The next word's bytes and columns; its beginning is moved to *TEXT. */
static size_t next_word(const char **text, int *out_columns) {
    while (is_space(**text)) {
        (*text)++;
    }
    size_t bytes = 0;
    *out_columns = 0;
    while ((*text)[bytes] != '\0' && !is_space((*text)[bytes])) {
        uint32_t character = 0;
        bytes += report_utf8_next(*text + bytes, &character);
        *out_columns += report_utf8_columns(character);
    }
    return bytes;
}

/* Where the pen stands while a paragraph is being written. */
struct pen {
    const struct report_paper *paper;
    int indent;
    int column;
};

static void new_line(struct pen *pen) {
    eh_text_add_char(pen->paper->out, '\n');
    spaces(pen->paper->out, pen->indent);
    pen->column = pen->indent;
}

/* Character by character, so that a word longer than a line is broken. */
static void add_word(struct pen *pen, const char *word, size_t bytes) {
    size_t done = 0;
    while (done < bytes) {
        uint32_t character = 0;
        const size_t length = report_utf8_next(word + done, &character);
        if (pen->column + report_utf8_columns(character) > pen->paper->width) {
            new_line(pen);
        }
        pen->column += add_character(pen->paper->out, word + done, length, character);
        done += length;
    }
}

void report_wrap(const struct report_paper *paper, const char *lead, const char *text) {
    struct pen pen = {paper, (int)strlen(lead), (int)strlen(lead)};
    eh_text_add(paper->out, lead);
    int columns = 0;
    size_t bytes = next_word(&text, &columns);
    while (bytes > 0) {
        if (pen.column > pen.indent) {
            if (pen.column + 1 + columns > paper->width) {
                new_line(&pen);
            } else {
                eh_text_add_char(paper->out, ' ');
                pen.column++;
            }
        }
        add_word(&pen, text, bytes);
        text += bytes;
        bytes = next_word(&text, &columns);
    }
    eh_text_add_char(paper->out, '\n');
}

void report_heading(const struct report_paper *paper, const char *heading) {
    eh_text_add(paper->out, paper->colour ? "\n\x1b[1m" : "\n");
    eh_text_add(paper->out, heading);
    eh_text_add(paper->out, paper->colour ? "\x1b[0m\n" : "\n");
}

/* Adds at most COLUMNS columns of TEXT and returns how many it took. */
static int add_cut(struct eh_text *out, const char *text, int columns) {
    int taken = 0;
    uint32_t character = 0;
    size_t length = report_utf8_next(text, &character);
    while (length > 0 && taken + report_utf8_columns(character) <= columns) {
        taken += add_character(out, text, length, character);
        text += length;
        length = report_utf8_next(text, &character);
    }
    return taken;
}

int report_columns(const char *text) {
    int columns = 0;
    uint32_t character = 0;
    size_t length = report_utf8_next(text, &character);
    while (length > 0) {
        columns += report_utf8_columns(character);
        text += length;
        length = report_utf8_next(text, &character);
    }
    return columns;
}

void report_line(const struct report_paper *paper, const char *text) {
    (void)add_cut(paper->out, text, paper->width);
    eh_text_add_char(paper->out, '\n');
}

void report_cell(struct eh_text *out, const char *text, int columns) {
    if (report_columns(text) <= columns) {
        spaces(out, columns - add_cut(out, text, columns));
        return;
    }
    const int kept = add_cut(out, text, columns - 2);
    eh_text_add(out, "..");
    spaces(out, columns - 2 - kept);
}
