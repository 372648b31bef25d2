/* Repeats, endings, metres, pick-ups, tempo, dynamics, hairpins. Elements: W3C MusicXML 4.0
 * (musicxml.xsd). How repeats are played: common practice, no source. */
#include <criterion/criterion.h>

#include "alike.h"
#include "snippets.h"

#define FORWARD BARLINE("left", "<repeat direction=\"forward\"/>")
#define BACKWARD BARLINE("right", "<repeat direction=\"backward\"/>")
#define TIMES(N) BARLINE("right", "<repeat direction=\"backward\" times=\"" N "\"/>")
#define BEGIN_ENDING(N) BARLINE("left", "<ending number=\"" N "\" type=\"start\"/>")
#define END_ENDING(N, TYPE) BARLINE("right", "<ending number=\"" N "\" type=\"" TYPE "\"/>")
#define BACK_ENDING(N)                                                                             \
    BARLINE("right", "<ending number=\"" N "\" type=\"stop\"/><repeat direction=\"backward\"/>")
#define LL NOTE(48, "whole", STICK("L"))

static const struct snippet repeats[] = {
    {"a repeat", MEASURE(FORWARD R1 BACKWARD) NUMBERED("2", LL), "|: 1:R :| L |", NULL},
    {"back to the beginning", MEASURE(R1) NUMBERED("2", LL BACKWARD), "| 1:R | L :|", NULL},
    {"four times", MEASURE(FORWARD R1 TIMES("4")), "|: 1:R :|x4", NULL},
    {"times that cannot be", MEASURE(FORWARD R1 TIMES("1")), "|: 1:R :|",
     "expected 2 to 99, it is played twice"},
    {"two endings",
     MEASURE(FORWARD R1) NUMBERED("2", BEGIN_ENDING("1") LL BACK_ENDING("1"))
         NUMBERED("3", BEGIN_ENDING("2") R1 END_ENDING("2", "discontinue")),
     "|: 1:R | 1st L :| 2nd R |", NULL},
    {"an ending for two passes",
     MEASURE(FORWARD R1) NUMBERED("2", BEGIN_ENDING("1, 2") LL BACK_ENDING("1, 2"))
         NUMBERED("3", BEGIN_ENDING("3") R1 END_ENDING("3", "stop")),
     "|: 1:R | 1st 2nd L :| 3rd R |", NULL},
    {"one bracket only",
     MEASURE(FORWARD R1) NUMBERED("2", BEGIN_ENDING("1") LL BACK_ENDING("1")) NUMBERED("3", R1),
     "|: 1:R | 1st L :| 2nd R |", NULL},
    {"a repeat sign behind the last ending",
     MEASURE(FORWARD R1) NUMBERED("2", BEGIN_ENDING("1") LL BACK_ENDING("1"))
         NUMBERED("3", BEGIN_ENDING("2") R1 BACK_ENDING("2")),
     "|: 1:R | 1st L :| 2nd R |", "at the end of the last ending is not followed"},
    {"a repeat behind endings, opened by nothing",
     MEASURE(FORWARD R1) NUMBERED("2", BEGIN_ENDING("1") LL BACK_ENDING("1"))
         NUMBERED("3", BEGIN_ENDING("2") R1 END_ENDING("2", "stop")) NUMBERED("4", LL BACKWARD),
     "|: 1:R | 1st L :| 2nd R |: L :|", NULL},
    {"opened twice", MEASURE(FORWARD R1) NUMBERED("2", FORWARD LL BACKWARD), "| 1:R |: L :|",
     "begins and does not end"},
    {"never closed", MEASURE(R1) NUMBERED("2", FORWARD LL), "| 1:R | L |",
     "begins and does not end"},
    {"inside a measure", MEASURE(R2 BARLINE("middle", "<repeat direction=\"backward\"/>") R2),
     "| 2:R R |", "a repeat sign inside a measure is not read"},
    /* measure-repeat: "the notes must still be there": it is only a drawing */
    {"a measure-repeat sign over notes",
     MEASURE(R1) NUMBERED("2", "<attributes><measure-style><measure-repeat type=\"start\">1"
                               "</measure-repeat></measure-style></attributes>" LL),
     "| 1:R | L |", NULL},
    {"a measure-repeat sign over nothing",
     MEASURE(R1) NUMBERED("2", "<attributes><measure-style><measure-repeat type=\"start\">1"
                               "</measure-repeat></measure-style></attributes>"),
     "| 1:R | - |", "that sign is only drawn"},
    {"from the beginning", MEASURE(R1) NUMBERED("2", LL "<sound dacapo=\"yes\"/>"), "| 1:R | L |",
     "dacapo is not followed"},
};

