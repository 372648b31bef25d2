/* What is refused: what is no XML or no MusicXML, what could do harm, and music that cannot be
 * judged. Each says where and what was expected. */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "snippets.h"

struct refusal {
    const char *name, *bytes;
    enum eh_status status;
    const char *words;
};

#define HEAD "<?xml version=\"1.0\"?>\n"

static const struct refusal documents[] = {
    {"nothing", "", EH_BAD_SYNTAX, "expected an XML document"},
    {"no XML", "four quarters", EH_BAD_SYNTAX, "expected an XML document"},
    {"cut short", HEAD "<score-partwise><part-list>", EH_BAD_SYNTAX, "expected an XML document"},
    {"other XML", HEAD "<html><body/></html>", EH_BAD_SYNTAX,
     "expected MusicXML (score-partwise or score-timewise), found <html>"},
    {"no parts", HEAD "<score-partwise/>", EH_BAD_SYNTAX, "expected a list of parts"},
    {"no measures",
     HEAD "<score-partwise><part-list><score-part id=\"P1\"/></part-list></score-partwise>",
     EH_EMPTY, "expected measures in part P1"},
    {"not the encoding that it says",
     "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise>\xE4</score-partwise>",
     EH_BAD_SYNTAX, "expected an XML document"},
    /* Whoever declares entities wants something else than music: they can grow without bounds and
     * name files. XML 1.0, 4.2; the well-known attacks are described in CWE-611 and CWE-776. */
    {"an external entity",
     HEAD "<!DOCTYPE score-partwise [<!ENTITY a SYSTEM \"file:///etc/passwd\">]>\n"
          "<score-partwise>&a;</score-partwise>",
     EH_NO_ACCESS, "expected no entity declarations"},
    {"entities that grow",
     HEAD "<!DOCTYPE score-partwise [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\">\n"
          "<!ENTITY c \"&b;&b;&b;&b;\">]><score-partwise>&c;</score-partwise>",
     EH_NO_ACCESS, "expected no entity declarations"},
    {"a parameter entity",
     HEAD "<!DOCTYPE score-partwise [<!ENTITY % a SYSTEM \"http://localhost/x.dtd\"> %a;]>\n"
          "<score-partwise/>",
     EH_NO_ACCESS, "expected no entity declarations"},
    {"an unparsed entity",
     HEAD "<!DOCTYPE score-partwise [<!NOTATION n SYSTEM \"n\"><!ENTITY a SYSTEM \"x\" NDATA n>]>\n"
          "<score-partwise/>",
     EH_NO_ACCESS, "expected no entity declarations"},
    {"an entity that is not declared",
     HEAD "<!DOCTYPE score-partwise SYSTEM \"file:///etc/passwd\">\n"
          "<score-partwise>&a;</score-partwise>",
     EH_BAD_SYNTAX, "expected MusicXML|expected a list of parts"},
};

Test(musicxml_bad, what_is_no_music_is_refused_with_a_word) {
    for (size_t i = 0; i + 1 < sizeof documents / sizeof documents[0]; i++) {
        const struct refusal *row = &documents[i];
        expect_refused_bytes(row->name, row->bytes, strlen(row->bytes), row->status, row->words);
    }
}

static const struct refusal music[] = {
    {"too much in a measure", MEASURE(R1) NUMBERED("2", R2 R2 R4), EH_BAD_SYNTAX,
     "measure 2: expected 4/4 in the measure|too much"},
    {"a note without length", MEASURE("<note><unpitched/><type>quarter</type></note>"),
     EH_BAD_SYNTAX, "measure 1: expected a note with a duration"},
    {"a length of nothing", MEASURE(NOTE(0, "quarter", "")), EH_BAD_SYNTAX, "measure 1: |duration"},
    {"a length beyond all measure", MEASURE(NOTE(99999999999999999999, "quarter", "")),
     EH_BAD_SYNTAX, "measure 1: |duration"},
    {"a negative length", MEASURE(NOTE(-12, "quarter", "")), EH_BAD_SYNTAX, "duration"},
    {"words for a length", MEASURE(NOTE(twelve, "quarter", "")), EH_BAD_SYNTAX, "duration"},
    {"no divisions", MEASURE("<attributes><divisions>0</divisions></attributes>" R1), EH_BAD_SYNTAX,
     "expected divisions of a quarter up to 1000000, found \"0\""},
    {"endless divisions", MEASURE("<attributes><divisions>99999999</divisions></attributes>" R1),
     EH_BAD_SYNTAX, "expected divisions"},
    {"an odd metre", MEASURE(TIME("4", "3") R1), EH_BAD_SYNTAX, "expected a metre"},
    {"an endless metre", MEASURE(TIME("400", "4") R1), EH_BAD_SYNTAX, "expected a metre"},
    {"no metre", MEASURE("<attributes><time><senza-misura/></time></attributes>" R1), EH_BAD_SYNTAX,
     "expected a metre|senza misura"},
    {"only rests", MEASURE(REST(48, "whole")), EH_EMPTY, "expected at least one note"},
    {"a tuplet that does not add up",
     MEASURE(NOTE(4, "eighth", TRIPLET) NOTE(4, "eighth", TRIPLET) NOTE(24, "half", "")
                 NOTE(12, "quarter", "") NOTE(4, "eighth", TRIPLET)),
     EH_BAD_SYNTAX, "measure 1: expected tuplets that hold as many equal notes as they say"},
    {"no ratio",
     MEASURE(NOTE(48, "whole",
                  "<time-modification><actual-notes>0</actual-notes>"
                  "<normal-notes>2</normal-notes></time-modification>")),
     EH_BAD_SYNTAX, "expected actual-notes and normal-notes"},
    {"a tremolo that leaves a part over",
     MEASURE(NOTE(36, "half", "<dot/>" NOTATIONS(TREMOLO("single", "0"))) R4)
         NUMBERED("2", R2 R4 NOTE(9, "eighth", "<dot/><dot/>" NOTATIONS(TREMOLO("single", "1")))),
     EH_BAD_SYNTAX, "measure 2: "},
    {"half a tremolo between notes", MEASURE(R2 NOTE(24, "half", NOTATIONS(TREMOLO("start", "2")))),
     EH_BAD_SYNTAX, "a second note with type \"stop\""},
    {"two notes of a voice at once",
     MEASURE(R2 "<backup><duration>12</duration></backup>" R4 R4 R4), EH_BAD_SYNTAX,
     "measure 1: expected a note after the one before it in its voice"},
    {"too many grace notes",
     MEASURE(GRACE("") GRACE("") GRACE("") GRACE("") GRACE("") GRACE("") GRACE("") GRACE("") R1),
     EH_TOO_LARGE, "measure 1: expected at most 7 grace notes"},
    {"an ending out of order",
     MEASURE(R1) NUMBERED("2", BARLINE("left", "<ending number=\"1\" type=\"start\"/>")
                                   R1 BARLINE("right", "<ending number=\"1\" type=\"stop\"/>"
                                                       "<repeat direction=\"backward\"/>"))
         NUMBERED("3", BARLINE("left", "<ending number=\"3\" type=\"start\"/>") R1),
     EH_BAD_SYNTAX, "expected ending 2"},
};

