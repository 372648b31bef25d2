/* What stands above the bars of an exercise, and the signs explained below them. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "show.h"

struct tally {
    size_t main, right, left, doubles, buzzes, graces, accents;
};

static struct tally count_strokes(const struct eh_exercise *exercise) {
    struct tally tally = {0};
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        const struct eh_stroke *stroke = &strokes[i];
        tally.accents += stroke->accent > 0;
        tally.doubles += stroke->kind == EH_KIND_SECOND;
        tally.buzzes += stroke->kind == EH_KIND_BUZZ;
        if (stroke->kind == EH_KIND_GRACE) {
            tally.graces++;
            continue;
        }
        tally.main++;
        tally.right += stroke->hand == EH_HAND_RIGHT;
        tally.left += stroke->hand == EH_HAND_LEFT;
    }
    return tally;
}

/* "3 doubles", and nothing for none. */
static void add_some(struct eh_text *text, size_t count, const char *one, const char *many) {
    if (count > 0) {
        eh_text_printf(text, ", %zu %s", count, count == 1 ? one : many);
    }
}

static void add_amount(struct eh_text *text, const struct eh_exercise *exercise) {
    const struct tally tally = count_strokes(exercise);
    size_t played = 0;
    (void)eh_exercise_bars(exercise, &played);
    const int written = eh_exercise_bar_count(exercise);
    eh_text_printf(text, "%d bar%s", written, written == 1 ? "" : "s");
    if (played != (size_t)written) {
        eh_text_printf(text, " (%zu played)", played);
    }
    eh_text_printf(text, ": %zu strokes, %zu right, %zu left", tally.main, tally.right, tally.left);
    add_some(text, tally.accents, "accent", "accents");
    add_some(text, tally.doubles, "double", "doubles");
    add_some(text, tally.buzzes, "buzz", "buzzes");
    add_some(text, tally.graces, "grace note", "grace notes");
}

/* A tempo has up to three decimals; they are written the same in every locale. */
static void add_tempo(struct eh_text *text, double bpm) {
    const long milli = lround(bpm * 1000.0);
    eh_text_printf(text, "%ld", milli / 1000);
    if (milli % 1000 != 0) {
        char digits[8];
        int length = snprintf(digits, sizeof digits, "%03d", (int)(milli % 1000));
        while (length > 1 && digits[length - 1] == '0') {
            digits[--length] = '\0';
        }
        eh_text_printf(text, ".%s", digits);
    }
}

/* At the tempo to start with; the tempo counts quarter notes. */
static void add_pace(struct eh_text *text, const struct eh_exercise *exercise) {
    const double start = eh_exercise_tempo_start(exercise);
    const double quarters = (double)eh_exercise_length(exercise) / (double)EH_TICKS_PER_QUARTER;
    const long seconds = lround(quarters * 60.0 / start);
    const char *style = eh_exercise_style(exercise);
    eh_text_printf(text, "%s%sstart at ", style, style[0] == '\0' ? "" : "; ");
    add_tempo(text, start);
    eh_text_add(text, ", aim at ");
    add_tempo(text, eh_exercise_tempo_goal(exercise));
    eh_text_printf(text, " quarter notes a minute; %ld:%02ld long at the start", seconds / 60,
                   seconds % 60);
}

void show_head(const struct report_paper *paper, const struct eh_exercise *exercise) {
    if (eh_exercise_title(exercise)[0] != '\0') {
        report_wrap(paper, "", eh_exercise_title(exercise));
    }
    if (eh_exercise_about(exercise)[0] != '\0') {
        report_wrap(paper, "", eh_exercise_about(exercise));
    }
    struct eh_text text = {0};
    add_pace(&text, exercise);
    report_wrap(paper, "", eh_text_string(&text));
    eh_text_deinit(&text);
    add_amount(&text, exercise);
    report_wrap(paper, "", eh_text_string(&text));
    paper->out->failed = paper->out->failed || text.failed;
    eh_text_deinit(&text);
}

/* Which signs were used. */
struct used {
    bool silent, rest, hold, flam, drag, diddle, many, press, roll, nameless, between;
};

static struct used look_through(const struct show_page *page) {
    struct used used = {.silent = false};
    const struct eh_reading_bar *last = &page->reading->bars[page->last_bar];
    for (size_t i = page->reading->bars[page->first_bar].first; i < last->first + last->count;
         i++) {
        const struct eh_reading_place *place = &page->reading->places[i];
        used.silent = used.silent || show_is_silent(place);
        used.rest = used.rest || (place->kind == EH_PLACE_REST);
        used.hold = used.hold || (place->kind == EH_PLACE_HOLD && place->strokes == 0);
        used.flam = used.flam || place->grace_count == 1;
        used.drag = used.drag || place->grace_count > 1;
        used.diddle = used.diddle || (place->strokes > 1 && place->strokes <= 4);
        used.many = used.many || place->strokes > 4;
        used.press = used.press || place->buzz;
        used.roll = used.roll || (place->roll != EH_READING_NO_ROLL && !place->buzz);
        used.between = used.between || strcmp(place->count, ".") == 0;
    }
    return used;
}

static void add_sign(struct eh_text *text, bool used, const char *words) {
    if (used) {
        eh_text_printf(text, "%s%s", text->length == 0 ? "" : "; ", words);
    }
}

void show_signs(const struct report_paper *paper, const struct show_page *page) {
    const struct used used = look_through(page);
    struct eh_text text = {0};
    add_sign(&text, used.silent, "(2) counted, not struck");
    add_sign(&text, used.rest, "- a rest");
    add_sign(&text, used.hold, "_ the note before goes on");
    add_sign(&text, used.between, ". a stroke between two counts");
    add_sign(&text, used.flam, "lR a flam");
    add_sign(&text, used.drag, "llR a drag: low grace notes before the stroke");
    add_sign(&text, used.diddle, "RR two even strokes in the time of one count");
    add_sign(&text, used.many, "R*8 eight even strokes");
    add_sign(&text, used.press, "Rz a press: the stick bounces on");
    add_sign(&text, used.roll, "\\_5_/ a roll and its number of strokes");
    add_sign(&text, used.roll || used.press, "motion: what the wrists do under it");
    if (text.length > 0) {
        eh_text_add_char(paper->out, '\n');
        report_wrap(paper, "Signs: ", eh_text_string(&text));
    }
    paper->out->failed = paper->out->failed || text.failed;
    eh_text_deinit(&text);
}
