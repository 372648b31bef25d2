#include "say.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#ifndef EVENHAND_VERSION
#error "the build names the version"
#endif

enum { LONGEST_LINE = 76 };

int cli_complain(const char *format, ...) {
    va_list args;
    va_start(args, format);
    (void)fputs("evenhand: ", stderr);
    (void)vfprintf(stderr, format, args);
    (void)fputc('\n', stderr);
    va_end(args);
    return CLI_FAILED;
}

/* A library that leaves the words out still has a status. */
static const char *words_of(const struct eh_error *error) {
    return error->text[0] != '\0' ? error->text : eh_status_text(error->status);
}

int cli_complain_error(const char *where, const struct eh_error *error) {
    if (error->line > 0) {
        return cli_complain("%s:%d:%d: %s", where, error->line, error->column, words_of(error));
    }
    if (error->offset >= 0 && error->status == EH_BAD_FORMAT) {
        return cli_complain("%s: %s (at byte %lld)", where, words_of(error), error->offset);
    }
    return cli_complain("%s: %s", where, words_of(error));
}

struct line {
    const char *at;
    size_t length;
};

static struct line find_line(const char *text, size_t length, int number) {
    const char *end = text + length;
    const char *at = text;
    for (int i = 1; i < number && at < end; i++) {
        const char *newline = memchr(at, '\n', (size_t)(end - at));
        at = newline == NULL ? end : newline + 1;
    }
    const char *newline = memchr(at, '\n', (size_t)(end - at));
    const char *stop = newline == NULL ? end : newline;
    if (stop > at && stop[-1] == '\r') {
        stop--;
    }
    return (struct line){at, (size_t)(stop - at)};
}

/* Control characters would move the caret or drive the terminal. */
static void put_plain(const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = (unsigned char)bytes[i];
        (void)fputc(c < 0x20 || c == 0x7f ? ' ' : c, stderr);
    }
}

/* A UTF-8 letter of several bytes takes one column on the screen; its later bytes take none. */
static void put_blanks(const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) {
        if (((unsigned char)bytes[i] & 0xC0) != 0x80) {
            (void)fputc(' ', stderr);
        }
    }
}

int cli_complain_text(const char *where, const struct eh_error *error, const char *text,
                      size_t length) {
    (void)cli_complain_error(where, error);
    if (error->line <= 0 || error->column <= 0 || text == NULL) {
        return CLI_FAILED;
    }
    const struct line line = find_line(text, length, error->line);
    const size_t column = (size_t)error->column - 1;
    const size_t caret = column < line.length ? column : line.length;
    const size_t skipped = caret > LONGEST_LINE - 8 ? caret - (LONGEST_LINE - 8) : 0;
    const size_t rest = line.length - skipped;
    const size_t shown = rest < LONGEST_LINE ? rest : (size_t)LONGEST_LINE;
    (void)fputs("  ", stderr);
    put_plain(line.at + skipped, shown);
    (void)fputs("\n  ", stderr);
    put_blanks(line.at + skipped, caret - skipped);
    (void)fputs("^\n", stderr);
    return CLI_FAILED;
}

void cli_print_version(void) {
    puts("evenhand " EVENHAND_VERSION);
}

int cli_close_output(int status) {
    const int had_failed = ferror(stdout);
    if (fclose(stdout) == 0 && !had_failed) {
        return status;
    }
    const int failed = cli_complain("standard output: %s; what was printed is incomplete",
                                    had_failed ? "a write failed" : strerror(errno));
    return status == CLI_GOOD ? failed : status;
}
