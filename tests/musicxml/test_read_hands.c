/* Sticking. MusicXML 4.0 has no element for it (stick is a pictogram of a mallet): editors put
 * letters into lyrics, fingerings, words and other technical signs; all four are read. */
#include <criterion/criterion.h>

#include "snippets.h"

#define FINGERING(LETTERS) NOTATIONS("<technical><fingering>" LETTERS "</fingering></technical>")
#define OTHER(LETTERS)                                                                             \
    NOTATIONS("<technical><other-technical>" LETTERS "</other-technical></technical>")
#define Q(MORE) NOTE(12, "quarter", MORE)

static const struct snippet ways[] = {
    {"lyrics", MEASURE(Q(STICK("R")) Q(STICK("R")) Q(STICK("L")) Q(STICK("L"))), "| 4:R R L L |",
     NULL},
    {"fingerings", MEASURE(Q(FINGERING("R")) Q(FINGERING("R")) Q(FINGERING("L")) Q(FINGERING("L"))),
     "| 4:R R L L |", NULL},
    {"other technical signs", MEASURE(Q(OTHER("L")) Q(OTHER("L")) Q(OTHER("R")) Q(OTHER("R"))),
     "| 4:L L R R |", NULL},
    {"words at each note",
     MEASURE(WORDS("R") Q("") WORDS("R") Q("") WORDS("L") Q("") WORDS("L") Q("")), "| 4:R R L L |",
     NULL},
    {"words for several notes",
     MEASURE(WORDS("RLRR") Q("") Q("") Q("") Q(""))
         NUMBERED("2", WORDS("L R L L") Q("") Q("") Q("") Q("")),
     "| 4:R L R R | L R L L |", NULL},
    {"small letters", MEASURE(Q(STICK("r")) Q(STICK("l")) Q(STICK("l")) Q(STICK("r"))),
     "| 4:R L L R |", NULL},
    {"with points and brackets",
     MEASURE(Q(STICK("(R)")) Q(STICK("L.")) Q(STICK("R.H.")) Q(STICK("LH"))), "| 4:R L R L |",
     NULL},
    {"words with grace notes in small letters",
     MEASURE(WORDS("lR rL") GRACE("") Q("") GRACE("") Q("") NOTE(24, "half", "")),
     "| 4:lR rL 2:R |", NULL},
    {"more letters than notes", MEASURE(R2 Q("") WORDS("LRL") Q("")), "| 2:R 4:L L |",
     "more letters than notes"},
    {"numbers are no hands",
     MEASURE(Q(NOTATIONS("<technical><fingering>1</fingering></technical>")) Q("")
                 NOTE(24, "half", "")),
     "| 4:R L 2:R |", "fingering is not read"},
    {"a text under a note", MEASURE(Q(STICK("la")) Q("") NOTE(24, "half", "")), "| 4:R L 2:R |",
     "the text \"la\" under a note is not read"},
    {"other words", MEASURE(WORDS("molto") Q("") Q("") NOTE(24, "half", "")), "| 4:R L 2:R |",
     "the words \"molto\" are not read"},
};

/* Hand to hand, the right first, is common practice (no source). */
static const struct snippet unsaid[] = {
    {"nothing is written", MEASURE(Q("") Q("") Q("") Q("")), "| 4:R L R L |", NULL},
    {"from the last one that is written", MEASURE(Q(STICK("L")) Q(STICK("L")) Q("") Q("")),
     "| 4:L L R L |", NULL},
    {"leading up to the first one that is written", MEASURE(Q("") Q("") Q("") Q(STICK("R"))),
     "| 4:L R L R |", NULL},
    {"flams and drags", MEASURE(GRACE("") Q("") GRACE("") GRACE("") Q("") NOTE(24, "half", "")),
     "| 4:lR rrL 2:R |", NULL},
    {"rolls",
     MEASURE(NOTE(12, "quarter", NOTATIONS(TREMOLO("single", "3")))
                 NOTE(6, "eighth", NOTATIONS(TREMOLO("single", "1"))) NOTE(6, "eighth", "")
                     NOTE(24, "half", "")),
     "| 16:R/L/R/L/ 8:R/L 2:R |", NULL},
};

static void expect_all(const struct snippet *snippets, size_t count) {
    for (size_t i = 0; i < count; i++) {
        expect_snippet(&snippets[i]);
    }
}

Test(musicxml_hands, sticking_is_read_wherever_it_is_written) {
    expect_all(ways, sizeof ways / sizeof ways[0]);
}

Test(musicxml_hands, what_is_not_written_goes_hand_to_hand) {
    expect_all(unsaid, sizeof unsaid / sizeof unsaid[0]);
}
