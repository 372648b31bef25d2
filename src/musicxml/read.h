/* How a MusicXML document becomes an exercise. In this order:
 *
 * part.c       which part; its measures, whether the document is part-wise or time-wise
 * walk.c       measure by measure: where everything stands (with note.c, notations.c,
 *              direction.c, barline.c)
 * voice.c      which of several voices
 * sticking.c   hands that are written, as letters; strokes.c: which stroke they belong to
 * pieces.c     lengths as note values and holds; groups.c: tuplets
 * marks.c      dynamics and hairpins in an order that can be judged
 * emit.c       all of it into the builder
 *
 * Ticks are those of evenhand/time.h. What is kept is kept in rows of the whole part. */
#ifndef MUSICXML_READ_H
#define MUSICXML_READ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/build.h"
#include "evenhand/exercise_text.h"
#include "evenhand/musicxml.h"
#include "xml_tree.h"

enum {
    MX_NAME = 64,      /* measure numbers, voices, ids: what fits is kept */
    MX_VOICES = 32,    /* of a part */
    MX_NO_VALUE = 255, /* no note value is written, or none that we have */
    MX_MILLI = 1000
};

enum mx_tremolo { MX_NO_TREMOLO, MX_SINGLE, MX_BUZZ, MX_START, MX_STOP };

struct mx_note {
    eh_ticks at, length; /* from the bar line; of the whole note */
    int line;
    int bar; /* index of the measure */
    uint8_t voice;
    bool rest;
    uint32_t instrument; /* by its id and its place on the staff: only whether two are the same */
    bool whole_bar;      /* a rest that fills the measure, however long that is */
    uint8_t value, dots; /* as written; value MX_NO_VALUE when that does not make its length */
    uint16_t actual, normal;
    uint8_t starts, stops; /* tuplets that begin before it, that end after it */
    uint8_t start_actual[EH_WRITTEN_DEPTH_MAX], start_normal[EH_WRITTEN_DEPTH_MAX]; /* 0: unsaid */
    bool tie_in, tie_out;
    uint8_t accent;
    uint8_t tremolo, marks; /* enum mx_tremolo */
    uint8_t grace_count;
    uint8_t grace_hands[EH_EXERCISE_GRACES_MAX]; /* enum eh_hand or EH_HAND_UNSAID */
    size_t letters;                              /* its sticking: offset into the letters */
    uint16_t letter_count;
    /* Said by strokes.c: */
    bool hold;            /* prolongs the note before it */
    bool singles;         /* a tremolo between two notes: never doubles */
    bool skip;            /* the second note of such a tremolo */
    uint8_t stroke_value; /* of its strokes: 2 = quarters ...; its own value for one stroke */
    uint16_t strokes;
    uint8_t per_motion; /* strokes of one hand motion: 1 or 2 */
    size_t motion;      /* its first hand motion: index into the hands */
};

/* What happens to the level, or a sticking in words. */
enum mx_mark_kind {
    MX_WEDGE_STOP, /* their order is the order at one place */
    MX_DYNAMIC,
    MX_WEDGE_START,
    MX_WORD_START, /* "cresc.": a hairpin that ends with the next mark */
    MX_GONE
};

struct mx_mark {
    eh_ticks at; /* from the bar line */
    int bar;
    int line;
    uint8_t kind;    /* enum mx_mark_kind */
    uint8_t dynamic; /* of a dynamic */
    int8_t way;      /* of a hairpin: 1 louder, -1 softer */
    bool suddenly;   /* of a dynamic: a hairpin before it does not lead to it */
    uint8_t out;     /* cleaned: an enum eh_dynamic or enum eh_written_mark */
};

/* What stands above or below the staff and belongs to the note there: sticking, or an attack. */
struct mx_words {
    eh_ticks at;
    int bar;
    size_t letters;
    uint16_t letter_count; /* 0: an accent */
};

struct mx_bar {
    const struct xml_element *content; /* the notes' parent */
    int line;
    char number[MX_NAME];
    bool implicit;
    uint8_t beats, unit;
    eh_ticks extent; /* how far anything reaches in it */
    eh_ticks length; /* said by pieces.c */
    size_t first_note, note_count;
    bool repeat_from;
    uint8_t times; /* 0: no repeat ends */
    uint16_t endings;
    bool ending_stops; /* with this measure */
    bool drawn_repeat; /* a sign stands for notes that are perhaps not there */
    bool is_short;     /* said by pieces.c, as LENGTH is */
    uint8_t voice;     /* the one that is played in it */
    size_t first_piece, piece_count;
};

enum mx_piece_kind { MX_PLAY, MX_REST, MX_HOLD, MX_GROUP, MX_GROUP_END };

/* An item for the builder. */
struct mx_piece {
    uint8_t kind; /* enum mx_piece_kind */
    uint8_t value, dots;
    uint8_t actual, normal; /* of a group */
    uint8_t starts, stops;  /* before groups.c has been: tuplets, as in struct mx_note */
    uint16_t cum_actual, cum_normal;
    struct eh_written_note note; /* of what is played */
    int line;
    eh_ticks at, length; /* from the bar line */
    size_t source;       /* index of its note */
};

struct mx_rows {
    struct mx_bar *bars;
    size_t bar_count, bar_capacity;
    struct mx_note *notes;
    size_t note_count, note_capacity;
    struct mx_mark *marks;
    size_t mark_count, mark_capacity;
    struct mx_words *words;
    size_t words_count, words_capacity;
    struct mx_piece *raw; /* of one measure, before it is grouped */
    size_t raw_count, raw_capacity;
    struct mx_piece *pieces;
    size_t piece_count, piece_capacity;
    char *letters; /* R, L, r, l */
    size_t letter_count, letter_capacity;
    uint8_t *hands; /* of each hand motion */
    size_t hand_count, hand_capacity;
};

