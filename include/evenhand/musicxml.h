/* Exercises as MusicXML 4.0 (W3C Music Notation Community Group, 2021), plain (.musicxml, .xml) and
 * compressed (.mxl). docs/musicxml.md says what is read, what is written and what is refused.
 *
 * No files are touched: bytes in, bytes out. Nothing outside the bytes is ever opened: documents
 * that declare entities are refused, a document type's external subset is not read, and there is
 * no network. Any thread; the first call must not run at the same time as another's. */
#ifndef EVENHAND_MUSICXML_H
#define EVENHAND_MUSICXML_H

#include <stdbool.h>
#include <stddef.h>

#include "evenhand/exercise.h"
#include "evenhand/status.h"
#include "evenhand/text.h"

/* Limits; what lies beyond one is refused with EH_TOO_LARGE. A page of a snare drum part takes
 * about 100 kilobytes and 5,000 elements; an orchestra's whole score some 30 megabytes. */
enum {
    EH_MUSICXML_BYTES_MAX = 64 * 1024 * 1024, /* of XML, unpacked too */
    EH_MUSICXML_ELEMENTS_MAX = 2000000,
    EH_MUSICXML_ATTRIBUTES_MAX = 128, /* of one element */
    EH_MUSICXML_PARTS_MAX = 1000,
    EH_MUSICXML_PACKED_MAX = 16 * 1024 * 1024,  /* of an .mxl file */
    EH_MUSICXML_ENTRIES_MAX = 1000,             /* in an .mxl file */
    EH_MUSICXML_RATIO_MAX = 400,                /* an entry, unpacked against packed ... */
    EH_MUSICXML_RATIO_FREE_BYTES = 1024 * 1024, /* ... from this unpacked size on */
    EH_MUSICXML_REMARKS_MAX = 200 /* different ones; further ones are counted, not kept */
};

/* Something that was not understood, or that was read in a way that should be known. */
struct eh_musicxml_remark {
    int line;          /* of the first place, from 1; 0 where it concerns the file */
    char measures[96]; /* "3, 4, 17", by the numbers on the paper; "" where it concerns the file */
    char text[240];    /* one sentence, no full stop */
};

struct eh_musicxml_remarks {
    struct eh_musicxml_remark *rows; /* owned */
    size_t count;
    size_t left_out; /* beyond EH_MUSICXML_REMARKS_MAX */
};

/* Frees what it owns; an all-zero one is accepted. */
void eh_musicxml_remarks_deinit(struct eh_musicxml_remarks *remarks);

/* Whether the bytes look like MusicXML or an .mxl file: by how they begin, not by a name. */
bool eh_musicxml_recognise(const void *bytes, size_t length);

/* Reads the part named PART: its name, its abbreviation or its id, letters compared without case.
 * With PART NULL: the only part, else the first one with a percussion clef, else the first; which
 * one that was is remarked. On success *OUT is a new exercise, to be freed with eh_exercise_free;
 * else *OUT is NULL and ERROR (NULL is accepted) says what, with the line where there is one
 * (column 0: not known). REMARKS (all-zero before; NULL is accepted) gets what was not understood,
 * in the order of the paper, on success and on failure.
 *
 * Errors: EH_BAD_SYNTAX (no XML; no MusicXML; music that cannot be judged, with its measure),
 * EH_DAMAGED (an .mxl file that is broken), EH_NO_ACCESS (entities are declared, or the .mxl file
 * is encrypted), EH_NOT_FOUND (no such part; the parts there are are named), EH_EMPTY (no strokes),
 * EH_TOO_LARGE, EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_musicxml_read(struct eh_exercise **out, const void *bytes,
                                            size_t length, const char *part,
                                            struct eh_musicxml_remarks *remarks,
                                            struct eh_error *error);

/* Appends the exercise as a MusicXML 4.0 document (UTF-8, score-partwise, one part). Reading it
 * gives the same bars and strokes, words and tempi. Errors: EH_TOO_LARGE (the limits above),
 * EH_NO_MEMORY. */
EH_MUST_USE enum eh_status eh_musicxml_write(const struct eh_exercise *exercise,
                                             struct eh_text *out);

/* The same, compressed: an .mxl file. The same exercise gives the same bytes. */
EH_MUST_USE enum eh_status eh_musicxml_write_packed(const struct eh_exercise *exercise,
                                                    struct eh_text *out);

#endif
