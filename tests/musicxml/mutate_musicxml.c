/* Feeds the reader real documents and archives with random damage, repeatably: a plain program for
 * every test run, where a coverage-guided fuzzer is not at hand. Arguments: rounds, seed. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/musicxml.h"
#include "fuzz_musicxml.h"
#include "random_exercise.h"

enum { ROUNDS = 3000, SEEDS = 48, LONGEST = 24 * 1024, CHANGES_MAX = 6 };

static struct eh_text seeds[2 * SEEDS]; /* documents, then archives */
static size_t document_count, seed_count;
static uint64_t state = UINT64_C(0x9E3779B97F4A7C15);

/* xorshift64* (Vigna 2016). */
static size_t below(size_t n) {
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return (size_t)((state * UINT64_C(2685821657736338717) >> 33) % (uint64_t)n);
}

/* Short ones, so that damage hits something. */
static void add_documents(void) {
    for (uint64_t seed = 1; document_count < SEEDS; seed++) {
        struct eh_exercise *exercise = random_exercise(seed);
        struct eh_text xml = {0};
        if (eh_musicxml_write(exercise, &xml) == EH_OK && xml.length < LONGEST) {
            seeds[document_count++] = xml;
        } else {
            eh_text_deinit(&xml);
        }
        eh_exercise_free(exercise);
    }
}

static void add_archives(void) {
    seed_count = document_count;
    for (uint64_t seed = 1; seed_count < 2 * SEEDS; seed++) {
        struct eh_exercise *exercise = random_exercise(seed);
        if (eh_musicxml_write_packed(exercise, &seeds[seed_count]) == EH_OK) {
            seed_count++;
        }
        eh_exercise_free(exercise);
    }
}

/* What stands in documents of others. */
static const char *const pieces[] = {
    "<chord/>",
    "<grace/>",
    "<cue/>",
    "<dot/>",
    "<backup><duration>3</duration></backup>",
    "<forward><duration>1</duration></forward>",
    "<note><rest/><duration>1</duration></note>",
    "<note><unpitched/><duration>7</duration><voice>2</voice></note>",
    "<direction><direction-type><wedge type=\"crescendo\"/></direction-type></direction>",
    "<direction><direction-type><wedge type=\"stop\"/></direction-type></direction>",
    "<direction><direction-type><words>RLRRL</words></direction-type></direction>",
    "<direction><direction-type><dynamics><sfz/></dynamics></direction-type></direction>",
    "<direction><direction-type><dynamics><p/></dynamics></direction-type>"
    "<offset>-5</offset></direction>",
    "<barline location=\"left\"><repeat direction=\"forward\"/></barline>",
    "<barline location=\"right\"><repeat direction=\"backward\" times=\"3\"/></barline>",
    "<barline location=\"left\"><ending number=\"1\" type=\"start\"/></barline>",
    "<barline location=\"right\"><ending number=\"2\" type=\"stop\"/></barline>",
    "<attributes><time><beats>5</beats><beat-type>8</beat-type></time></attributes>",
    "<attributes><divisions>7</divisions></attributes>",
    "<tie type=\"stop\"/>",
    "<notations><ornaments><tremolo type=\"start\">2</tremolo></ornaments></notations>",
    "<notations><ornaments><tremolo type=\"unmeasured\">0</tremolo></ornaments></notations>",
    "<notations><tuplet type=\"start\"/></notations>",
    "<notations><tuplet type=\"stop\"/></notations>",
    "<time-modification><actual-notes>5</actual-notes><normal-notes>4</normal-notes>"
    "</time-modification>",
    "</measure><measure number=\"x\">",
    "</measure><measure number=\"y\" implicit=\"yes\">",
    "<lyric><text>RRLL</text></lyric>",
    "<type>half</type>",
};

static const char *const numbers[] = {"0", "1",   "2",    "3",   "12",         "64",
                                      "7", "1.5", "-1",   "480", "4294967296", "99999999999999999",
                                      "",  "R",   "1e99", "255", "65535",      "0.000001"};

static void replace(struct eh_text *text, size_t at, size_t length, const char *bytes,
                    size_t count) {
    struct eh_text changed = {0};
    eh_text_add_bytes(&changed, text->data, at);
    eh_text_add_bytes(&changed, bytes, count);
    eh_text_add_bytes(&changed, text->data + at + length, text->length - at - length);
    eh_text_deinit(text);
    *text = changed;
}