static const struct snippet metres[] = {
    {"a change", MEASURE(R1) NUMBERED("2", TIME("6", "8") R4 L8 R4 L8),
     "| 1:R | 6/8 4:R 8:L 4:R 8:L |", NULL},
    {"a sum", MEASURE(TIME("3+2", "8") R4 L8 R4), "| 4:R 8:L 4:R |", NULL},
    {"a sum of unlike units",
     MEASURE("<attributes><time><beats>3</beats><beat-type>8</beat-type><beats>1</beats>"
             "<beat-type>4</beat-type></time></attributes>" R4 L8 R4),
     "| 4:R 8:L 4:R |", NULL},
    {"a pick-up", "<measure number=\"0\" implicit=\"yes\">" R4 "</measure>" NUMBERED("1", R1),
     "| pickup 4:R | 1:R |", NULL},
    {"a measure in two halves",
     MEASURE(FORWARD R2) "<measure number=\"X1\" implicit=\"yes\">" R2 BACKWARD
                         "</measure>" NUMBERED("2", R1),
     "|: pickup 2:R | short R :| 1:R |", "shorter than its metre"},
    {"a short measure that does not say so", MEASURE(R1) NUMBERED("2", R2) NUMBERED("3", R1),
     "| 1:R | short 2:R | 1:R |", "shorter than its metre"},
    {"an empty measure", MEASURE(R1) NUMBERED("2", ""), "| 1:R | - |", "without notes and rests"},
};

static const struct snippet levels[] = {
    {"a mark above the staff", MEASURE(DYNAMIC("p") R2 DYNAMIC("ff") R2), "| p 2:R ff R |", NULL},
    {"a mark at the note",
     MEASURE(R2 NOTE(24, "half", NOTATIONS("<dynamics><p/></dynamics>") STICK("R"))), "| 2:R p R |",
     NULL},
    {"an offset",
     MEASURE("<direction><direction-type><dynamics><f/></dynamics></direction-type>"
             "<offset>24</offset></direction>" R2 R2),
     "| 2:R f R |", NULL},
    {"beyond our range", MEASURE(DYNAMIC("pppp") R2 DYNAMIC("fffff") R2), "| ppp 2:R fff R |",
     "is read as"},
    {"sforzando at a note",
     MEASURE(R2 NOTE(24, "half", NOTATIONS("<dynamics><sfz/></dynamics>") STICK("R"))),
     "| 2:R R> |", "sfz is read as an accent"},
    {"sforzando below the staff", MEASURE(R2 DYNAMIC("sf") R2), "| 2:R R> |",
     "sf is read as an accent"},
    {"forte, then piano", MEASURE(R2 DYNAMIC("fp") R2), "| 2:R p R> |",
     "fp is read as an accent, then p"},
    {"accents",
     MEASURE(NOTE(24, "half", NOTATIONS("<articulations><accent/></articulations>") STICK("R"))
                 NOTE(24, "half",
                      NOTATIONS("<articulations><strong-accent/></articulations>") STICK("R"))),
     "| 2:R> R^ |", NULL},
    {"another articulation",
     MEASURE(
         R2 NOTE(24, "half", NOTATIONS("<articulations><staccato/></articulations>") STICK("R"))),
     "| 2:R R |", "staccato is not read"},
};

static const struct snippet hairpins[] = {
    {"to a mark", MEASURE(DYNAMIC("p") WEDGE("crescendo") R2 R4 WEDGE("stop") DYNAMIC("f") R4),
     "| p cresc 2:R 4:R f R |", NULL},
    {"the mark before the end of the hairpin",
     MEASURE(DYNAMIC("p") WEDGE("crescendo") R2 R4 DYNAMIC("f") R4 WEDGE("stop")),
     "| p cresc 2:R 4:R f R |", NULL},
    {"drawn to the last note, the mark stands at the next",
     MEASURE(DYNAMIC("p") WEDGE("crescendo") R2 R4 WEDGE("stop") R4) NUMBERED("2", DYNAMIC("f") R1),
     "| p cresc 2:R 4:R R | f 1:R |", NULL},
    {"to no mark", MEASURE(DYNAMIC("f") WEDGE("diminuendo") R2 R4 WEDGE("stop") R4),
     "| f dim 2:R 4:R end R |", NULL},
    {"suddenly soft again",
     MEASURE(DYNAMIC("p") WEDGE("crescendo") R2 R4 WEDGE("stop") DYNAMIC("p") R4),
     "| p cresc 2:R 4:R end p R |", NULL},
    {"suddenly loud",
     MEASURE(DYNAMIC("p") WEDGE("crescendo") R2 R4 WEDGE(
         "stop") "<direction><direction-type><words>sub.</words></direction-type><direction-type>"
                 "<dynamics><ff/></dynamics></direction-type></direction>" R4),
     "| p cresc 2:R 4:R end ff R |", NULL},
    {"over a mark in its middle",
     MEASURE(DYNAMIC("p") WEDGE("crescendo") R4 R4 DYNAMIC("mf") R4 R4)
         NUMBERED("2", WEDGE("stop") DYNAMIC("ff") R1),
     "| p cresc 4:R R mf cresc R R | ff 1:R |", NULL},
    {"one after the other",
     MEASURE(DYNAMIC("p") WEDGE("crescendo") R2 WEDGE("stop") WEDGE("diminuendo") R4 WEDGE("stop")
                 R4),
     "| p cresc 2:R end dim 4:R end R |", NULL},
    {"in words", MEASURE(DYNAMIC("p") WORDS("cresc.") R2 R2) NUMBERED("2", DYNAMIC("f") R1),
     "| p cresc 2:R R | f 1:R |", NULL},
    {"never ended", MEASURE(DYNAMIC("p") WEDGE("crescendo") R2 R2), "| p cresc 2:R R end |",
     "the music ends"},
    {"over nothing", MEASURE(DYNAMIC("p") WEDGE("crescendo") WEDGE("stop") R2 R2), "| p 2:R R |",
     "a hairpin over no notes"},
    {"beyond fff", MEASURE(DYNAMIC("fff") WEDGE("crescendo") R2 WEDGE("stop") R2), "| fff 2:R R |",
     "leads beyond fff"},
    {"over a repeat sign",
     MEASURE(FORWARD DYNAMIC("p") WEDGE("crescendo") R2 R2 BACKWARD)
         NUMBERED("2", R2 WEDGE("stop") R2),
     "|: p cresc 2:R R end :| R R |", "does not cross a repeat"},
    {"inside a long note", MEASURE(R2 DIRECTION("<dynamics><p/></dynamics>") R2), "| 2:R p R |",
     NULL},
};

