/* What the program says: the judgement as a document for other programs, and as plain text for
 * the player.
 *
 * Everything is written onto an eh_text; nothing here prints. Text is plain ASCII but for what
 * people wrote themselves (titles, file names); control characters in those are replaced, so that
 * a file name cannot steer a terminal. No line is wider than asked for. Numbers do not depend on
 * the locale. All functions are pure and may be called from any thread; none of them takes
 * ownership of anything. */
#ifndef EVENHAND_REPORT_H
#define EVENHAND_REPORT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/contrast.h"
#include "evenhand/free_follow.h"
#include "evenhand/judgement.h"
#include "evenhand/reading.h"
#include "evenhand/status.h"
#include "evenhand/store.h"
#include "evenhand/text.h"

enum {
    EH_REPORT_WIDTH = 80,       /* columns, where nothing else was asked for */
    EH_REPORT_WIDTH_LEAST = 40, /* a narrower look is taken as this */
    EH_REPORT_HEADLINE = 61     /* 60 characters and the NUL */
};

/* How text is to look. A NULL look means 80 columns without colour. */
struct eh_report_look {
    int width;            /* columns; 0 = 80 */
    bool colour;          /* ANSI escapes for headings; they never carry a meaning of their own */
    int64_t played_utc_s; /* when the take was played, for the age of the pad's calibration;
                             0 = not known */
};

/* Appends the judgement as one JSON document in UTF-8, a newline at its end: what
 * docs/judgement.md describes and docs/judgement.schema.json checks. Bytes that are not UTF-8 are
 * written as U+FFFD. The same judgement gives the same bytes. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_json(const struct eh_judgement *judgement,
                                          struct eh_text *out);

/* Appends the end report: what to work on first, what later, what was fine, what is unclear and
 * why, where the player left the written way, a table by bar and by pass, totals, the practice
 * caution. LOOK may be NULL. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_judgement(const struct eh_judgement *judgement,
                                               const struct eh_report_look *look,
                                               struct eh_text *out);

/* Appends which pad it is and when it was calibrated, without a newline: 'pad "kit", calibrated
 * 2026-11-14 (12 days old)', 'pad "default", not calibrated'. PLAYED_UTC_S is what the age is
 * counted to, in seconds since 1970 UTC; 0: no age. */
void eh_report_pad(const struct eh_pad *pad, int64_t played_utc_s, struct eh_text *out);

/* Appends one short line on a bar that was just played, a newline at its end: its number and the
 * one or two things that stand out ("Bar 4    left seconds 0.61"), or that all strokes are there.
 * It reports, it does not judge: one bar is too little for a verdict. LOOK may be NULL. */
void eh_report_bar_line(const struct eh_bar_summary *bar, const struct eh_report_look *look,
                        struct eh_text *out);

/* Where there is no click: the same for BAR as far as it was heard, WHERE in the plan ("Bar 4    16
 * strokes heard, 97 to the quarter"). It says what came, not what did not: without a grid nobody
 * can know that before the end. LOOK may be NULL. */
void eh_report_heard_line(const struct eh_free_bar *bar, const struct eh_plan_bar *where,
                          const struct eh_report_look *look, struct eh_text *out);

/* Appends where the player is by now, without a newline: "63 hits so far; in bar 5, 97 to the
 * quarter". LOOK may be NULL. */
void eh_report_place(const struct eh_free_place *place, const struct eh_plan *plan, size_t hits,
                     const struct eh_report_look *look, struct eh_text *out);

/* Appends the beat as text, without a newline: LABEL (may be NULL), then one place a beat with the
 * sounding one as its number: ". 2 . .". All beats of a metre are equally wide, so that a terminal
 * may draw one over the other after a carriage return; without a terminal each is followed by a
 * newline instead. BEAT 1 .. BEATS, BEATS 1 .. 255. LOOK may be NULL. */
void eh_report_beat(const char *label, int beat, int beats, const struct eh_report_look *look,
                    struct eh_text *out);

