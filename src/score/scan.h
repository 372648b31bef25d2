/* Walks over a text character by character and knows the place. */
#ifndef SCORE_SCAN_H
#define SCORE_SCAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "model.h"

#define SCAN_END UINT32_MAX

/* A value: copying it is a bookmark. The text must outlive it. */
struct scan {
    const unsigned char *at, *end;
    uint32_t c;                /* the character here: '\n' for any line end, SCAN_END */
    struct score_place place;  /* of c */
    struct score_place behind; /* directly after the last character that was not white space */
};

/* Starts at the beginning (after a byte order mark), when the whole text is UTF-8 without control
 * characters other than tab and line ends; else EH_BAD_SYNTAX with the place of the first that is
 * not. */
EH_MUST_USE enum eh_status scan_init(struct scan *scan, const char *text, size_t length,
                                     struct eh_error *error);

void scan_next(struct scan *scan);

/* Steps over C if it is here. */
bool scan_take(struct scan *scan, uint32_t c);

/* Steps over blanks and tabs. */
void scan_blanks(struct scan *scan);

/* Steps over blanks, line ends and comments. */
void scan_space(struct scan *scan);

static inline bool scan_is_digit(uint32_t c) {
    return c >= '0' && c <= '9';
}

static inline bool scan_is_letter(uint32_t c) {
    return c >= 'a' && c <= 'z';
}

enum { SCAN_WORD = 32 };

/* Reads a run of lower-case letters; longer ones are cut. */
void scan_word(struct scan *scan, char word[SCAN_WORD]);

/* Reads digits as a number; 1,000,000 stands for anything larger. A digit must be here. */
int scan_number(struct scan *scan);

/* EH_BAD_SYNTAX at the present place: "expected EXPECTED, found ..." what is here. */
enum eh_status scan_expected(const struct scan *scan, struct eh_error *error, const char *expected);

#endif
