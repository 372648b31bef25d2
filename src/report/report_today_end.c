/* A pass, and what had failed before beside what it is now. */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/report_today.h"
#include "number.h"
#include "paper.h"
#include "phrase.h"
#include "today.h"

/* "0.62 of the span, 0.59 to 0.66"; exact counts have no interval. */
static void add_number(struct eh_text *text, const struct eh_finding *f) {
    eh_text_add(text, report_measure(f, f->value).text);
    if (report_known(f->value) && f->low < f->high) {
        eh_text_printf(text, ", %s to %s", report_bare(f, f->low).text,
                       report_bare(f, f->high).text);
    }
}

static void add_finding(struct eh_text *text, const struct eh_finding *f) {
    eh_text_printf(text, "%s: ", report_verdict(f).text);
    add_number(text, f);
    eh_text_printf(text, " (n=%" PRIu32 ")", f->n);
}

enum eh_status eh_report_today_pass(const struct eh_agenda_item *item, int32_t pass,
                                    const struct eh_judgement *judgement,
                                    const struct eh_report_look *look, struct eh_text *out) {
    struct eh_text text = {0};
    const struct eh_finding *f =
        item->shown > 0
            ? eh_agenda_answer(&item->found, judgement->findings, judgement->finding_count)
            : NULL;
    const struct report_paper paper = report_paper(look, out);
    eh_text_printf(&text, "   pass %" PRId32 "  ", pass);
    if (f != NULL) {
        add_finding(&text, f);
    } else {
        char headline[EH_REPORT_HEADLINE];
        eh_report_headline(judgement, headline, sizeof headline);
        eh_text_add(&text, headline);
    }
    report_line(&paper, eh_text_string(&text));
    out->failed |= text.failed;
    eh_text_deinit(&text);
    return eh_text_status(out);
}

static const char *standing_word(enum eh_standing standing) {
    switch (standing) {
    case EH_STANDS_INSIDE:
        return "fine";
    case EH_STANDS_BELOW:
    case EH_STANDS_ABOVE:
        return "still fails";
    case EH_STANDS_FEW:
        return "unclear, too few strokes";
    case EH_STANDS_WIDE:
    case EH_STANDS_STRADDLES:
        break;
    }
    return "unclear";
}

static const char *plural(uint32_t n) {
    return n == 1 ? "" : "es";
}

/* NOW's numbers in the words of what was FOUND before. */
static struct eh_finding now_finding(const struct eh_finding *found, const struct eh_pool *pool) {
    struct eh_finding f = *found;
    const struct eh_estimate e = eh_pool_estimate(pool, &f.limit_low, &f.limit_high);
    f.value = e.value;
    f.low = e.low;
    f.high = e.high;
    f.n = (uint32_t)e.n;
    if (pool->unit[0] != '\0') {
        memcpy(f.unit, pool->unit, sizeof f.unit);
    }
    return f;
}

static void add_now(struct eh_text *text, const struct eh_agenda_item *item,
                    const struct eh_today_piece *piece, const struct eh_today_now *now) {
    if (now->passes == 0) {
        eh_text_add(text, "not played to an answer");
        return;
    }
    if (now->pool.passes == 0) {
        eh_text_add(text, "not measured");
    } else {
        const struct eh_finding f = now_finding(&item->found, &now->pool);
        add_number(text, &f);
        eh_text_printf(text, ": %s",
                       standing_word(eh_pool_stands(&now->pool, (enum eh_aspect)item->found.aspect,
                                                    piece->least_n)));
    }
    eh_text_printf(text, " (%s%" PRIu32 " pass%s at %s, n=%" PRIu32 ")",
                   now->both ? "both hands, " : "", now->passes, plural(now->passes),
                   today_tempo(item->bpm).text, now->pool.n);
}

static void add_item(const struct report_paper *paper, const struct eh_agenda *agenda,
                     const struct eh_today_piece *pieces, const struct eh_today_now *now,
                     size_t number) {
    const struct eh_agenda_item *item = &agenda->items[number];
    const struct eh_today_piece *piece = &pieces[item->piece];
    struct eh_text head = {0};
    struct eh_text before = {0};
    struct eh_text after = {0};
    char lead[8];
    (void)snprintf(lead, sizeof lead, "%-3.3s", today_mark(agenda, number).text);
    eh_text_printf(&head, "%s, %s: %s", piece->exercise, today_bars(item, piece, " to ").text,
                   report_verdict(&item->found).text);
    const struct report_phrase limit = report_limit(&item->found);
    if (limit.text[0] != '\0' && item->found.low < item->found.high) {
        eh_text_printf(&head, " (fine: %s)", limit.text);
    }
    report_wrap(paper, lead, eh_text_string(&head));
    add_number(&before, &item->found);
    eh_text_printf(&before, " (runs at %s, n=%" PRIu32 ")",
                   today_range(item->shown_low_bpm, item->shown_high_bpm).text, item->found.n);
    report_wrap(paper, "     before  ", eh_text_string(&before));
    add_now(&after, item, piece, &now[number]);
    report_wrap(paper, "     now     ", eh_text_string(&after));
    paper->out->failed |= head.failed || before.failed || after.failed;
    eh_text_deinit(&head);
    eh_text_deinit(&before);
    eh_text_deinit(&after);
}

enum eh_status eh_report_today_end(const struct eh_agenda *agenda,
                                   const struct eh_today_piece *pieces,
                                   const struct eh_today_now *now,
                                   const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    bool any = false;
    for (size_t i = 0; i < agenda->item_count; i++) {
        if (agenda->items[i].shown == 0) {
            continue;
        }
        if (!any) {
            report_heading(&paper, "What had failed, before and now");
        }
        any = true;
        add_item(&paper, agenda, pieces, now, i);
    }
    if (!any) {
        eh_text_add_char(out, '\n');
        report_line(&paper, "Nothing in this plan had failed before.");
    }
    return eh_text_status(out);
}
