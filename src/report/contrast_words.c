#include "contrast_words.h"

#include <math.h>

const char *contrast_name(const struct eh_report_contrast *c, enum eh_contrast_level level) {
    return c->contrast->sides[level].style->name;
}

struct report_number contrast_marks(double db) {
    return report_fixed(db / EH_MARK_DB, 1);
}

static void say_higher(struct eh_text *out, const struct eh_report_contrast *c, const char *only) {
    const double d = c->answer->difference.value;
    eh_text_printf(out, "%s accents stand %s%s%s dB (%s marks) %s than %s ones",
                   contrast_name(c, EH_CONTRAST_HIGHER), d < 0.0 ? "" : only,
                   c->answer->at_least ? "at least " : "", report_fixed(fabs(d), 1).text,
                   contrast_marks(fabs(d)).text, d < 0.0 ? "lower" : "higher",
                   contrast_name(c, EH_CONTRAST_LOWER));
}

static void say_reason(struct eh_text *out, const struct eh_report_contrast *c) {
    const struct eh_estimate *d = &c->answer->difference;
    switch (c->answer->reason) {
    case EH_CONTRAST_DECIDED:
        break;
    case EH_CONTRAST_NO_PASS:
        eh_text_add(out, "one of the two styles has no whole pass with accents that could be "
                         "measured; play it to the end in both");
        break;
    case EH_CONTRAST_FEW:
        eh_text_add(out, "too few accents to say; ask for more rounds or more bars");
        break;
    case EH_CONTRAST_WIDE:
    case EH_CONTRAST_STRADDLES:
        eh_text_printf(out,
                       "the difference may be anything from %s to %s dB, where %s dB is the "
                       "least; more rounds would tell",
                       report_fixed(d->low, 1).text, report_fixed(d->high, 1).text,
                       report_fixed(c->contrast->least_db, 1).text);
        break;
    case EH_CONTRAST_TOP:
        eh_text_add(out, "over half of the accents stand at the top of the pad's range, and how "
                         "high they were is not known; play softer, or lower the pad's "
                         "sensitivity");
        break;
    }
}

void contrast_say(struct eh_text *out, const struct eh_report_contrast *c) {
    const struct report_number least = report_fixed(c->contrast->least_db, 1);
    switch (c->answer->verdict) {
    case EH_CONTRAST_THERE:
        eh_text_add(out, "The contrast is there: ");
        say_higher(out, c, "");
        eh_text_printf(out, "; %s dB is the least.", least.text);
        break;
    case EH_CONTRAST_SMALL:
        eh_text_add(out, "The contrast is too small: ");
        say_higher(out, c, "only ");
        eh_text_printf(out, ", all of the interval below %s dB.", least.text);
        break;
    case EH_CONTRAST_TURNED:
        eh_text_add(out, "The contrast is turned round: ");
        say_higher(out, c, "");
        eh_text_add_char(out, '.');
        break;
    case EH_CONTRAST_UNCLEAR:
        eh_text_add(out, "Whether the contrast is there is unclear: ");
        say_reason(out, c);
        eh_text_add_char(out, '.');
        break;
    }
}