struct mx_reading {
    struct eh_error *error;
    struct eh_musicxml_remarks *remarks; /* NULL: nobody wants them */
    const struct xml_element *root;
    char part[XML_TEXT]; /* id */
    struct mx_rows rows;
    char voices[MX_VOICES][MX_NAME];
    int voice_count;
    int32_t tempo_start_milli, tempo_goal_milli; /* 0: not said */
    bool memory_failed;                          /* a remark or a letter could not be kept */
};

/* Errors and remarks ------------------------------------------------------------------------ */

/* Fails with the measure's number in front of the words; BAR -1: none. */
enum eh_status mx_fail(struct mx_reading *reading, enum eh_status status, int bar, int line,
                       const char *format, ...) EH_PRINTF(5, 6);
enum eh_status mx_no_memory(struct mx_reading *reading);
void mx_remark(struct mx_reading *reading, int bar, int line, const char *format, ...)
    EH_PRINTF(4, 5);

/* Room for one more row; false: out of memory. */
bool mx_grow(void *rows, size_t *capacity, size_t count, size_t size);

/* Numbers ----------------------------------------------------------------------------------- */

/* A decimal number of at most 9 digits before the point and 6 behind it, in millionths. False: it
 * is none, or beyond that. */
bool mx_read_millionths(const char *text, int64_t *out);

/* A whole number from LOW to HIGH. */
bool mx_read_whole(const char *text, int low, int high, int *out);

/* A length as a person reads it: 3/2 of a quarter. */
struct mx_quarters {
    long long over, under;
};
struct mx_quarters mx_quarters(eh_ticks ticks);

/* The steps ---------------------------------------------------------------------------------- */

/* Chooses the part and lists its measures. */
EH_MUST_USE enum eh_status mx_find_part(struct mx_reading *reading, const char *wanted);

/* Fills notes, marks, words, and what stands at the bar lines. */
EH_MUST_USE enum eh_status mx_walk(struct mx_reading *reading);

/* Where the reading of a measure stands. */
struct mx_cursor {
    struct mx_reading *reading;
    int bar;
    int64_t divisions;          /* a quarter, in millionths */
    int64_t raw;                /* position as the durations add up, in 1024ths of a tick */
    eh_ticks at;                /* the same by note values, which are exact */
    int64_t raw_end[MX_VOICES]; /* of each voice's last note, and where that was by note values */
    eh_ticks end[MX_VOICES];
    size_t last_note;       /* for chords; SIZE_MAX: none */
    bool chord_is_grace;    /* the note before was one */
    struct mx_note pending; /* grace notes that wait for their main note */
    uint8_t beats, unit;
};

EH_MUST_USE enum eh_status mx_read_note(struct mx_cursor *cursor, const struct xml_element *note);
EH_MUST_USE enum eh_status mx_read_notations(struct mx_cursor *cursor,
                                             const struct xml_element *note, struct mx_note *out);
EH_MUST_USE enum eh_status mx_read_direction(struct mx_cursor *cursor,
                                             const struct xml_element *direction);
void mx_read_tempo_mark(struct mx_cursor *cursor, const struct xml_element *metronome);
void mx_read_sound(struct mx_cursor *cursor, const struct xml_element *sound);
void mx_read_barline(struct mx_cursor *cursor, const struct xml_element *barline);

/* Dynamics that stand in DYNAMICS, at AT. ACCENT is set by sfz and its like; with NULL they are
 * kept for the note that stands there. */
EH_MUST_USE enum eh_status mx_read_dynamics(struct mx_cursor *cursor,
                                            const struct xml_element *dynamics, eh_ticks at,
                                            bool suddenly, uint8_t *accent);

/* A duration in 1024ths of a tick; -1: none that can be. */
int64_t mx_duration(const struct mx_cursor *cursor, const struct xml_element *element);

/* Leads over DURATION; VOICE -1: a backup or a forward. */
void mx_advance(struct mx_cursor *cursor, int64_t duration);

/* Sticking: whether TEXT is nothing but hands; then its letters are kept and told. */
bool mx_read_letters(struct mx_reading *reading, const char *text, size_t *out_letters,
                     uint16_t *out_count);

/* Takes the sticking of a note from wherever it stands at it. */
void mx_read_sticking(struct mx_reading *reading, const struct xml_element *note,
                      size_t *out_letters, uint16_t *out_count);

/* Says for each measure which voice is played. */
void mx_choose_voice(struct mx_reading *reading);

/* Hands the letters of words on to the notes below or above which they stand. */
void mx_spread_words(struct mx_reading *reading);

/* Strokes of rolls, holds, hands. */
EH_MUST_USE enum eh_status mx_find_strokes(struct mx_reading *reading);

/* Note values for everything, rests in the gaps; then the groups. */
EH_MUST_USE enum eh_status mx_cut_pieces(struct mx_reading *reading);
EH_MUST_USE enum eh_status mx_group_pieces(struct mx_reading *reading, int bar);

/* Dynamics and hairpins as the builder takes them. */
EH_MUST_USE enum eh_status mx_clean_marks(struct mx_reading *reading);

/* Repeats and endings as the builder takes them. */
EH_MUST_USE enum eh_status mx_clean_signs(struct mx_reading *reading);

EH_MUST_USE enum eh_status mx_emit(struct mx_reading *reading, struct eh_exercise **out);

#endif
