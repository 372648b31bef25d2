#include "beside.h"

#include <string.h>

enum { INDENT = 2, GAP = 2 };

static int column_width(const struct report_paper *paper) {
    return (paper->width - INDENT - GAP) / 2;
}

/* TEXT, line by line, in lines of WIDTH. */
static void wrap_lines(struct eh_text *out, const char *text, int width) {
    const struct report_paper narrow = {.out = out, .width = width};
    while (*text != '\0') {
        const size_t length = strcspn(text, "\n");
        struct eh_text line = {0};
        eh_text_add_bytes(&line, text, length);
        report_wrap(&narrow, "", eh_text_string(&line));
        out->failed |= line.failed;
        eh_text_deinit(&line);
        text += length + (text[length] == '\n');
    }
}

/* Takes the next line of *TEXT into LINE; "" when none is left. */
static void next_line(const char **text, struct eh_text *line) {
    const size_t length = strcspn(*text, "\n");
    line->length = 0;
    eh_text_add_bytes(line, *text, length);
    eh_text_add_char(line, '\0');
    *text += length + ((*text)[length] == '\n');
}

static void add_lines(const struct report_paper *paper, const char *left, const char *right) {
    struct eh_text line = {0};
    while (*left != '\0' || *right != '\0') {
        next_line(&left, &line);
        const bool more = *right != '\0' && *right != '\n';
        eh_text_printf(paper->out, "%*s", INDENT, "");
        if (more) {
            report_cell(paper->out, line.data != NULL ? line.data : "", column_width(paper));
            eh_text_printf(paper->out, "%*s", GAP, "");
        } else {
            eh_text_add(paper->out, line.data != NULL ? line.data : "");
        }
        next_line(&right, &line);
        eh_text_printf(paper->out, "%s\n", line.data != NULL ? line.data : "");
    }
    paper->out->failed |= line.failed;
    eh_text_deinit(&line);
}

void report_beside(const struct report_paper *paper, const char *left, const char *right) {
    struct eh_text columns[2] = {{0}, {0}};
    wrap_lines(&columns[0], left, column_width(paper));
    wrap_lines(&columns[1], right, column_width(paper));
    add_lines(paper, eh_text_string(&columns[0]), eh_text_string(&columns[1]));
    for (int i = 0; i < 2; i++) {
        paper->out->failed |= columns[i].failed;
        eh_text_deinit(&columns[i]);
    }
}
