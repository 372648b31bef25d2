#include "evenhand/care.h"

#include <string.h>

enum { NUMBERS = 4 };

/* The end of the year 9999: beyond it there is only damage. */
static const int64_t utc_most_s = 253402300799;

static const char *const words[NUMBERS] = {"day ", " since ", " last ", " told "};

static bool is_new_session(const struct eh_care *care, int64_t utc_s) {
    const int64_t gap_s = utc_s - care->last_utc_s;
    return care->since_utc_s == 0 || gap_s >= EH_CARE_BREAK_S || gap_s <= -EH_CARE_BREAK_S;
}

struct eh_care_notice eh_care_begin(struct eh_care *care, int64_t utc_s, int64_t day) {
    struct eh_care_notice notice = {.day = day != care->shown_day};
    care->shown_day = day;
    if (is_new_session(care, utc_s)) {
        care->since_utc_s = utc_s;
        care->told_utc_s = utc_s;
    }
    care->last_utc_s = utc_s;
    if (utc_s - care->told_utc_s >= EH_CARE_LONG_S) {
        notice.minutes = (utc_s - care->since_utc_s) / 60;
        care->told_utc_s = utc_s;
    }
    return notice;
}

void eh_care_end(struct eh_care *care, int64_t utc_s) {
    care->last_utc_s = utc_s;
}

void eh_care_print(const struct eh_care *care, struct eh_text *out) {
    const int64_t numbers[NUMBERS] = {care->shown_day, care->since_utc_s, care->last_utc_s,
                                      care->told_utc_s};
    for (int i = 0; i < NUMBERS; i++) {
        eh_text_printf(out, "%s%lld", words[i], (long long)numbers[i]);
    }
}

/* What follows the number at TEXT; NULL where there is none that can be. */
static const char *read_number(const char *text, int64_t *out) {
    const char *at = text;
    int64_t number = 0;
    while (*at >= '0' && *at <= '9' && number <= utc_most_s) {
        number = number * 10 + (*at++ - '0');
    }
    *out = number;
    return at > text && number <= utc_most_s ? at : NULL;
}

bool eh_care_read(struct eh_care *out, const char *text) {
    int64_t numbers[NUMBERS];
    *out = (struct eh_care){0};
    for (int i = 0; i < NUMBERS; i++) {
        const size_t length = strlen(words[i]);
        if (strncmp(text, words[i], length) != 0) {
            return false;
        }
        text = read_number(text + length, &numbers[i]);
        if (text == NULL) {
            return false;
        }
    }
    if (*text != '\0') {
        return false;
    }
    *out = (struct eh_care){.shown_day = numbers[0],
                            .since_utc_s = numbers[1],
                            .last_utc_s = numbers[2],
                            .told_utc_s = numbers[3]};
    return true;
}
