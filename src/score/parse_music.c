/* Bars and what stands in them. */
#include <string.h>

#include "evenhand/exercise_text.h"
#include "parse.h"

/* A rule that begins here; what it expects, for the message. */
static const char any_item[] =
    "a note (R or L), a rest -, a hold _, a note value such as 16:, a group such as 3[, a dynamic "
    "(ppp to fff), cresc, dim, end or a bar line";

static enum eh_status expected(const struct parser *parser, const char *what) {
    return scan_expected(&parser->scan, parser->error, what);
}

static enum eh_status wrong(const struct parser *parser, struct score_place place,
                            const char *text) {
    return eh_fail_at(parser->error, EH_BAD_SYNTAX, place.line, place.column, "%s", text);
}

static enum eh_status need_value(const struct parser *parser) {
    return parser->valued ? EH_OK
                          : expected(parser, "a note value such as 16: before the first note");
}

/* Where something missing is reported: at the end of the text, directly behind what came last. */
static struct score_place closing_place(const struct parser *parser) {
    return parser->scan.c == SCAN_END ? parser->scan.behind : parser->scan.place;
}

/* roll = "z" | "/" { "/" } ; */
static enum eh_status parse_roll(struct parser *parser, struct score_note *note) {
    if (note->buzz || note->slashes > 0) {
        return expected(parser, "one kind of roll on a note");
    }
    note->buzz = scan_take(&parser->scan, 'z');
    while (!note->buzz && parser->scan.c == '/') {
        if (note->slashes == SCORE_SLASHES_MAX) {
            return expected(parser, "at most five slashes");
        }
        scan_next(&parser->scan);
        note->slashes++;
    }
    return EH_OK;
}

/* accent = ">" | "^" ; */
static enum eh_status parse_accent(struct parser *parser, struct score_note *note) {
    if (note->accent != 0) {
        return expected(parser, "one accent on a note");
    }
    note->accent = parser->scan.c == '^' ? 2 : 1;
    scan_next(&parser->scan);
    return EH_OK;
}

/* grace = "r" | "l" ; graces = { grace } */
static enum eh_status parse_graces(struct parser *parser, struct score_note *note) {
    const struct score_place place = parser->scan.place;
    while (parser->scan.c == 'r' || parser->scan.c == 'l') {
        if (note->grace_count == EH_EXERCISE_GRACES_MAX) {
            return eh_fail_at(parser->error, EH_TOO_LARGE, place.line, place.column,
                              "expected at most %d grace notes before a note, found more",
                              EH_EXERCISE_GRACES_MAX);
        }
        const unsigned bit = parser->scan.c == 'r' ? 1u << note->grace_count : 0;
        note->grace_hands = (uint8_t)(note->grace_hands | bit);
        note->grace_count++;
        scan_next(&parser->scan);
    }
    return EH_OK;
}

/* note = { grace } ( "R" | "L" ) { accent | roll } ; each of the two at most once */
static enum eh_status parse_note(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    struct score_note note = {0};
    enum eh_status status = need_value(parser);
    if (status == EH_OK) {
        status = parse_graces(parser, &note);
    }
    if (status == EH_OK && parser->scan.c != 'R' && parser->scan.c != 'L') {
        status = expected(parser, "the main note (R or L) after its grace notes");
    }
    note.hand = parser->scan.c == 'R' ? EH_HAND_RIGHT : EH_HAND_LEFT;
    scan_next(&parser->scan);
    while (status == EH_OK) {
        if (parser->scan.c == '>' || parser->scan.c == '^') {
            status = parse_accent(parser, &note);
        } else if (parser->scan.c == 'z' || parser->scan.c == '/') {
            status = parse_roll(parser, &note);
        } else {
            return score_add_note(&parser->builder, parser->length, &note, place);
        }
    }
    return status;
}

/* rest = "-" ; hold = "_" ; */
static enum eh_status parse_rest_or_hold(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    const enum eh_status status = need_value(parser);
    if (status != EH_OK) {
        return status;
    }
    const bool rest = parser->scan.c == '-';
    scan_next(&parser->scan);
    return rest ? score_add_rest(&parser->builder, parser->length, place)
                : score_add_hold(&parser->builder, parser->length, place);
}