struct tempo {
    const char *name, *mark;
    double start, goal;
};

#define METRONOME(UNIT, NUMBER)                                                                    \
    DIRECTION("<metronome><beat-unit>" UNIT "</beat-unit><per-minute>" NUMBER                      \
              "</per-minute></metronome>")
#define DOTTED(UNIT, NUMBER)                                                                       \
    DIRECTION("<metronome><beat-unit>" UNIT "</beat-unit><beat-unit-dot/><per-minute>" NUMBER      \
              "</per-minute></metronome>")

/* sound, attribute tempo: "quarter notes per minute". */
static const struct tempo tempi[] = {
    {"none", "", 80, 120},
    {"quarters", METRONOME("quarter", "96"), 96, 96},
    {"a range", METRONOME("quarter", "70-112"), 70, 112},
    {"about", METRONOME("quarter", "c. 100"), 100, 100},
    {"halves", METRONOME("half", "60"), 120, 120},
    {"dotted quarters", DOTTED("quarter", "80"), 120, 120},
    {"eighths", METRONOME("eighth", "150"), 75, 75},
    {"only a sound", "<sound tempo=\"92.5\"/>", 92.5, 92.5},
    {"both",
     "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
     "<per-minute>60-90</per-minute></metronome></direction-type><sound tempo=\"60\"/></direction>",
     60, 90},
};

static void expect_all(const struct snippet *snippets, size_t count) {
    for (size_t i = 0; i < count; i++) {
        expect_snippet(&snippets[i]);
    }
}

#define EXPECT_ALL(ROWS) expect_all(ROWS, sizeof(ROWS) / sizeof(ROWS)[0])

Test(musicxml_signs, repeats_and_endings_are_played) {
    EXPECT_ALL(repeats);
}

Test(musicxml_signs, metres_change_and_measures_may_be_short) {
    EXPECT_ALL(metres);
}

Test(musicxml_signs, dynamics_and_accents_are_read) {
    EXPECT_ALL(levels);
}

Test(musicxml_signs, hairpins_lead_to_their_mark) {
    EXPECT_ALL(hairpins);
}

Test(musicxml_signs, the_first_tempo_is_the_exercise_s) {
    for (size_t i = 0; i < sizeof tempi / sizeof tempi[0]; i++) {
        struct eh_text measures = {0};
        struct eh_text document = {0};
        eh_text_printf(&measures, "<measure number=\"1\">%s%s</measure>", tempi[i].mark, R1);
        wrap_snippet(measures.data, &document);
        struct eh_exercise *exercise =
            read_or_fail(tempi[i].name, document.data, document.length, NULL);
        cr_assert_eq(eh_exercise_tempo_start(exercise), tempi[i].start, "%s: %g", tempi[i].name,
                     eh_exercise_tempo_start(exercise));
        cr_assert_eq(eh_exercise_tempo_goal(exercise), tempi[i].goal, "%s: %g", tempi[i].name,
                     eh_exercise_tempo_goal(exercise));
        eh_exercise_free(exercise);
        eh_text_deinit(&document);
        eh_text_deinit(&measures);
    }
}

static const struct snippet tempo_changes[] = {
    {"a change", MEASURE("<sound tempo=\"90\"/>" R2 "<sound tempo=\"120\"/>" R2), "| 2:R R |",
     "a change to 120 quarter notes a minute is not followed"},
    {"out of range", MEASURE("<sound tempo=\"4000\"/>" R1), "| 1:R |", "expected 20 to 400"},
};

Test(musicxml_signs, a_change_of_tempo_is_told) {
    EXPECT_ALL(tempo_changes);
}
