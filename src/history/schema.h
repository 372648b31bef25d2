/* The tables, as ordered steps: step 1 makes a new file's, each later one brings the file of the
 * version before up to date. The file knows its version (PRAGMA user_version). */
#ifndef EVENHAND_HISTORY_SCHEMA_H
#define EVENHAND_HISTORY_SCHEMA_H

#include <stddef.h>

#include "db.h"

/* In the file's header (PRAGMA application_id): "EvHd". Tells our files from other programs'. */
#define EH_APPLICATION_ID 0x45764864

struct eh_schema {
    const char *const *steps;
    int count; /* the version that the last step leads to */
};

extern const struct eh_schema eh_schema_history;

enum eh_schema_state { EH_SCHEMA_EMPTY, EH_SCHEMA_OLDER, EH_SCHEMA_CURRENT };

/* Whose file it is and of which version; changes nothing. Errors: EH_DAMAGED (another program's),
 * EH_NEWER_VERSION. */
EH_MUST_USE enum eh_status eh_schema_look(struct eh_db *db, const struct eh_schema *schema,
                                          enum eh_schema_state *out_state);

/* Takes the steps that are missing, all or none. Two programs may do it at once. */
EH_MUST_USE enum eh_status eh_schema_upgrade(struct eh_db *db, const struct eh_schema *schema);

#endif
