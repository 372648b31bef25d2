#include "evenhand/report.h"

#include <stdio.h>
#include <string.h>

#include "phrase.h"
#include "rank.h"

/* The longest headline in characters. */
static const size_t longest = EH_REPORT_HEADLINE - 1;

/* A fault in the fewest words that still bear its number. */
static struct report_phrase short_fault(const struct eh_judgement *judgement,
                                        const struct eh_finding *f) {
    struct report_phrase phrase;
    if (f->aspect == EH_ASPECT_MISSED) {
        (void)snprintf(phrase.text, sizeof phrase.text, "%u missed", (unsigned)judgement->missed);
    } else if (f->aspect == EH_ASPECT_EXTRA) {
        (void)snprintf(phrase.text, sizeof phrase.text, "%u extra", (unsigned)judgement->extra);
    } else {
        const bool share = strcmp(f->unit, "share") == 0;
        (void)snprintf(phrase.text, sizeof phrase.text, "%.60s %.30s", report_verdict(f).text,
                       share ? report_bare(f, f->value).text : report_measure(f, f->value).text);
    }
    return phrase;
}

static void nothing_to_do(const struct eh_judgement *judgement, char line[REPORT_PHRASE]) {
    const struct eh_report_tally tally = eh_report_tally(judgement);
    const int length =
        snprintf(line, REPORT_PHRASE, "no fault in %zu strokes", judgement->plan.due_count);
    if (tally.unclear > 0) {
        (void)snprintf(line + length, REPORT_PHRASE - (size_t)length, "; %u of %u unclear",
                       (unsigned)tally.unclear, (unsigned)(tally.unclear + tally.fine));
    }
}

/* As many faults as fit, the weightiest first; "+2" for those that do not. */
static void list_faults(const struct eh_judgement *judgement, const size_t *order, size_t count,
                        char line[REPORT_PHRASE]) {
    size_t length = 0;
    line[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        const struct report_phrase phrase = short_fault(judgement, &judgement->findings[order[i]]);
        const size_t more = strlen(phrase.text) + (i > 0 ? 2 : 0);
        const size_t kept_free = i + 1 < count ? strlen("; +48") : 0;
        if (length + more + kept_free > longest && i > 0) {
            (void)snprintf(line + length, REPORT_PHRASE - length, "; +%zu", count - i);
            return;
        }
        length += (size_t)snprintf(line + length, REPORT_PHRASE - length, "%s%s", i > 0 ? "; " : "",
                                   phrase.text);
    }
}

void eh_report_headline(const struct eh_judgement *judgement, char *out, size_t size) {
    size_t order[EH_FINDINGS_MAX];
    const size_t count = report_order(judgement, EH_FAULT_YES, order);
    char line[REPORT_PHRASE];
    if (count == 0) {
        nothing_to_do(judgement, line);
    } else {
        list_faults(judgement, order, count, line);
    }
    if (size > 0) {
        (void)snprintf(out, size, "%.60s", line);
    }
}
