/* Short pieces of MusicXML, and what they must be read as. */
#ifndef TESTS_MUSICXML_SNIPPETS_H
#define TESTS_MUSICXML_SNIPPETS_H

#include "evenhand/exercise.h"
#include "evenhand/musicxml.h"

/* Elements of a document, in the order that the schema of MusicXML 4.0 asks for. */
#define NOTE(DURATION, TYPE, MORE)                                                                 \
    "<note><unpitched/><duration>" #DURATION "</duration><voice>1</voice><type>" TYPE              \
    "</type>" MORE "</note>"
#define REST(DURATION, TYPE)                                                                       \
    "<note><rest/><duration>" #DURATION "</duration><voice>1</voice><type>" TYPE "</type></note>"
#define GRACE(MORE) "<note><grace/><unpitched/><voice>1</voice><type>eighth</type>" MORE "</note>"
#define STICK(LETTERS) "<lyric><text>" LETTERS "</text></lyric>"
#define NOTATIONS(MORE) "<notations>" MORE "</notations>"
#define TREMOLO(TYPE, MARKS) "<ornaments><tremolo type=\"" TYPE "\">" MARKS "</tremolo></ornaments>"
#define TRIPLET                                                                                    \
    "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"              \
    "</time-modification>"
#define TUPLET(TYPE) NOTATIONS("<tuplet type=\"" TYPE "\"/>")
#define DIRECTION(MORE) "<direction><direction-type>" MORE "</direction-type></direction>"
#define DYNAMIC(NAME) DIRECTION("<dynamics><" NAME "/></dynamics>")
#define WEDGE(TYPE) DIRECTION("<wedge type=\"" TYPE "\"/>")
#define WORDS(TEXT) DIRECTION("<words>" TEXT "</words>")
#define MEASURE(MORE) "<measure number=\"1\">" MORE "</measure>"
#define NUMBERED(NUMBER, MORE) "<measure number=\"" NUMBER "\">" MORE "</measure>"
#define BARLINE(LOCATION, MORE) "<barline location=\"" LOCATION "\">" MORE "</barline>"
#define TIME(BEATS, UNIT)                                                                          \
    "<attributes><time><beats>" BEATS "</beats><beat-type>" UNIT "</beat-type></time></"           \
    "attributes>"

/* Divisions: 12 a quarter, so that eighths, 16ths and triplets are whole numbers. */
#define R4 NOTE(12, "quarter", STICK("R"))
#define L4 NOTE(12, "quarter", STICK("L"))
#define R8 NOTE(6, "eighth", STICK("R"))
#define L8 NOTE(6, "eighth", STICK("L"))
#define R2 NOTE(24, "half", STICK("R"))
#define R1 NOTE(48, "whole", STICK("R"))

struct snippet {
    const char *name;
    const char *measures; /* of the only part; 4/4, 12 divisions unless they say otherwise */
    const char *music;    /* as our text, without header; the line ends are blanks */
    const char *remark;   /* part of one that must be there; NULL: there must be none */
};

/* Fails the test where it is read as something else. */
void expect_snippet(const struct snippet *snippet);

/* The document around MEASURES; the caller frees its text. */
void wrap_snippet(const char *measures, struct eh_text *out);

/* Fails the test unless reading MEASURES gives STATUS and an error that holds all of WORDS (parted
 * by |). */
void expect_refusal(const char *name, const char *measures, enum eh_status status,
                    const char *words);

/* The same for a whole document, or any bytes. */
void expect_refused_bytes(const char *name, const void *bytes, size_t length, enum eh_status status,
                          const char *words);

#endif
