#include "start_option.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "options.h"

enum { BEAT_MAX = 1000, LONGEST = 32 };

/* "5/2" in ticks; exact or refused. */
static bool read_fraction(const char *text, const char *slash, eh_ticks *out_beat) {
    char above[LONGEST];
    (void)snprintf(above, sizeof above, "%.*s", (int)(slash - text), text);
    int64_t numerator = 0;
    int64_t denominator = 0;
    if (!options_read_integer(above, &numerator) ||
        !options_read_integer(slash + 1, &denominator) || denominator < 1 || numerator < 1 ||
        numerator > BEAT_MAX * denominator || denominator > EH_TICKS_PER_QUARTER) {
        return false;
    }
    const eh_ticks scaled = numerator * EH_TICKS_PER_QUARTER;
    *out_beat = scaled / denominator;
    return scaled % denominator == 0;
}

static bool read_decimal(const char *text, eh_ticks *out_beat) {
    double beat = 0;
    if (!options_read_number(text, &beat) || beat < 1 || beat > BEAT_MAX) {
        return false;
    }
    *out_beat = (eh_ticks)llround(beat * (double)EH_TICKS_PER_QUARTER);
    return true;
}

bool start_option_read(const char *text, struct start_option *out_start) {
    if (strlen(text) >= LONGEST) {
        return false;
    }
    const char *colon = strchr(text, ':');
    char bar[LONGEST];
    (void)snprintf(bar, sizeof bar, "%.*s", (int)(colon == NULL ? LONGEST : colon - text), text);
    int64_t number = 0;
    if (!options_read_integer(bar, &number) || number < 1 || number > START_BAR_MAX) {
        return false;
    }
    eh_ticks beat = EH_TICKS_PER_QUARTER;
    if (colon != NULL) {
        const char *slash = strchr(colon + 1, '/');
        if (!(slash == NULL ? read_decimal(colon + 1, &beat)
                            : read_fraction(colon + 1, slash, &beat))) {
            return false;
        }
    }
    *out_start = (struct start_option){(int)number, beat - EH_TICKS_PER_QUARTER};
    return out_start->into_bar >= 0;
}

bool start_option_place(const struct start_option *start, const struct eh_take *take,
                        eh_ticks *out_at) {
    const eh_ticks line = eh_take_bar_start(take, start->bar);
    const eh_ticks next = eh_take_bar_start(take, start->bar + 1);
    *out_at = line + start->into_bar;
    return *out_at < next;
}