/* The next place of C at or behind AT; the length if there is none. */
static size_t next_place(const struct eh_text *text, size_t at, char c) {
    const char *found = memchr(text->data + at, c, text->length - at);
    return found == NULL ? text->length : (size_t)(found - text->data);
}

/* Behind some element's end. */
static size_t some_gap(const struct eh_text *text) {
    const size_t gap = next_place(text, below(text->length), '>');
    return gap == text->length ? gap : gap + 1;
}

static void change_number(struct eh_text *text) {
    size_t at = below(text->length);
    while (at < text->length && (text->data[at] < '0' || text->data[at] > '9')) {
        at++;
    }
    size_t length = 0;
    while (at + length < text->length && text->data[at + length] >= '0' &&
           text->data[at + length] <= '9') {
        length++;
    }
    const char *number = numbers[below(sizeof numbers / sizeof numbers[0])];
    replace(text, at, length, number, strlen(number));
}

/* Takes out, or doubles, the lines from one place to another: mostly whole elements. */
static void change_lines(struct eh_text *text, bool twice) {
    const size_t from = next_place(text, below(text->length), '\n');
    size_t to = from;
    for (size_t lines = 1 + below(20); lines > 0 && to < text->length; lines--) {
        to = next_place(text, to + 1 < text->length ? to + 1 : to, '\n');
    }
    struct eh_text lines = {0};
    eh_text_add_bytes(&lines, text->data + from, to - from);
    if (twice) {
        replace(text, some_gap(text), 0, eh_text_string(&lines), lines.length);
    } else {
        replace(text, from, to - from, "", 0);
    }
    eh_text_deinit(&lines);
}

static void change_document(struct eh_text *text) {
    const char *piece = pieces[below(sizeof pieces / sizeof pieces[0])];
    const char byte = (char)below(256);
    switch (below(8)) {
    case 0:
    case 1:
    case 2:
        replace(text, some_gap(text), 0, piece, strlen(piece));
        return;
    case 3:
    case 4:
        change_number(text);
        return;
    case 5:
        change_lines(text, true);
        return;
    case 6:
        change_lines(text, false);
        return;
    default:
        if (below(8) == 0) { /* mostly no XML any more */
            replace(text, below(text->length), 1, &byte, 1);
        }
        return;
    }
}

static void change_archive(struct eh_text *text) {
    const size_t at = below(text->length);
    const char byte = (char)below(256);
    switch (below(4)) {
    case 0:
        text->data[at] = (char)(text->data[at] ^ (1 << below(8)));
        return;
    case 1:
        replace(text, at, 1, &byte, 1);
        return;
    case 2:
        replace(text, at, text->length - at, "", 0);
        return;
    default:
        replace(text, at, text->length - at < 9 ? text->length - at : 1 + below(8), "", 0);
        return;
    }
}

static bool round_once(void) {
    const bool archive = below(4) == 0;
    const size_t which =
        archive ? document_count + below(seed_count - document_count) : below(document_count);
    struct eh_text text = {0};
    eh_text_add_bytes(&text, seeds[which].data, seeds[which].length);
    for (size_t n = 1 + below(CHANGES_MAX); n > 0 && text.length > 1; n--) {
        if (archive) {
            change_archive(&text);
        } else {
            change_document(&text);
        }
    }
    /* of exactly this length, so that a sanitizer sees a read beyond it */
    uint8_t *bytes = malloc(text.length + (text.length == 0));
    if (bytes != NULL) {
        memcpy(bytes, eh_text_string(&text), text.length);
        (void)LLVMFuzzerTestOneInput(bytes, text.length);
    }
    free(bytes);
    eh_text_deinit(&text);
    return fuzz_accepted;
}

int main(int argc, char **argv) {
    const long rounds = argc > 1 ? strtol(argv[1], NULL, 10) : ROUNDS;
    state += argc > 2 ? strtoull(argv[2], NULL, 10) : 0;
    add_documents();
    add_archives();
    long accepted = 0;
    for (long i = 0; i < rounds; i++) {
        accepted += round_once();
    }
    for (size_t i = 0; i < seed_count; i++) {
        eh_text_deinit(&seeds[i]);
    }
    printf("%ld damaged files from %zu seeds, %ld read all the same: no promise broken\n", rounds,
           seed_count, accepted);
    return accepted > rounds / 20 ? EXIT_SUCCESS : EXIT_FAILURE; /* else it never went deep */
}
