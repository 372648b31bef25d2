/* Notes, rests, rolls, grace notes, ties, tuplets, voices. What an element means is said by the
 * W3C's MusicXML 4.0 (musicxml.xsd, annotations of the types named beside the rows); what a drummer
 * makes of it is common practice, no source, unless it says otherwise. */
#include <criterion/criterion.h>

#include "snippets.h"

#define DOT "<dot/>"
#define ROLL(DURATION, TYPE, MARKS, LETTERS)                                                       \
    NOTE(DURATION, TYPE, NOTATIONS(TREMOLO("single", MARKS)) STICK(LETTERS))
#define TIE(TYPE) "<tie type=\"" TYPE "\"/>"

static const struct snippet lengths[] = {
    {"note values", MEASURE(R2 R4 L8 NOTE(3, "16th", STICK("R")) NOTE(3, "16th", STICK("L"))),
     "| 2:R 4:R 8:L 16:RL |", NULL},
    {"dots",
     MEASURE(NOTE(36, "half", DOT STICK("R")) NOTE(9, "eighth", DOT STICK("L"))
                 NOTE(3, "16th", STICK("R"))),
     "| 2.:R 8.:L 16:R |", NULL},
    {"rests", MEASURE(R4 REST(12, "quarter") L8 REST(6, "eighth") REST(12, "quarter")),
     "| 4:R - 8:L- 4:- |", NULL},
    /* rest, attribute measure: "a complete measure", whatever its type says */
    {"a rest for the whole measure",
     MEASURE(TIME("3", "4") R4 R4 R4)
         NUMBERED("2", "<note><rest measure=\"yes\"/><duration>36</duration></note>"),
     "| 4:R R R | 2.:- |", NULL},
    /* type is optional: the duration says the length */
    {"no type",
     MEASURE("<note><unpitched/><duration>30</duration>" STICK(
         "R") "</note>"
              "<note><rest/><duration>18</duration></note>"),
     "| 2:R 8:_ 4.:- |", NULL},
    {"a pitched note",
     MEASURE("<note><pitch><step>C</step><octave>5</octave></pitch>"
             "<duration>48</duration><type>whole</type>" STICK("R") "</note>"),
     "| 1:R |", NULL},
    {"a breve in two measures' metre",
     MEASURE(TIME("8", "4") "<note><unpitched/><duration>96</duration><type>breve</type>" STICK(
         "R") "</note>"),
     "| 1:R _ |", NULL},
    /* 256 divisions do not hold a triplet: exporters round 85.33 to 85 and 86 */
    {"rounded triplets",
     MEASURE("<attributes><divisions>256</divisions></attributes>" NOTE(85, "eighth",
                                                                        TRIPLET STICK("R"))
                 NOTE(85, "eighth", TRIPLET STICK("L")) NOTE(86, "eighth", TRIPLET STICK("R"))
                     NOTE(256, "quarter", STICK("L")) NOTE(512, "half", STICK("R"))),
     "| 8:3[RLR] 4:L 2:R |", NULL},
    {"chords",
     MEASURE(R4 "<note><chord/><unpitched/><duration>12</duration><voice>1</voice>"
                "<type>quarter</type></note>" L4 R2),
     "| 4:R L 2:R |", "a chord is read as one stroke"},
    {"two drums",
     MEASURE("<note><unpitched><display-step>C</display-step><display-octave>5</display-octave>"
             "</unpitched><duration>24</duration><type>half</type></note>"
             "<note><unpitched><display-step>F</display-step><display-octave>4</display-octave>"
             "</unpitched><duration>24</duration><type>half</type></note>"),
     "| 2:R L |", "of another instrument or on another line"},
    {"a forward is a rest", MEASURE(R4 "<forward><duration>12</duration></forward>" R2),
     "| 4:R - 2:R |", NULL},
    {"a cue note is a rest",
     MEASURE(R2 "<note><cue/><unpitched/><duration>24</duration><type>half</type></note>"),
     "| 2:R - |", "cue notes are read as rests"},
    {"a note head", MEASURE(NOTE(48, "whole", "<notehead>x</notehead>" STICK("R"))), "| 1:R |",
     "a note head \"x\" is read as an ordinary stroke"},
};

