/* Which of several voices is played: the one with the most strokes; in a measure where it is not
 * written, the one with the most strokes there. */
#include <string.h>

#include "read.h"

static int strongest(const size_t strokes[MX_VOICES], int count) {
    int best = 0;
    for (int i = 1; i < count; i++) {
        best = strokes[i] > strokes[best] ? i : best;
    }
    return best;
}

struct survey {
    size_t strokes[MX_VOICES];
    bool written[MX_VOICES]; /* a rest at least */
};

static void survey_bar(const struct mx_reading *reading, const struct mx_bar *bar,
                       struct survey *out) {
    memset(out, 0, sizeof *out);
    for (size_t i = bar->first_note; i < bar->first_note + bar->note_count; i++) {
        const struct mx_note *note = &reading->rows.notes[i];
        out->written[note->voice] = true;
        out->strokes[note->voice] += !note->rest;
    }
}

static void choose_for_bar(struct mx_reading *reading, int index, int main_voice) {
    struct mx_bar *bar = &reading->rows.bars[index];
    struct survey survey;
    survey_bar(reading, bar, &survey);
    bar->voice = (uint8_t)main_voice;
    const int best = strongest(survey.strokes, reading->voice_count);
    if (!survey.written[main_voice] && survey.strokes[best] > 0) {
        bar->voice = (uint8_t)best;
        mx_remark(reading, index, bar->line, "voice %.20s is read where voice %.20s is not written",
                  reading->voices[best], reading->voices[main_voice]);
    }
    for (int voice = 0; voice < reading->voice_count; voice++) {
        if (voice != bar->voice && survey.strokes[voice] > 0) {
            mx_remark(reading, index, bar->line, "voice %.20s is left out: voice %.20s is read",
                      reading->voices[voice], reading->voices[bar->voice]);
        }
    }
}

/* A drum set's part, or a line for each hand: a pad is one drum. */
static void remark_instruments(struct mx_reading *reading) {
    const struct mx_rows *rows = &reading->rows;
    const struct mx_note *first = NULL;
    for (size_t i = 0; i < rows->note_count; i++) {
        const struct mx_note *note = &rows->notes[i];
        if (note->rest || note->voice != rows->bars[note->bar].voice) {
            continue;
        }
        first = first == NULL ? note : first;
        if (note->instrument != first->instrument) {
            mx_remark(reading, note->bar, note->line,
                      "notes of another instrument or on another line are read as strokes on the "
                      "same pad");
        }
    }
}

void mx_choose_voice(struct mx_reading *reading) {
    size_t strokes[MX_VOICES] = {0};
    for (size_t i = 0; i < reading->rows.note_count; i++) {
        strokes[reading->rows.notes[i].voice] += !reading->rows.notes[i].rest;
    }
    const int main_voice = strongest(strokes, reading->voice_count);
    for (size_t i = 0; i < reading->rows.bar_count; i++) {
        choose_for_bar(reading, (int)i, main_voice);
    }
    remark_instruments(reading);
}