Test(musicxml_bad, music_that_cannot_be_judged_is_refused_with_its_measure) {
    for (size_t i = 0; i < sizeof music / sizeof music[0]; i++) {
        expect_refusal(music[i].name, music[i].bytes, music[i].status, music[i].words);
    }
}

/* COUNT times OPEN, as an element's content. */
static void pile(struct eh_text *out, const char *open, size_t count) {
    eh_text_add(out, HEAD "<score-partwise>");
    for (size_t i = 0; i < count; i++) {
        eh_text_add(out, open);
    }
}

Test(musicxml_bad, a_deep_document_is_refused) {
    struct eh_text document = {0};
    pile(&document, "<a>", 100000);
    expect_refused_bytes("deep", document.data, document.length, EH_BAD_SYNTAX,
                         "expected an XML document|depth");
    eh_text_deinit(&document);
}

Test(musicxml_bad, a_document_of_too_many_elements_is_refused) {
    struct eh_text document = {0};
    pile(&document, "<a/>", EH_MUSICXML_ELEMENTS_MAX);
    eh_text_add(&document, "</score-partwise>");
    expect_refused_bytes("many", document.data, document.length, EH_TOO_LARGE,
                         "expected at most 2000000 elements");
    eh_text_deinit(&document);
}

static void crowd(struct eh_text *out, int attributes) {
    eh_text_add(out, HEAD "<score-partwise");
    for (int i = 0; i < attributes; i++) {
        eh_text_printf(out, " a%d=\"\"", i);
    }
    eh_text_add(out, "/>");
}

Test(musicxml_bad, an_element_crowded_with_attributes_is_refused) {
    const int counts[] = {EH_MUSICXML_ATTRIBUTES_MAX + 1, 1000000};
    for (int i = 0; i < 2; i++) {
        struct eh_text document = {0};
        crowd(&document, counts[i]);
        expect_refused_bytes("crowded", document.data, document.length, EH_TOO_LARGE,
                             "expected at most 128 attributes");
        eh_text_deinit(&document);
    }
    struct eh_text document = {0};
    crowd(&document, EH_MUSICXML_ATTRIBUTES_MAX);
    expect_refused_bytes("at the limit", document.data, document.length, EH_BAD_SYNTAX,
                         "expected a list of parts");
    eh_text_deinit(&document);
}

Test(musicxml_bad, too_many_bytes_and_parts_are_refused) {
    const size_t length = EH_MUSICXML_BYTES_MAX + (size_t)1;
    char *blanks = malloc(length);
    memset(blanks, ' ', length);
    blanks[0] = '<';
    expect_refused_bytes("bytes", blanks, length, EH_TOO_LARGE, "bytes of XML");
    free(blanks);
    struct eh_text document = {0};
    eh_text_add(&document, HEAD "<score-partwise><part-list>");
    for (int i = 0; i <= EH_MUSICXML_PARTS_MAX; i++) {
        eh_text_printf(&document, "<score-part id=\"P%d\"/>", i);
    }
    eh_text_add(&document, "</part-list></score-partwise>");
    expect_refused_bytes("parts", document.data, document.length, EH_TOO_LARGE,
                         "expected at most 1000 parts");
    eh_text_deinit(&document);
}

/* A document type that is not read is no harm: MusicXML's own is written in most files. */
Test(musicxml_bad, a_document_type_is_passed_over_and_nothing_outside_is_opened) {
    const struct refusal *row = &documents[sizeof documents / sizeof documents[0] - 1];
    struct eh_exercise *exercise = NULL;
    struct eh_error error;
    cr_assert_neq(eh_musicxml_read(&exercise, row->bytes, strlen(row->bytes), NULL, NULL, &error),
                  EH_OK);
    cr_assert_eq(exercise, NULL);
    cr_assert_eq(strstr(error.text, "root:"), NULL);
}
