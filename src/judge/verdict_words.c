/* The sentences of findings, number by number: the C library's formats follow the locale. */
#include "verdict.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct verdict_words verdict_say(struct eh_finding *f) {
    f->text[0] = '\0';
    return (struct verdict_words){f, 0};
}

void say(struct verdict_words *w, const char *text) {
    size_t room = EH_FINDING_TEXT - 1 - w->length;
    size_t length = strlen(text);
    length = length < room ? length : room;
    memcpy(w->finding->text + w->length, text, length);
    w->length += length;
    w->finding->text[w->length] = '\0';
}

void say_number(struct verdict_words *w, double value, int decimals) {
    static const double scales[] = {1.0, 10.0, 100.0, 1000.0};
    char buffer[48];
    if (!isfinite(value) || fabs(value) > 1e12) {
        say(w, "?");
        return;
    }
    long long scaled = llround(fabs(value) * scales[decimals]);
    long long unit = (long long)scales[decimals];
    const char *sign = value < 0.0 && scaled != 0 ? "-" : "";
    if (decimals == 0) {
        (void)snprintf(buffer, sizeof buffer, "%s%lld", sign, scaled);
    } else {
        (void)snprintf(buffer, sizeof buffer, "%s%lld.%0*lld", sign, scaled / unit, decimals,
                       scaled % unit);
    }
    say(w, buffer);
}

void say_count(struct verdict_words *w, uint32_t n, const char *one, const char *many) {
    char buffer[16];
    (void)snprintf(buffer, sizeof buffer, "%u ", (unsigned)n);
    say(w, buffer);
    say(w, n == 1 ? one : many);
}

void say_range(struct verdict_words *w, double low, double high, int decimals, const char *unit) {
    if (isnan(low)) {
        say(w, "up to ");
        say_number(w, high, decimals);
    } else if (isnan(high)) {
        say_number(w, low, decimals);
    } else {
        say_number(w, low, decimals);
        say(w, " to ");
        say_number(w, high, decimals);
    }
    if (unit[0] != '\0') {
        say(w, " ");
        say(w, unit);
    }
    if (isnan(high)) {
        say(w, " or more");
    }
}

void say_side(struct verdict_words *w, const char *both) {
    if (w->finding->side == EH_SIDE_BOTH) {
        say(w, both);
    } else {
        say(w, eh_side_text((enum eh_side)w->finding->side));
        say(w, " ");
    }
}

void say_basis(struct verdict_words *w, const char *one, const char *many) {
    const struct eh_finding *f = w->finding;
    say(w, " (");
    say_count(w, f->n, one, many);
    if (f->bar_count > 0) {
        say(w, f->bar_count == 1 ? "; most in bar" : "; most in bars");
    }
    for (uint32_t i = 0; i < f->bar_count; i++) {
        char buffer[16];
        (void)snprintf(buffer, sizeof buffer, "%s %d", i == 0 ? "" : ",", (int)f->bars[i]);
        say(w, buffer);
    }
    say(w, ")");
}

static void say_interval(struct verdict_words *w, int decimals, const char *unit) {
    say(w, "it may be anything from ");
    say_range(w, w->finding->low, w->finding->high, decimals, unit);
}

void say_whole(struct verdict_words *w, double whole, int decimals, const char *unit) {
    if (isfinite(whole)) {
        w->finding->of_bars = true;
        w->finding->whole = whole;
        say(w, "; over the whole run ");
        say_number(w, whole, decimals);
        say(w, unit);
    }
}

void say_pad(struct verdict_words *w, const struct eh_pad *pad) {
    say(w, pad->calibrated_utc_s == 0 ? "; levels not calibrated" : "");
}

void say_reason(struct verdict_words *w, enum verdict_reason reason, int decimals,
                const char *unit) {
    say(w, "; not clear: ");
    switch (reason) {
    case REASON_NONE:
        break;
    case REASON_FEW:
        say(w, "too few strokes to say");
        break;
    case REASON_WIDE:
    case REASON_STRADDLES:
        say_interval(w, decimals, unit);
        say(w, "; play it longer");
        break;
    case REASON_SATURATED:
        say(w, "over half of these hits are at the top of the pad's range; lower its sensitivity "
               "or choose a less steep velocity curve");
        break;
    case REASON_COARSE:
        say(w, "the clock of this take is coarser than the limit; use a smaller period of the "
               "MIDI or audio system");
        break;
    case REASON_HIDDEN:
        say(w, "the pad may have hidden soft strokes; shorten its retrigger or mask time");
        break;
    case REASON_FLOOR:
        say(w, "these strokes are as soft as the pad can report; lower its threshold or raise its "
               "sensitivity");
        break;
    }
}
