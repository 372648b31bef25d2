#include "scan.h"

#include <stdio.h>
#include <string.h>

enum { BYTE_ORDER_MARK_LENGTH = 3, NUMBER_TOP = 1000000 };

/* How many bytes the UTF-8 character at AT has; 0 when it is none (RFC 3629, section 4: no
 * overlong forms, no surrogates, nothing above U+10FFFF). */
static size_t utf8_length(const unsigned char *at, const unsigned char *end) {
    const unsigned char lead = *at;
    if (lead < 0x80) {
        return 1;
    }
    const size_t length = lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : 2;
    if (lead < 0xc2 || lead > 0xf4 || (size_t)(end - at) < length) {
        return 0;
    }
    for (size_t i = 1; i < length; i++) {
        if ((at[i] & 0xc0) != 0x80) {
            return 0;
        }
    }
    const bool overlong = (lead == 0xe0 && at[1] < 0xa0) || (lead == 0xf0 && at[1] < 0x90);
    const bool surrogate = lead == 0xed && at[1] > 0x9f;
    const bool too_high = lead == 0xf4 && at[1] > 0x8f;
    return overlong || surrogate || too_high ? 0 : length;
}

static uint32_t utf8_value(const unsigned char *at, size_t length) {
    static const unsigned char lead_bits[] = {0, 0x7f, 0x1f, 0x0f, 0x07};
    uint32_t value = at[0] & lead_bits[length];
    for (size_t i = 1; i < length; i++) {
        value = value << 6 | (at[i] & 0x3fu);
    }
    return value;
}

static bool is_control(uint32_t c) {
    return (c < ' ' && c != '\t' && c != '\n') || (c >= 0x7f && c < 0xa0);
}

/* Sets c from what is at AT; the text has been checked or is being checked. */
static void look(struct scan *scan) {
    if (scan->at == scan->end) {
        scan->c = SCAN_END;
    } else if (*scan->at == '\r') {
        scan->c = '\n';
    } else {
        const size_t length = utf8_length(scan->at, scan->end);
        scan->c = length == 0 ? *scan->at : utf8_value(scan->at, length);
    }
}

static void step_bytes(struct scan *scan) {
    const bool pair = scan->end - scan->at >= 2 && scan->at[0] == '\r' && scan->at[1] == '\n';
    scan->at += pair ? 2 : utf8_length(scan->at, scan->end);
}

void scan_next(struct scan *scan) {
    if (scan->c == SCAN_END) {
        return;
    }
    const uint32_t c = scan->c;
    step_bytes(scan);
    if (c == '\n') {
        scan->place.line++;
        scan->place.column = 1;
    } else {
        scan->place.column++;
    }
    if (c != ' ' && c != '\t' && c != '\n') {
        scan->behind = scan->place;
    }
    look(scan);
}

static enum eh_status check(struct scan scan, struct eh_error *error) {
    while (scan.c != SCAN_END) {
        if (utf8_length(scan.at, scan.end) == 0) {
            return eh_fail_at(error, EH_BAD_SYNTAX, scan.place.line, scan.place.column,
                              "expected UTF-8 text, found the byte 0x%02X: save the file as UTF-8",
                              *scan.at);
        }
        if (is_control(scan.c)) {
            return eh_fail_at(error, EH_BAD_SYNTAX, scan.place.line, scan.place.column,
                              "expected text, found the control character 0x%02X",
                              (unsigned)scan.c);
        }
        scan_next(&scan);
    }
    return EH_OK;
}

enum eh_status scan_init(struct scan *scan, const char *text, size_t length,
                         struct eh_error *error) {
    static const unsigned char empty[] = "";
    const unsigned char *at = text == NULL ? empty : (const unsigned char *)text;
    *scan = (struct scan){
        .at = at, .end = at + length, .place = {.line = 1, .column = 1}, .behind = {1, 1}};
    if (length >= BYTE_ORDER_MARK_LENGTH && memcmp(at, "\xef\xbb\xbf", 3) == 0) {
        scan->at += BYTE_ORDER_MARK_LENGTH;
    }
    look(scan);
    return check(*scan, error);
}

bool scan_take(struct scan *scan, uint32_t c) {
    if (scan->c != c) {
        return false;
    }
    scan_next(scan);
    return true;
}

void scan_blanks(struct scan *scan) {
    while (scan->c == ' ' || scan->c == '\t') {
        scan_next(scan);
    }
}

void scan_space(struct scan *scan) {
    for (;;) {
        if (scan->c == '#') {
            const struct score_place behind = scan->behind;
            while (scan->c != '\n' && scan->c != SCAN_END) {
                scan_next(scan);
            }
            scan->behind = behind; /* a comment is white space */
        }
        if (scan->c != ' ' && scan->c != '\t' && scan->c != '\n') {
            return;
        }
        scan_next(scan);
    }
}

void scan_word(struct scan *scan, char word[SCAN_WORD]) {
    size_t length = 0;
    while (scan_is_letter(scan->c)) {
        if (length < SCAN_WORD - 1) {
            word[length++] = (char)scan->c;
        }
        scan_next(scan);
    }
    word[length] = '\0';
}

int scan_number(struct scan *scan) {
    int number = 0;
    while (scan_is_digit(scan->c)) {
        number = number >= NUMBER_TOP / 10 ? NUMBER_TOP : number * 10 + (int)(scan->c - '0');
        scan_next(scan);
    }
    return number;
}

/* Letters and digits that belong together are quoted together. */
static bool is_word(unsigned char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || scan_is_digit(c);
}

static size_t found_length(const struct scan *scan) {
    enum { LONGEST_QUOTED = 24 };
    size_t length = utf8_length(scan->at, scan->end);
    if (is_word(*scan->at)) {
        while (length < LONGEST_QUOTED && scan->at + length < scan->end &&
               is_word(scan->at[length])) {
            length++;
        }
    }
    return length;
}

enum eh_status scan_expected(const struct scan *scan, struct eh_error *error,
                             const char *expected) {
    const int line = scan->place.line;
    const int column = scan->place.column;
    if (scan->c == SCAN_END) {
        return eh_fail_at(error, EH_BAD_SYNTAX, line, column,
                          "expected %s, found the end of the text", expected);
    }
    if (scan->c == '\n') {
        return eh_fail_at(error, EH_BAD_SYNTAX, line, column,
                          "expected %s, found the end of the line", expected);
    }
    return eh_fail_at(error, EH_BAD_SYNTAX, line, column, "expected %s, found '%.*s'", expected,
                      (int)found_length(scan), (const char *)scan->at);
}