/* tremolo-marks: "the number of tremolo marks is represented by a number from 0 to 8: the same as
 * the number of beams with 0 added"; beams already on the note are not counted. So 3 marks on a
 * quarter, 2 on an eighth and 1 on a 16th are all 32nds. Source: MusicXML 4.0, element tremolo. */
static const struct snippet rolls[] = {
    {"a double on a 16th", MEASURE(R2 R4 R8 ROLL(3, "16th", "1", "R") ROLL(3, "16th", "1", "LL")),
     "| 2:R 4:R 8:R 16:R/L/ |", NULL},
    {"an open roll on a quarter: doubles, hand to hand",
     MEASURE(R2 ROLL(12, "quarter", "3", "R") L4), "| 2:R 16:R/L/R/L/ 4:L |", NULL},
    {"an open roll on an eighth", MEASURE(R2 R4 ROLL(6, "eighth", "2", "L") R8),
     "| 2:R 4:R 16:L/R/ 8:R |", NULL},
    {"a letter for each stroke", MEASURE(R2 ROLL(12, "quarter", "3", "RLRRLRLL") L4),
     "| 2:R 32:RL 16:R/ 32:LR 16:L/ 4:L |", NULL},
    {"a letter for each motion", MEASURE(R2 ROLL(12, "quarter", "3", "LRLR") L4),
     "| 2:R 16:L/R/L/R/ 4:L |", NULL},
    {"all strokes of one hand", MEASURE(R2 ROLL(12, "quarter", "3", "RRRRRRRR") L4),
     "| 2:R 4:R/// L |", NULL},
    {"slow marks are shorthand for single strokes", MEASURE(R2 ROLL(12, "quarter", "2", "R") R4),
     "| 2:R 16:RLRL 4:R |", NULL},
    {"sticking goes on behind a roll that has none",
     MEASURE(R4 NOTE(12, "quarter", NOTATIONS(TREMOLO("single", "3"))) NOTE(24, "half", "")),
     "| 4:R 16:L/R/L/R/ 2:L |", NULL},
    {"a dotted roll of single strokes",
     MEASURE(NOTE(18, "quarter", DOT NOTATIONS(TREMOLO("single", "1")) STICK("R")) L8 R2),
     "| 8:RL RL 2:R |", NULL},
    {"no type is single",
     MEASURE(R2 R4 R8 NOTE(6, "eighth",
                           NOTATIONS("<ornaments><tremolo>1</tremolo>"
                                     "</ornaments>") STICK("L"))),
     "| 2:R 4:R 8:RL/ |", NULL},
    {"a tie from a roll leads to its release, which is struck",
     MEASURE(NOTE(12, "quarter",
                  TIE("start") NOTATIONS(TREMOLO("single", "3") "<tied type=\"start\"/>")
                      STICK("R")) NOTE(12, "quarter",
                                       TIE("stop") NOTATIONS("<tied type=\"stop\"/>"
                                                             "<articulations><accent/>"
                                                             "</articulations>") STICK("R")) L4 R4),
     "| 16:R/L/R/L/ 4:R> L R |", NULL},
    {"a roll that is tied to a roll rolls on",
     MEASURE(NOTE(24, "half", NOTATIONS(TREMOLO("single", "3") "<tied type=\"start\"/>") STICK("R"))
                 R2) NUMBERED("2", R4 R4 R4 R4),
     "| 16:R/L/R/L/ R/L/R/L/ 2:R | 4:R R R R |", NULL},
};

/* tremolo-type: "unmeasured ... the text value should be 0", drawn as a buzz roll by default. Other
 * values and a z are what files hold all the same. */
