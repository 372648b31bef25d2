/* Writing an exercise as MusicXML. */
#ifndef MUSICXML_WRITE_H
#define MUSICXML_WRITE_H

#include <stdint.h>

#include "evenhand/exercise.h"
#include "evenhand/written.h"
#include "xml_out.h"

/* One sounding item (note, rest, hold) with what stands around it. */
struct write_item {
    struct eh_written_item item;
    struct eh_written_item source; /* a hold: the note that it prolongs; else the item itself */
    bool tied_from, tied_to;       /* a tie leads here, away from here */
    int actual, normal;            /* of all groups around, multiplied; 1 in 1 outside */
    int depth;                     /* groups around */
    int starts, stops;             /* groups that begin before it, that end after it */
    uint8_t start_actual[EH_WRITTEN_DEPTH_MAX]; /* of those that begin, from the outermost */
    uint8_t start_normal[EH_WRITTEN_DEPTH_MAX];
    uint8_t beams; /* how many beams or flags its value has */
    char beam[8];  /* of each level: '\0' none, b begin, c continue, e end, f forward hook, k back
                      hook */
};

/* The note itself, its grace notes before it. DIVISION: ticks a division. */
void write_note(struct xml_out *xml, const struct write_item *item, eh_ticks division);

/* Says which notes of a bar are beamed together: those of one beat that are shorter than a
 * quarter. */
void write_beams(struct write_item *items, size_t count, const struct eh_written_bar *bar);

#endif
