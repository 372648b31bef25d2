#include "evenhand/report_care.h"

#include "paper.h"

/* 85 dBA over 8 hours, half the time for each 3 dB more: NIOSH, Criteria for a Recommended
 * Standard: Occupational Noise Exposure, 1998 (publication number 98-126 from memory). Five minutes
 * in every half hour and the rest: common practice, no source. */
static const char day_text[] =
    "Warm up softly and slowly. Stop when something hurts, tingles or goes numb. Take five minutes "
    "off in every half hour. Keep headphones low: NIOSH recommends at most 85 dBA for 8 hours, and "
    "half the time for each 3 dB more. What doctors, audiologists and the rules where you live say "
    "comes first. (Once a day; sources: evenhand care)";

static const char break_text[] =
    " minutes without five minutes off. Put the sticks down for five, and the headphones; stop for "
    "today if something hurts. (Common practice; sources: evenhand care)";

void eh_report_care(const struct eh_care_notice *notice, const struct eh_report_look *look,
                    struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    if (notice->day) {
        report_heading(&paper, "Before you play");
        report_wrap(&paper, "", day_text);
    }
    if (notice->minutes > 0) {
        struct eh_text text = {0};
        eh_text_printf(&text, "%lld%s", (long long)notice->minutes, break_text);
        report_heading(&paper, "Time for a break");
        report_wrap(&paper, "", eh_text_string(&text));
        eh_text_deinit(&text);
    }
}

struct part {
    const char *heading;
    const char *lines[4]; /* up to the first NULL */
};

/* Azar 2020: the abstract's figures. WHO and ITU: from memory. The rehearsal: its abstract. */
static const struct part parts[] = {
    {"Take care",
     {"These are the usual cautions and no medical advice. What a doctor, physiotherapist or "
      "audiologist says to you, and the rules where you live, come first."}},
    {"Warm up",
     {"Begin softly and slowly; let speed and loudness grow over the first minutes. (common "
      "practice, no source)"}},
    {"Breaks",
     {"Take five minutes off in every half hour, before you are tired. Evenhand says so when 25 "
      "minutes have gone by without a pause of five; it counts that time for nothing else. (common "
      "practice, no source)"}},
    {"Pain",
     {"Stop when something hurts, tingles or goes numb; do not play through it. If it stays or "
      "comes back, see a doctor or physiotherapist.",
      "It is common: of 831 drum-set players, 68 in a hundred had had such trouble from "
      "playing at some time and 23 had it when asked. (Azar, Medical Problems of Performing "
      "Artists 35(3), 2020, "
      "153-161)"}},
    {"Hearing",
     {"Keep the click and headphones as low as lets you play; wear protection at a loud drum. If "
      "your ears ring or hearing is dull afterwards, it was too loud; if that stays, see a doctor "
      "or audiologist. Evenhand cannot measure what reaches your ears.",
      "At work NIOSH recommends at most 85 dBA over 8 hours, half the time for each 3 dB more: 88 "
      "dBA 4 h, 91 dBA 2 h, 94 dBA 1 h, 97 dBA 30 min, 100 dBA 15 min, 103 dBA 7.5 min. (Criteria "
      "for a Recommended Standard: Occupational Noise Exposure, 1998; number 98-126 from memory)",
      "For listening with personal devices WHO and ITU name 80 dBA over 40 hours a week, 75 dBA "
      "for children. (ITU-T H.870, from memory)",
      "A band's rehearsal reached 110 dBA. (NIOSH, Health Hazard Evaluation 2011-0129-3160, "
      "2012)"}},
};

void eh_report_care_page(const struct eh_report_look *look, struct eh_text *out) {
    const struct report_paper paper = report_paper(look, out);
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        report_heading(&paper, parts[i].heading);
        for (size_t k = 0; k < 4 && parts[i].lines[k] != NULL; k++) {
            report_wrap(&paper, "", parts[i].lines[k]);
        }
    }
}