static const struct snippet buzzes[] = {
    {"unmeasured 0",
     MEASURE(R2 R4 R8 NOTE(6, "eighth", NOTATIONS(TREMOLO("unmeasured", "0")) STICK("L"))),
     "| 2:R 4:R 8:RLz |", NULL},
    {"unmeasured 3",
     MEASURE(R2 R4 R8 NOTE(6, "eighth", NOTATIONS(TREMOLO("unmeasured", "3")) STICK("L"))),
     "| 2:R 4:R 8:RLz |", NULL},
    {"z as a lyric beside the sticking", MEASURE(R2 R4 R8 NOTE(6, "eighth", STICK("L") STICK("z"))),
     "| 2:R 4:R 8:RLz |", NULL},
    {"z as another ornament",
     MEASURE(R2 R4 R8 NOTE(6, "eighth",
                           NOTATIONS("<ornaments><other-ornament>z"
                                     "</other-ornament></ornaments>") STICK("L"))),
     "| 2:R 4:R 8:RLz |", NULL},
    {"z by its name in SMuFL",
     MEASURE(R2 R4 R8 NOTE(6, "eighth",
                           NOTATIONS("<technical><other-technical "
                                     "smufl=\"buzzRoll\"/></technical>") STICK("L"))),
     "| 2:R 4:R 8:RLz |", NULL},
    {"a long one is one press",
     MEASURE(R2 NOTE(24, "half", NOTATIONS(TREMOLO("unmeasured", "0")) STICK("L"))), "| 2:R Lz |",
     "is read as one press"},
    {"its letters say the presses",
     MEASURE(R2 NOTE(24, "half", NOTATIONS(TREMOLO("unmeasured", "0")) STICK("RLRL"))),
     "| 2:R 8:RzLz RzLz |", NULL},
    {"a tied one goes on",
     MEASURE(R2 R4 R8 NOTE(
         6, "eighth", NOTATIONS(TREMOLO("unmeasured", "0") "<tied type=\"start\"/>") STICK("L")))
         NUMBERED("2",
                  NOTE(6, "eighth", TIE("stop") NOTATIONS(TREMOLO("unmeasured", "0"))) R8 R4 R2),
     "| 2:R 4:R 8:RLz | _R 4:R 2:R |", NULL},
};

/* tremolo-type start and stop: two notes that alternate; each is written as long as both last. */
static const struct snippet pairs[] = {
    {"between two notes",
     MEASURE(
         R2 NOTE(12, "half",
                 "<time-modification><actual-notes>2</actual-notes><normal-notes>1"
                 "</normal-notes></time-modification>" NOTATIONS(TREMOLO("start", "2")) STICK("R"))
             NOTE(12, "half",
                  "<time-modification><actual-notes>2</actual-notes><normal-notes>1"
                  "</normal-notes></time-modification>" NOTATIONS(TREMOLO("stop", "2"))
                      STICK("L"))),
     "| 2:R 16:RLRL RLRL |", NULL},
    {"without time-modification",
     MEASURE(R2 NOTE(12, "half", NOTATIONS(TREMOLO("start", "2")) STICK("L"))
                 NOTE(12, "half", NOTATIONS(TREMOLO("stop", "2")) STICK("R"))),
     "| 2:R 16:LRLR LRLR |", NULL},
};

static const struct snippet graces[] = {
    {"a flam", MEASURE(GRACE(STICK("l")) R4 R4 R2), "| 4:lR R 2:R |", NULL},
    {"a flam without sticking", MEASURE(GRACE("") R4 R4 R2), "| 4:lR R 2:R |", NULL},
    {"a drag", MEASURE(GRACE("") GRACE("") R4 R4 R2), "| 4:llR R 2:R |", NULL},
    {"a drag with a tremolo mark",
     MEASURE(GRACE(NOTATIONS(TREMOLO("single", "1")) STICK("l")) R4 R4 R2), "| 4:llR R 2:R |",
     NULL},
    {"a four-stroke ruff", MEASURE(GRACE("") GRACE("") GRACE("") R4 R4 R2), "| 4:lrlR R 2:R |",
     NULL},
    {"letters of grace and main note in one",
     MEASURE(GRACE("") NOTE(12, "quarter", STICK("rR")) R4 R2), "| 4:rR R 2:R |", NULL},
    {"over the bar line", MEASURE(R2 R2 GRACE("")) NUMBERED("2", R4 R4 R2),
     "| 2:R R | 4:lR R 2:R |", NULL},
    {"before a rest", MEASURE(GRACE("") REST(24, "half") R2), "| 2:- R |",
     "grace notes before a rest are left out"},
};

