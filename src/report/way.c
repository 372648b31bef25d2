#include "way.h"

#include "number.h"

static const char *course_words(enum eh_course_kind kind) {
    switch (kind) {
    case EH_COURSE_LATE_START:
        return "Came in late: not yet playing at";
    case EH_COURSE_STOP:
        return "Stopped at";
    case EH_COURSE_SKIP:
        return "Skipped to";
    case EH_COURSE_REPEAT:
        return "Went back to";
    }
    return "";
}

void report_way(const struct report_paper *paper, const struct eh_judgement *judgement) {
    const struct eh_plan *plan = &judgement->plan;
    if (judgement->course_count > 0) {
        report_heading(paper, "Where it left the written way");
    }
    for (size_t i = 0; i < judgement->course_count; i++) {
        const struct eh_course *course = &judgement->courses[i];
        const struct eh_stroke *stroke = eh_plan_stroke(plan, course->due);
        const double s = (double)(course->at_ns - judgement->start_ns) / (double)EH_NS_PER_S;
        struct eh_text text = {0};
        eh_text_printf(&text, "%s bar %d, beat %s", course_words((enum eh_course_kind)course->kind),
                       (int)stroke->bar, report_beat_fraction(stroke->in_bar).text);
        if (plan->passes > 1) {
            const uint32_t bar = plan->due[course->due].bar;
            eh_text_printf(&text, " of pass %d", (int)plan->bars[bar].pass + 1);
        }
        eh_text_printf(&text, " (%s s after the start).", report_fixed(s, 1).text);
        report_wrap(paper, "  - ", eh_text_string(&text));
        paper->out->failed |= text.failed;
        eh_text_deinit(&text);
    }
}