/* Appends one take judged by two styles: what differs first, with the verdicts, limits and reasons
 * in two columns, then what is the same in short. FIRST and SECOND are judgements of one take by
 * one exercise; their styles have different names. LOOK may be NULL. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_compare(const struct eh_judgement *first,
                                             const struct eh_judgement *second,
                                             const struct eh_report_look *look,
                                             struct eh_text *out);

/* The same as one JSON document that holds both judgements' (docs/styles.md). Errors:
 * EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_compare_json(const struct eh_judgement *first,
                                                  const struct eh_judgement *second,
                                                  struct eh_text *out);

/* Two styles in turn: the answer, and what of it the contrast itself does not know. */
struct eh_contrast_run {
    int64_t number; /* in the history; 0: not kept */
    enum eh_contrast_level level;
};

struct eh_report_contrast {
    const struct eh_contrast *contrast;
    const struct eh_contrast_answer *answer;
    const char *title; /* of the exercise */
    int first_bar, last_bar;
    double bpm;
    const struct eh_contrast_run *runs; /* whole passes, in the order in which they were played */
    size_t run_count;
};

/* Appends what the next pass asks for, before its count-in, a blank line before it: "3 of 8:
 * concert. Accents 0.5 to 1.5 marks above the taps (1.5 to 4.5 dB)." LOOK may be NULL. */
void eh_report_contrast_ask(const struct eh_style *style, int number, int count,
                            const struct eh_report_look *look, struct eh_text *out);

/* Appends how high the accents of one pass were, in one line. LOOK may be NULL. */
void eh_report_contrast_pass(const struct eh_judgement *judgement,
                             const struct eh_report_look *look, struct eh_text *out);

/* Appends the answer: a table of both styles and their difference, and a sentence. LOOK may be
 * NULL. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_contrast(const struct eh_report_contrast *contrast,
                                              const struct eh_report_look *look,
                                              struct eh_text *out);

/* The same as a JSON document (docs/styles.md). Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_contrast_json(const struct eh_report_contrast *contrast,
                                                   struct eh_text *out);

/* How many findings ask for work, are fine, are unclear. */
struct eh_report_tally {
    uint32_t faults, fine, unclear;
};

struct eh_report_tally eh_report_tally(const struct eh_judgement *judgement);

/* The judgement in one line of at most 60 ASCII characters, for a list of runs: the weightiest
 * findings with their numbers ("left seconds late 0.61; 2 missed"). OUT holds SIZE bytes and is
 * always terminated; EH_REPORT_HEADLINE is enough for every headline. */
void eh_report_headline(const struct eh_judgement *judgement, char *out, size_t size);

/* Appends stored runs as a table in the order given, for `evenhand history`: number, local time
 * where it was played, exercise, tempo, how many findings ask for work and how many are unclear;
 * on a second line the style, the stored headline and what was odd about the run. "No runs yet."
 * for none. LOOK may be NULL. Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_history(const struct eh_run_row *rows, size_t count,
                                             const struct eh_report_look *look,
                                             struct eh_text *out);

/* Appends an exercise as it is read: title, what it trains, how much there is to play; then the
 * written bars from FIRST_BAR to LAST_BAR (from 1, both shown, both there), in lines of counts,
 * accents, hands, rolls with their hand motion, and levels, everything that happens at once in one
 * column; below, what the signs mean that were used. READING is EXERCISE's. A bar that fits into
 * no line is broken where a beat begins. More than 240 columns are taken as 240. LOOK may be NULL.
 * Errors: EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_report_exercise(const struct eh_exercise *exercise,
                                              const struct eh_reading *reading, int first_bar,
                                              int last_bar, const struct eh_report_look *look,
                                              struct eh_text *out);

/* Appends the practice caution by itself. LOOK may be NULL. */
void eh_report_caution(const struct eh_report_look *look, struct eh_text *out);

#endif
