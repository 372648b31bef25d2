/* The exercise that was asked for: a shipped or own one by name, or a file. */
#ifndef EVENHAND_CLI_EXERCISE_FIND_H
#define EVENHAND_CLI_EXERCISE_FIND_H

#include "evenhand/exercise.h"
#include "evenhand/text.h"
#include "names.h"

#define EXERCISE_SUFFIX ".txt"

struct found_exercise {
    struct eh_exercise *exercise; /* owned */
    char name[NAMES_NAME];        /* "five-stroke-rolls": as listed, or from the file's name */
    struct eh_text text; /* owned; as it stands in the file (of MusicXML: as we print it) */
};

/* The option with which a part of a MusicXML score is chosen: a row for the tables of options. */
#define EXERCISE_PART_ROW(TARGET)                                                                  \
    OPTION_ROW_TEXT("part", "NAME", "the part of a MusicXML score, by name or id", TARGET)

/* Finds and reads WANTED; PART is a part of a MusicXML score, NULL where none is asked for. Returns
 * CLI_GOOD, or CLI_FAILED after a complaint on standard error (the place and the line of a mistake,
 * the nearest names of an unknown exercise); OUT is empty then. */
int exercise_find(struct found_exercise *out, const char *wanted, const char *part);

/* The same for a file at PATH. */
int exercise_read(struct found_exercise *out, const char *path, const char *part);

/* The same for a text that came from elsewhere; WHERE names it in complaints ("run:12"). */
int exercise_from_text(struct found_exercise *out, const char *name, const char *where,
                       const char *text, size_t length);

/* Every exercise there is. Give it back with names_deinit. */
void exercise_names(struct names *out_names);

/* Frees what it owns; an all-zero one is accepted. */
void exercise_deinit(struct found_exercise *found);

#endif