static const struct snippet ties[] = {
    {"a tie makes one stroke longer",
     MEASURE(NOTE(24, "half", TIE("start") STICK("R")) NOTE(12, "quarter", TIE("stop")) L4),
     "| 2:R 4:_ L |", NULL},
    {"over the bar line",
     MEASURE(R2 NOTE(24, "half", TIE("start") STICK("R")))
         NUMBERED("2", NOTE(24, "half", TIE("stop")) NOTE(24, "half", "")),
     "| 2:R R | _ L |", NULL},
    {"from nowhere", MEASURE(REST(24, "half") NOTE(24, "half", TIE("stop") STICK("R"))),
     "| 2:- R |", "a tie that begins at no note"},
};

#define THREE(A, B, C)                                                                             \
    NOTE(4, "eighth", TRIPLET A) NOTE(4, "eighth", TRIPLET B) NOTE(4, "eighth", TRIPLET C)
#define SEXTUPLET                                                                                  \
    "<time-modification><actual-notes>6</actual-notes><normal-notes>4</normal-notes>"              \
    "</time-modification>"
#define NINE_IN_FOUR                                                                               \
    "<time-modification><actual-notes>9</actual-notes><normal-notes>4</normal-notes>"              \
    "</time-modification>"

/* time-modification is the whole ratio; tuplet is the bracket, one for each level. */
static const struct snippet tuplets[] = {
    {"without brackets",
     MEASURE(THREE(STICK("R"), STICK("L"), STICK("R")) THREE(STICK("L"), STICK("R"), STICK("L"))
                 R2),
     "| 8:3[RLR] 3[LRL] 2:R |", NULL},
    {"a quarter and an eighth",
     MEASURE(NOTE(8, "quarter", TRIPLET STICK("R")) NOTE(4, "eighth", TRIPLET STICK("L")) R4 R2),
     "| 4:3[R 8:L] 4:R 2:R |", NULL},
    {"a sextuplet is not two triplets",
     MEASURE(NOTE(2, "16th", SEXTUPLET STICK("R")) NOTE(2, "16th", SEXTUPLET STICK("L"))
                 NOTE(2, "16th", SEXTUPLET STICK("R")) NOTE(2, "16th", SEXTUPLET STICK("L")) NOTE(
                     2, "16th", SEXTUPLET STICK("R")) NOTE(2, "16th", SEXTUPLET STICK("L")) R4 R2),
     "| 16:6[RLRLRL] 4:R 2:R |", NULL},
    {"a bracket over six triplet 16ths",
     MEASURE(NOTE(2, "16th", TRIPLET TUPLET("start") STICK("R")) NOTE(2, "16th", TRIPLET STICK("L"))
                 NOTE(2, "16th", TRIPLET STICK("R")) NOTE(2, "16th", TRIPLET STICK("L"))
                     NOTE(2, "16th", TRIPLET STICK("R"))
                         NOTE(2, "16th", TRIPLET TUPLET("stop") STICK("L")) R4 R2),
     "| 16:3[RLRLRL] 4:R 2:R |", NULL},
    {"a rest in a triplet",
     MEASURE(
         NOTE(4, "eighth",
              TRIPLET STICK("R")) "<note><rest/><duration>4</duration><type>eighth</type>" TRIPLET
                                  "</note>" NOTE(4, "eighth", TRIPLET STICK("L")) R4 R2),
     "| 8:3[R-L] 4:R 2:R |", NULL},
    {"nested",
     MEASURE("<attributes><divisions>36</divisions></attributes>" NOTE(
         24, "quarter", TRIPLET TUPLET("start") STICK("R"))
                 NOTE(8, "eighth",
                      NINE_IN_FOUR NOTATIONS("<tuplet type=\"start\" number=\"2\"><tuplet-actual>"
                                             "<tuplet-number>3</tuplet-number></tuplet-actual>"
                                             "<tuplet-normal><tuplet-number>2</tuplet-number>"
                                             "</tuplet-normal></tuplet>")
                          STICK("L")) NOTE(8, "eighth", NINE_IN_FOUR STICK("R"))
                     NOTE(8, "eighth",
                          NINE_IN_FOUR NOTATIONS("<tuplet type=\"stop\" number=\"2\"/>") STICK("L"))
                         NOTE(24, "quarter", TRIPLET TUPLET("stop") STICK("R"))
                             NOTE(72, "half", STICK("L"))),
     "| 4:3[R 8:3[LRL] 4:R] 2:L |", NULL},
    {"a roll in a triplet: strokes of the triplet",
     MEASURE(NOTE(8, "quarter", TRIPLET NOTATIONS(TREMOLO("single", "3")) STICK("R"))
                 NOTE(4, "eighth", TRIPLET STICK("R")) R4 R2),
     "| 16:3[R/L/R/] 3[L/ 8:R] 4:R 2:R |", NULL},
};