/* value = ( "1" | "2" | "4" | "8" | "16" | "32" | "64" | "128" ) [ "." [ "." ] ] ":" ; the number
 * has been read */
static enum eh_status parse_value(struct parser *parser, int number, struct score_place place) {
    struct score_length length = {0};
    while (length.value < SCORE_VALUE_LAST && 1 << length.value != number) {
        length.value++;
    }
    if (1 << length.value != number) {
        return eh_fail_at(parser->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected a note value of 1, 2, 4, 8, 16, 32, 64 or 128, found %d",
                          number);
    }
    while (length.dots < SCORE_DOTS_MAX && scan_take(&parser->scan, '.')) {
        length.dots++;
    }
    if (!scan_take(&parser->scan, ':')) {
        return expected(parser, "a colon after the note value");
    }
    parser->length = length;
    parser->valued = true;
    return EH_OK;
}

/* group = number [ "in" number ] "[" ... ; the number has been read */
static enum eh_status parse_group(struct parser *parser, int actual, struct score_place place) {
    int normal = score_usual_normal(actual);
    if (scan_take(&parser->scan, 'i')) {
        if (!scan_take(&parser->scan, 'n') || !scan_is_digit(parser->scan.c)) {
            return expected(parser, "in and a number, as in 7in8[");
        }
        normal = scan_number(&parser->scan);
    }
    if (parser->scan.c != '[') {
        return expected(parser, "[ to open the group");
    }
    if (normal == 0) {
        return eh_fail_at(parser->error, EH_BAD_SYNTAX, place.line, place.column,
                          "expected a group of 2 to 10, or one that says in the time of how many, "
                          "as in 12in8[, found %d",
                          actual);
    }
    scan_next(&parser->scan);
    return score_group_begin(&parser->builder, actual, normal, place);
}

/* ... { item } "]" ; */
static enum eh_status parse_group_end(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    scan_next(&parser->scan);
    return score_group_end(&parser->builder, place);
}

/* ending = "1st" | "2nd" | "3rd" | "4th" ... "9th" ; the number has been read */
static enum eh_status parse_ending(struct parser *parser, int number, struct score_place place) {
    const struct scan here = parser->scan;
    char word[SCAN_WORD];
    scan_word(&parser->scan, word);
    const char *ordinal = number == 1 ? "st" : number == 2 ? "nd" : number == 3 ? "rd" : "th";
    if (strcmp(word, ordinal) != 0) {
        return scan_expected(&here, parser->error,
                             "a number to be followed by : (a note value), [ or in (a group), / (a "
                             "metre) or st, nd, rd, th (an ending)");
    }
    return score_bar_ending(&parser->builder, number, place);
}

static bool bar_is_fresh(const struct parser *parser) {
    return parser->builder.at == 0 && parser->builder.depth == 0;
}

static enum eh_status only_at_start(const struct parser *parser, struct score_place place,
                                    const char *what) {
    return bar_is_fresh(parser)
               ? EH_OK
               : eh_fail_at(parser->error, EH_BAD_SYNTAX, place.line, place.column,
                            "expected %s before the first note of a bar, found it after", what);
}

/* value | group | metre | ending: all begin with a number */
static enum eh_status parse_numbered(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    const int number = scan_number(&parser->scan);
    enum eh_status status = EH_OK;
    switch (parser->scan.c) {
    case ':':
    case '.':
        return parse_value(parser, number, place);
    case '[':
    case 'i':
        return parse_group(parser, number, place);
    case '/':
        status = only_at_start(parser, place, "a metre");
        return status == EH_OK ? parse_metre(parser, number, place) : status;
    default:
        status = parse_ending(parser, number, place);
        return status == EH_OK ? only_at_start(parser, place, "an ending") : status;
    }
}

static int mark_of(const char *word) {
    static const char *const swells[] = {"cresc", "dim", "end"};
    for (int mark = 0; mark < EH_DYNAMIC_COUNT; mark++) {
        if (strcmp(word, eh_dynamic_text((enum eh_dynamic)mark)) == 0) {
            return mark;
        }
    }
    for (int i = 0; i < 3; i++) {
        if (strcmp(word, swells[i]) == 0) {
            return SCORE_CRESC + i;
        }
    }
    return -1;
}

