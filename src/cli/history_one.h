/* What can be done with one stored run. */
#ifndef EVENHAND_CLI_HISTORY_ONE_H
#define EVENHAND_CLI_HISTORY_ONE_H

#include <stdbool.h>
#include <stdint.h>

/* Both return CLI_GOOD, or CLI_FAILED after a complaint. DB: what --db said, or NULL. */

/* Prints what is known of a run; with JSON, its judgement as it was kept. */
int history_show(int64_t run, bool json, const char *db);

/* Writes a run as a Standard MIDI File at PATH, which must not exist yet. */
int history_export(int64_t run, const char *path, const char *db);

#endif
