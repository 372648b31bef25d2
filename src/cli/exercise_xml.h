/* An exercise from a MusicXML file. */
#ifndef EVENHAND_CLI_EXERCISE_XML_H
#define EVENHAND_CLI_EXERCISE_XML_H

#include <stdbool.h>

#include "exercise_find.h"

/* Whether the file at PATH is meant to be MusicXML, by its name. */
bool exercise_xml_is_named(const char *path);

/* Reads OUT->text, the bytes of the file at PATH, into an exercise; OUT->text becomes that exercise
 * in our own format. PART chooses a part (NULL: see musicxml.h). What was not understood is listed
 * on standard error. Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int exercise_xml_read(struct found_exercise *out, const char *path, const char *part);

#endif