/* mark = dynamic | "cresc" | "dim" | "end" ; short = "pickup" | "short" ; */
static enum eh_status parse_word(struct parser *parser) {
    const struct scan here = parser->scan;
    char word[SCAN_WORD];
    scan_word(&parser->scan, word);
    if (strcmp(word, "pickup") == 0 || strcmp(word, "short") == 0) {
        score_bar_short(&parser->builder);
        return only_at_start(parser, here.place, word);
    }
    const int mark = mark_of(word);
    return mark < 0 ? scan_expected(&here, parser->error, any_item)
                    : score_add_mark(&parser->builder, mark, here.place);
}

/* item = value | group | note | rest | hold | mark ; opening = metre | short | ending ; */
static enum eh_status parse_item(struct parser *parser) {
    const uint32_t c = parser->scan.c;
    if (scan_is_digit(c)) {
        return parse_numbered(parser);
    }
    switch (c) {
    case 'R':
    case 'L':
    case 'r':
    case 'l':
        return parse_note(parser);
    case '-':
    case '_':
        return parse_rest_or_hold(parser);
    case ']':
        return parse_group_end(parser);
    default:
        return scan_is_letter(c) ? parse_word(parser) : expected(parser, any_item);
    }
}

static bool at_bar_line(const struct parser *parser) {
    return parser->scan.c == '|' || parser->scan.c == ':' || parser->scan.c == SCAN_END;
}

/* bar = { opening | mark | value } item { item } ; */
static enum eh_status parse_bar(struct parser *parser, bool repeat_from) {
    enum eh_status status = score_bar_begin(&parser->builder, parser->scan.place);
    if (status == EH_OK && repeat_from) {
        score_bar_repeat_from(&parser->builder);
    }
    while (status == EH_OK && !at_bar_line(parser)) {
        status = parse_item(parser);
        scan_space(&parser->scan);
    }
    return status == EH_OK ? score_bar_end(&parser->builder, closing_place(parser)) : status;
}

/* repeat-back = ":|" [ "x" number ] ; */
static enum eh_status parse_repeat_back(struct parser *parser) {
    const struct score_place place = parser->scan.place;
    scan_next(&parser->scan);
    if (!scan_take(&parser->scan, '|')) {
        return expected(parser, "| after the colon of a repeat sign");
    }
    if (parser->builder.exercise->bar_count == 0) {
        return wrong(parser, place, "expected a bar before the repeat sign, found none");
    }
    int times = 2;
    if (scan_take(&parser->scan, 'x')) {
        if (!scan_is_digit(parser->scan.c)) {
            return expected(parser, "a number of times after x");
        }
        times = scan_number(&parser->scan);
    }
    return score_bar_repeat_back(&parser->builder, times, place);
}

/* bar-line = sign { sign } ; sign = "|" | "|:" | repeat-back | ":|:" ; */
static enum eh_status parse_bar_line(struct parser *parser, bool *out_from) {
    enum eh_status status = EH_OK;
    *out_from = false;
    scan_space(&parser->scan);
    while (status == EH_OK && (parser->scan.c == '|' || parser->scan.c == ':')) {
        if (parser->scan.c == ':') {
            status = parse_repeat_back(parser);
        } else {
            scan_next(&parser->scan);
        }
        *out_from = scan_take(&parser->scan, ':') || *out_from;
        scan_space(&parser->scan);
    }
    return status;
}

/* music = [ bar-line ] bar { bar-line bar } [ bar-line ] ; */
enum eh_status parse_music(struct parser *parser) {
    bool from = false;
    enum eh_status status = parse_bar_line(parser, &from);
    while (status == EH_OK && parser->scan.c != SCAN_END) {
        status = parse_bar(parser, from);
        from = false;
        if (status == EH_OK) {
            status = parse_bar_line(parser, &from);
        }
    }
    if (status == EH_OK && from) {
        return expected(parser, "a bar after |:");
    }
    return status;
}
