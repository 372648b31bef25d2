/* Silent bars as text: what is asked for, and what is kept with a run. */
#include <string.h>

#include "evenhand/silent.h"

enum { BAR_MOST = 10000000 };

/* Digits; -1: none, or far too many. */
static int32_t read_number(const char **text) {
    const char *p = *text;
    int32_t number = 0;
    while (*p >= '0' && *p <= '9' && number < BAR_MOST) {
        number = number * 10 + (*p++ - '0');
    }
    const bool read = p > *text && number < BAR_MOST;
    *text = p;
    return read ? number : -1;
}

struct range {
    int32_t first, last;
};

/* "4" or "3-8", up to a comma or the end. */
static bool read_range(const char **text, struct range *out) {
    out->first = read_number(text);
    out->last = out->first;
    if (**text == '-') {
        (*text)++;
        out->last = read_number(text);
    }
    return out->first >= 0 && out->last >= 0 && (**text == ',' || **text == '\0');
}

static enum eh_status read_bars(struct eh_silent_ask *out, const char *text,
                                struct eh_error *error) {
    for (const char *p = text;;) {
        struct range range;
        if (!read_range(&p, &range)) {
            return eh_fail(error, EH_BAD_SYNTAX,
                           "\"%.60s\" is no pattern of silent bars; there are every-other, growing "
                           "and bars of your own such as 3-4,7-8",
                           text);
        }
        if (range.first < 1 || range.last < range.first) {
            return eh_fail(error, EH_OUT_OF_RANGE,
                           "\"%d-%d\" are no bars: they count from 1, the lower number first",
                           (int)range.first, (int)range.last);
        }
        if (out->range_count == EH_SILENT_RANGES_MAX) {
            return eh_fail(error, EH_OUT_OF_RANGE, "at most %d places with silent bars",
                           EH_SILENT_RANGES_MAX);
        }
        out->ranges[out->range_count].first = range.first;
        out->ranges[out->range_count++].last = range.last;
        if (*p == '\0') {
            return EH_OK;
        }
        p++;
    }
}

enum eh_status eh_silent_read(struct eh_silent_ask *out_ask, const char *text,
                              struct eh_error *error) {
    *out_ask = (struct eh_silent_ask){.kind = EH_SILENT_BARS};
    if (strcmp(text, "every-other") == 0) {
        out_ask->kind = EH_SILENT_EVERY_OTHER;
        return EH_OK;
    }
    if (strcmp(text, "growing") == 0) {
        out_ask->kind = EH_SILENT_GROWING;
        return EH_OK;
    }
    return read_bars(out_ask, text, error);
}

void eh_silent_print(const bool *silent, size_t count, struct eh_text *out) {
    const char *comma = "";
    for (size_t i = 0; i < count; i++) {
        size_t last = i;
        if (!silent[i]) {
            continue;
        }
        while (last + 1 < count && silent[last + 1]) {
            last++;
        }
        eh_text_printf(out, "%s%zu", comma, i + 1);
        if (last > i) {
            eh_text_printf(out, "-%zu", last + 1);
        }
        comma = ",";
        i = last;
    }
}

enum eh_status eh_silent_parse(const char *text, bool *silent, size_t count,
                               struct eh_error *error) {
    memset(silent, 0, count * sizeof *silent);
    for (const char *p = text; *p != '\0';) {
        struct range range;
        if (!read_range(&p, &range) || range.first < 1 || range.last < range.first) {
            return eh_fail(error, EH_DAMAGED, "\"%.60s\" names no silent bars", text);
        }
        for (int32_t bar = range.first; bar <= range.last && (size_t)bar <= count; bar++) {
            silent[bar - 1] = true;
        }
        p += *p == ',';
    }
    return EH_OK;
}
