/* Header lines: title, about, style, tempo, metre. */
#include <string.h>

#include "evenhand/text.h"
#include "parse.h"

enum { MILLI_DIGITS = 3, NEAR = 2 };

static enum eh_status expected(const struct parser *parser, const char *what) {
    return scan_expected(&parser->scan, parser->error, what);
}

/* The rest of the line. */
static enum eh_status text_value(struct parser *parser, enum score_text which, const char *what) {
    const struct score_place place = parser->scan.place;
    const char *from = (const char *)parser->scan.at;
    if (parser->scan.c == '\n' || parser->scan.c == SCAN_END) {
        return expected(parser, what);
    }
    while (parser->scan.c != '\n' && parser->scan.c != SCAN_END) {
        scan_next(&parser->scan);
    }
    return score_builder_text(&parser->builder, which, from,
                              (size_t)((const char *)parser->scan.at - from), place);
}

/* title = "title:" text ; */
static enum eh_status parse_title(struct parser *parser) {
    return text_value(parser, SCORE_TITLE, "the title");
}

/* about = "about:" text ; */
static enum eh_status parse_about(struct parser *parser) {
    return text_value(parser, SCORE_ABOUT, "what the exercise trains");
}

static bool is_style_letter(uint32_t c) {
    return scan_is_letter(c) || scan_is_digit(c) || c == '-' || c == '_';
}

/* style = "style:" name ; name = ( letter | digit | "-" | "_" ) { ... } ; */
static enum eh_status parse_style(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    const char *from = (const char *)parser->scan.at;
    if (!is_style_letter(parser->scan.c)) {
        return expected(parser, "the name of a style (lower-case letters, digits, - and _)");
    }
    while (is_style_letter(parser->scan.c)) {
        scan_next(&parser->scan);
    }
    return score_builder_text(&parser->builder, SCORE_STYLE, from,
                              (size_t)((const char *)parser->scan.at - from), place);
}

/* decimal = number [ "." digit [ digit [ digit ] ] ] ; in thousandths */
static enum eh_status parse_decimal(struct parser *parser, int32_t *out_milli) {
    if (!scan_is_digit(parser->scan.c)) {
        return expected(parser, "a tempo in quarter notes a minute");
    }
    const int whole = scan_number(&parser->scan);
    int milli = 0;
    int digits = 0;
    if (scan_take(&parser->scan, '.')) {
        for (; digits < MILLI_DIGITS && scan_is_digit(parser->scan.c); digits++) {
            milli = milli * 10 + (int)(parser->scan.c - '0');
            scan_next(&parser->scan);
        }
        if (digits == 0 || scan_is_digit(parser->scan.c)) {
            return expected(parser, "one to three digits after the point");
        }
    }
    for (; digits < MILLI_DIGITS; digits++) {
        milli *= 10;
    }
    *out_milli = whole * 1000 + milli;
    return EH_OK;
}

/* tempo = "tempo:" decimal [ "to" decimal ] ; */
static enum eh_status parse_tempo(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    int32_t start = 0;
    enum eh_status status = parse_decimal(parser, &start);
    int32_t goal = start;
    scan_blanks(&parser->scan);
    if (status == EH_OK && parser->scan.c == 't') {
        const struct scan here = parser->scan;
        char word[SCAN_WORD];
        scan_word(&parser->scan, word);
        if (strcmp(word, "to") != 0) {
            return scan_expected(&here, parser->error, "the word to");
        }
        scan_blanks(&parser->scan);
        status = parse_decimal(parser, &goal);
    }
    return status == EH_OK ? score_builder_tempo(&parser->builder, start, goal, place) : status;
}

enum eh_status parse_metre(struct parser *parser, int beats, struct score_place place) {
    if (!scan_take(&parser->scan, '/')) {
        return expected(parser, "/ and the unit of the metre, as in 4/4");
    }
    if (!scan_is_digit(parser->scan.c)) {
        return expected(parser, "the unit of the metre, as in 4/4");
    }
    const int unit = scan_number(&parser->scan);
    return score_builder_metre(&parser->builder, beats, unit, place);
}

/* metre-line = "metre:" metre ; */
static enum eh_status parse_metre_line(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    if (!scan_is_digit(parser->scan.c)) {
        return expected(parser, "a metre such as 4/4");
    }
    return parse_metre(parser, scan_number(&parser->scan), place);
}

struct header {
    const char *name;
    enum eh_status (*parse)(struct parser *parser);
    bool again; /* may come more than once */
};

static const struct header headers[] = {
    {"title", parse_title, false},      {"about", parse_about, true},
    {"style", parse_style, false},      {"tempo", parse_tempo, false},
    {"metre", parse_metre_line, false},
};

enum { HEADER_COUNT = (int)(sizeof headers / sizeof headers[0]) };

static const char *nearest_name(const char *word) {
    const char *nearest = NULL;
    int least = NEAR + 1;
    for (int i = 0; i < HEADER_COUNT; i++) {
        const int distance = eh_text_distance(word, headers[i].name);
        if (distance < least) {
            least = distance;
            nearest = headers[i].name;
        }
    }
    return nearest;
}

static enum eh_status unknown_header(const struct parser *parser, struct score_place place,
                                     const char *word) {
    const char *nearest = nearest_name(word);
    return eh_fail_at(parser->error, EH_BAD_SYNTAX, place.line, place.column,
                      "expected title, about, style, tempo, metre or music, found '%s:'%s%s%s",
                      word, nearest == NULL ? "" : " (did you mean ",
                      nearest == NULL ? "" : nearest, nearest == NULL ? "" : "?)");
}

static enum eh_status parse_value(struct parser *parser, const char *word,
                                  struct score_place place) {
    for (int i = 0; i < HEADER_COUNT; i++) {
        if (strcmp(word, headers[i].name) != 0) {
            continue;
        }
        if (!headers[i].again && (parser->seen & (1u << i)) != 0) {
            return eh_fail_at(parser->error, EH_BAD_SYNTAX, place.line, place.column,
                              "expected %s: once, found it again", word);
        }
        parser->seen |= 1u << i;
        scan_blanks(&parser->scan);
        return headers[i].parse(parser);
    }
    return unknown_header(parser, place, word);
}

/* Steps over "word:" (not "word :|") and tells the word; else stays where it is. */
static bool take_header_name(struct scan *scan, char word[SCAN_WORD]) {
    const struct scan here = *scan;
    scan_word(scan, word);
    scan_blanks(scan);
    if (word[0] != '\0' && scan_take(scan, ':') && scan->c != '|') {
        return true;
    }
    *scan = here;
    return false;
}

/* head = { header-line } ; header-line = ( title | about | style | tempo | metre-line ) end-of-line
 * ; */
enum eh_status parse_head(struct parser *parser) {
    char word[SCAN_WORD];
    scan_space(&parser->scan);
    struct score_place place = parser->scan.place;
    while (take_header_name(&parser->scan, word)) {
        const enum eh_status status = parse_value(parser, word, place);
        if (status != EH_OK) {
            return status;
        }
        scan_blanks(&parser->scan);
        if (parser->scan.c != '\n' && parser->scan.c != SCAN_END && parser->scan.c != '#') {
            return expected(parser, "the end of the line");
        }
        scan_space(&parser->scan);
        place = parser->scan.place;
    }
    return EH_OK;
}