static const struct snippet voices[] = {
    {"the voice with the most strokes",
     MEASURE(R4 L4 R4 L4 "<backup><duration>48</duration></backup>"
                         "<note><unpitched/><duration>48</duration><voice>2</voice>"
                         "<type>whole</type></note>"),
     "| 4:R L R L |", "voice 2 is left out: voice 1 is read"},
    {"also where it is written second",
     MEASURE("<note><unpitched/><duration>48</duration><voice>2</voice><type>whole</type></note>"
             "<backup><duration>48</duration></backup>" R4 L4 R4 L4),
     "| 4:R L R L |", "voice 2 is left out: voice 1 is read"},
    {"another where it is not written",
     MEASURE(R4 L4 R4 L4) NUMBERED("2", "<note><unpitched/><duration>48</duration><voice>5</voice>"
                                        "<type>whole</type>" STICK("R") "</note>"),
     "| 4:R L R L | 1:R |", "voice 5 is read where voice 1 is not written"},
    {"a voice that begins late is filled with rests",
     MEASURE("<forward><duration>24</duration></forward>" R4 L4), "| 2:- 4:R L |", NULL},
};

static void expect_all(const struct snippet *snippets, size_t count) {
    for (size_t i = 0; i < count; i++) {
        expect_snippet(&snippets[i]);
    }
}

#define EXPECT_ALL(ROWS) expect_all(ROWS, sizeof(ROWS) / sizeof(ROWS)[0])

Test(musicxml_notes, lengths_are_read_as_written) {
    EXPECT_ALL(lengths);
}

Test(musicxml_notes, tremolo_marks_are_strokes_and_beams_do_not_count) {
    EXPECT_ALL(rolls);
}

Test(musicxml_notes, a_buzz_is_understood_in_every_way_it_is_written) {
    EXPECT_ALL(buzzes);
}

Test(musicxml_notes, a_tremolo_between_two_notes_alternates) {
    EXPECT_ALL(pairs);
}

Test(musicxml_notes, grace_notes_lead_into_the_note_after_them) {
    EXPECT_ALL(graces);
}

Test(musicxml_notes, ties_make_strokes_longer) {
    EXPECT_ALL(ties);
}

Test(musicxml_notes, tuplets_are_groups) {
    EXPECT_ALL(tuplets);
}

Test(musicxml_notes, one_of_several_voices_is_read_and_the_others_are_named) {
    EXPECT_ALL(voices);
}
