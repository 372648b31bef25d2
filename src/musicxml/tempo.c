/* Tempo marks, and what else a sound element says. */
#include <stdio.h>
#include <string.h>

#include "read.h"

enum { MILLIONTHS_A_MILLI = 1000 };

static bool is_playable(int64_t milli) {
    return milli >= (int64_t)EH_TEMPO_MIN * MX_MILLI && milli <= (int64_t)EH_TEMPO_MAX * MX_MILLI;
}

/* "92.5", the same in every locale. */
static const char *tempo_text(int64_t milli, char out[32]) {
    int length =
        snprintf(out, 32, "%lld.%03lld", (long long)milli / MX_MILLI, (long long)milli % MX_MILLI);
    while (length > 0 && out[length - 1] == '0') {
        out[--length] = '\0';
    }
    if (length > 0 && out[length - 1] == '.') {
        out[length - 1] = '\0';
    }
    return out;
}

/* The first tempo is the exercise's; the player chooses, and the click holds it. */
static void set_tempo(struct mx_cursor *cursor, int line, int64_t start, int64_t goal) {
    struct mx_reading *reading = cursor->reading;
    char text[32];
    if (!is_playable(start)) {
        mx_remark(reading, cursor->bar, line,
                  "a tempo of %s quarter notes a minute is not read: expected %d to %d",
                  tempo_text(start, text), (int)EH_TEMPO_MIN, (int)EH_TEMPO_MAX);
        return;
    }
    if (reading->tempo_start_milli == 0 && cursor->bar == 0 && cursor->raw == 0) {
        reading->tempo_start_milli = (int32_t)start;
        reading->tempo_goal_milli = (int32_t)(is_playable(goal) && goal > start ? goal : start);
    } else if (start != reading->tempo_start_milli) {
        mx_remark(reading, cursor->bar, line,
                  "a change to %s quarter notes a minute is not followed: the click keeps one "
                  "tempo",
                  tempo_text(start, text));
    }
}

/* The number that begins at *TEXT or behind; *TEXT then stands behind it. */
static bool next_number(const char **text, int64_t *out_millionths) {
    char number[XML_TEXT];
    const char *at = *text + strcspn(*text, "0123456789");
    const size_t length = strspn(at, "0123456789.");
    if (length == 0 || length >= sizeof number) {
        return false;
    }
    memcpy(number, at, length);
    number[length] = '\0';
    *text = at + length;
    return mx_read_millionths(number, out_millionths);
}

/* In thousandths of a quarter: an eighth is 500, a dotted quarter 1500; 0: no value of ours. */
static int64_t beat_milli(const struct xml_element *metronome) {
    static const char *const units[] = {"whole", "half", "quarter", "eighth", "16th", "32nd"};
    static const int millis[] = {4000, 2000, 1000, 500, 250, 125};
    char text[XML_TEXT];
    xml_text(xml_child(metronome, "beat-unit"), text);
    for (size_t i = 0; i < sizeof millis / sizeof millis[0]; i++) {
        if (strcmp(text, units[i]) == 0) {
            int64_t milli = millis[i];
            const struct xml_element *dot = xml_child(metronome, "beat-unit-dot");
            if (dot != NULL) {
                milli += millis[i] / 2;
                milli += xml_again(dot) != NULL ? millis[i] / 4 : 0;
            }
            return milli;
        }
    }
    return 0;
}

static int64_t quarters_milli(int64_t per_minute_millionths, int64_t beat) {
    const int64_t milli = (per_minute_millionths + MILLIONTHS_A_MILLI / 2) / MILLIONTHS_A_MILLI;
    return (milli * beat + MX_MILLI / 2) / MX_MILLI;
}

/* "120", "c. 120", "80-120": where to start and what to aim at. */
void mx_read_tempo_mark(struct mx_cursor *cursor, const struct xml_element *metronome) {
    char text[XML_TEXT];
    int64_t first = 0;
    int64_t second = 0;
    const int64_t beat = beat_milli(metronome);
    const char *at = xml_text(xml_child(metronome, "per-minute"), text);
    if (beat == 0 || !next_number(&at, &first)) {
        mx_remark(cursor->reading, cursor->bar, xml_line(metronome),
                  "a metronome mark without a number of beats a minute is not read");
        return;
    }
    if (!next_number(&at, &second)) {
        second = first;
    }
    set_tempo(cursor, xml_line(metronome), quarters_milli(first, beat),
              quarters_milli(second, beat));
}

void mx_read_sound(struct mx_cursor *cursor, const struct xml_element *sound) {
    static const char *const jumps[] = {"dacapo", "dalsegno", "segno", "coda", "tocoda", "fine"};
    char text[XML_TEXT];
    int64_t tempo = 0;
    xml_value(sound, "tempo", text);
    if (text[0] != '\0' && mx_read_millionths(text, &tempo)) {
        const int64_t milli = (tempo + MILLIONTHS_A_MILLI / 2) / MILLIONTHS_A_MILLI;
        set_tempo(cursor, xml_line(sound), milli, milli);
    }
    for (size_t i = 0; i < sizeof jumps / sizeof jumps[0]; i++) {
        if (xml_value(sound, jumps[i], text)[0] != '\0') {
            mx_remark(cursor->reading, cursor->bar, xml_line(sound),
                      "%s is not followed: the measures are played in their order, repeats and "
                      "endings apart",
                      jumps[i]);
        }
    }
}
