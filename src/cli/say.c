#include "say.h"

#include <errno.h>
#include <limits.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "columns.h"

#ifndef EVENHAND_VERSION
#error "the build names the version"
#endif

enum { LONGEST_LINE = 76, LONGEST_COMPLAINT = 8192 };

/* How many bytes the UTF-8 letter at BYTES takes; 0 when it is none that a terminal should get: no
 * UTF-8 (Unicode 15, table 3-7), or a control character, which could drive the terminal. */
static size_t letter_length(const unsigned char *bytes, size_t room) {
    const unsigned char first = bytes[0];
    if (first < 0x80) {
        return first < 0x20 || first == 0x7f ? 0 : 1;
    }
    const size_t length = first >= 0xf0 ? 4 : first >= 0xe0 ? 3 : 2;
    if (first < 0xc2 || first > 0xf4 || length > room) {
        return 0;
    }
    for (size_t i = 1; i < length; i++) {
        if ((bytes[i] & 0xc0) != 0x80) {
            return 0;
        }
    }
    const unsigned char second = bytes[1];
    const bool overlong = (first == 0xe0 && second < 0xa0) || (first == 0xf0 && second < 0x90);
    const bool outside = (first == 0xed && second > 0x9f) || (first == 0xf4 && second > 0x8f);
    const bool control = first == 0xc2 && second < 0xa0;
    return overlong || outside || control ? 0 : length;
}

/* Writes one letter of a text that somebody else wrote, a blank for what is none; returns its
 * bytes. */
static size_t put_letter(const char *bytes, size_t room) {
    const size_t letter = letter_length((const unsigned char *)bytes, room);
    if (letter == 0) {
        (void)fputc(' ', stderr);
        return 1;
    }
    (void)fwrite(bytes, 1, letter, stderr);
    return letter;
}

static void put_plain(const char *bytes, size_t length) {
    for (size_t i = 0; i < length;) {
        i += put_letter(bytes + i, length - i);
    }
}

/* How many letters stand before the next blank. */
static int word_letters(const char *bytes, size_t length) {
    int letters = 0;
    for (size_t i = 0; i < length && bytes[i] != ' '; i++) {
        letters += ((unsigned char)bytes[i] & 0xC0) != 0x80;
    }
    return letters;
}

/* As put_plain from COLUMN on, but a line of WIDTH columns ends between words. */
static void put_wrapped(const char *bytes, size_t length, int column, int width) {
    for (size_t i = 0; i < length;) {
        const bool blank = bytes[i] == ' ';
        if (blank && column + 1 + word_letters(bytes + i + 1, length - i - 1) > width) {
            (void)fputs("\n  ", stderr);
            column = 2;
            i++;
        } else {
            i += put_letter(bytes + i, length - i);
            column++;
        }
    }
}

int cli_complain(const char *format, ...) {
    static const char name[] = "evenhand: ";
    char words[LONGEST_COMPLAINT];
    va_list args;
    va_start(args, format);
    const int length = vsnprintf(words, sizeof words, format, args);
    va_end(args);
    (void)fputs(name, stderr);
    if (length > 0) {
        put_wrapped(words, (size_t)length < sizeof words ? (size_t)length : sizeof words - 1,
                    (int)strlen(name), cli_columns(STDERR_FILENO, INT_MAX / 2));
    }
    (void)fputc('\n', stderr);
    return CLI_FAILED;
}

/* A library that leaves the words out still has a status. */
static const char *words_of(const struct eh_error *error) {
    return error->text[0] != '\0' ? error->text : eh_status_text(error->status);
}

int cli_complain_error(const char *where, const struct eh_error *error) {
    if (error->line > 0 && error->column > 0) {
        return cli_complain("%s:%d:%d: %s", where, error->line, error->column, words_of(error));
    }
    if (error->line > 0) {
        return cli_complain("%s:%d: %s", where, error->line, words_of(error));
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

static bool begins_letter(char byte) {
    return ((unsigned char)byte & 0xC0) != 0x80;
}

/* Columns count letters; a UTF-8 letter may take several bytes. */
static size_t byte_of_column(struct line line, int column) {
    size_t at = 0;
    for (int letter = 1; letter < column && at < line.length; letter++) {
        do {
            at++;
        } while (at < line.length && !begins_letter(line.at[at]));
    }
    return at;
}

/* One blank for each letter. */
static void put_blanks(const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) {
        if (begins_letter(bytes[i])) {
            (void)fputc(' ', stderr);
        }
    }
}

/* The window of a long line that shows the caret; it begins and ends with whole letters. */
static struct line window_of(struct line line, size_t caret) {
    size_t from = caret > LONGEST_LINE - 8 ? caret - (LONGEST_LINE - 8) : 0;
    while (from > 0 && !begins_letter(line.at[from])) {
        from--;
    }
    size_t length = line.length - from < LONGEST_LINE ? line.length - from : (size_t)LONGEST_LINE;
    while (from + length < line.length && length > 0 && !begins_letter(line.at[from + length])) {
        length--;
    }
    return (struct line){line.at + from, length};
}

int cli_complain_text(const char *where, const struct eh_error *error, const char *text,
                      size_t length) {
    (void)cli_complain_error(where, error);
    if (error->line <= 0 || error->column <= 0 || text == NULL) {
        return CLI_FAILED;
    }
    const struct line line = find_line(text, length, error->line);
    const size_t caret = byte_of_column(line, error->column);
    const struct line shown = window_of(line, caret);
    (void)fputs("  ", stderr);
    put_plain(shown.at, shown.length);
    (void)fputs("\n  ", stderr);
    put_blanks(shown.at, (size_t)(line.at + caret - shown.at));
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
