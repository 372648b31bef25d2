#include "schema.h"

#include <stdio.h>

/* Never change a step that has been released: add one. docs/history.md gives the reasons. */
static const char step_1[] =
    "CREATE TABLE sheet ("
    "  id INTEGER PRIMARY KEY,"
    "  text TEXT NOT NULL UNIQUE"
    ") STRICT;"

    "CREATE TABLE run ("
    "  number INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  started_utc_s INTEGER NOT NULL,"
    "  utc_offset_s INTEGER NOT NULL CHECK (utc_offset_s BETWEEN -86400 AND 86400),"
    "  source TEXT NOT NULL CHECK (source IN ('live', 'demo', 'file')),"
    "  player TEXT NOT NULL,"
    "  port TEXT NOT NULL,"
    "  demo_fault TEXT NOT NULL,"
    "  demo_seed TEXT NOT NULL,"
    "  exercise TEXT NOT NULL,"
    "  exercise_sheet INTEGER NOT NULL REFERENCES sheet,"
    "  style TEXT NOT NULL,"
    "  style_sheet INTEGER NOT NULL REFERENCES sheet,"
    "  pad_sheet INTEGER NOT NULL REFERENCES sheet,"
    "  first_bar INTEGER NOT NULL CHECK (first_bar >= 0),"
    "  last_bar INTEGER NOT NULL CHECK (last_bar >= 0),"
    "  passes INTEGER NOT NULL CHECK (passes >= 0),"
    "  gap_ticks INTEGER NOT NULL CHECK (gap_ticks >= 0),"
    "  tempo_bpm REAL NOT NULL CHECK (tempo_bpm >= 1),"
    "  zero_ns INTEGER NOT NULL,"
    "  resolution_ns INTEGER NOT NULL CHECK (resolution_ns >= 0),"
    "  dropped INTEGER NOT NULL DEFAULT 0 CHECK (dropped BETWEEN 0 AND 4294967295),"
    "  ended TEXT NOT NULL DEFAULT 'unfinished' CHECK (ended IN"
    "    ('unfinished', 'complete', 'silence', 'stopped', 'vanished'))"
    ") STRICT;"
    "CREATE INDEX run_by_exercise ON run (exercise);"
    "CREATE INDEX run_by_player ON run (player);"

    "CREATE TABLE metre ("
    "  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,"
    "  number INTEGER NOT NULL CHECK (number >= 0),"
    "  at_ticks INTEGER NOT NULL,"
    "  beats INTEGER NOT NULL CHECK (beats BETWEEN 1 AND 255),"
    "  unit INTEGER NOT NULL CHECK (unit BETWEEN 1 AND 255),"
    "  PRIMARY KEY (run, number)"
    ") STRICT, WITHOUT ROWID;"

    "CREATE TABLE click ("
    "  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,"
    "  number INTEGER NOT NULL CHECK (number >= 0),"
    "  at_ticks INTEGER NOT NULL,"
    "  at_ns INTEGER NOT NULL,"
    "  PRIMARY KEY (run, number)"
    ") STRICT, WITHOUT ROWID;"

    "CREATE TABLE hit ("
    "  run INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,"
    "  number INTEGER NOT NULL CHECK (number >= 0),"
    "  at_ns INTEGER NOT NULL,"
    "  velocity INTEGER NOT NULL CHECK (velocity BETWEEN 0 AND 65535),"
    "  note INTEGER NOT NULL CHECK (note BETWEEN 0 AND 127),"
    "  channel INTEGER NOT NULL CHECK (channel BETWEEN 0 AND 15),"
    "  PRIMARY KEY (run, number)"
    ") STRICT, WITHOUT ROWID;"

    "CREATE TABLE judgement ("
    "  run INTEGER PRIMARY KEY REFERENCES run ON DELETE CASCADE,"
    "  version INTEGER NOT NULL,"
    "  json TEXT NOT NULL,"
    "  headline TEXT NOT NULL,"
    "  faults INTEGER NOT NULL CHECK (faults BETWEEN 0 AND 4294967295),"
    "  unclear INTEGER NOT NULL CHECK (unclear BETWEEN 0 AND 4294967295)"
    ") STRICT;";

/* What a player's calibration found out about the pad on a port. */
static const char step_2[] = "CREATE TABLE pad ("
                             "  port TEXT NOT NULL,"
                             "  player TEXT NOT NULL,"
                             "  made_utc_s INTEGER NOT NULL CHECK (made_utc_s >= 0),"
                             "  text TEXT NOT NULL,"
                             "  PRIMARY KEY (port, player)"
                             ") STRICT, WITHOUT ROWID;";

/* Runs without a click: until then every run had one. */
static const char step_3[] = "ALTER TABLE run ADD COLUMN no_click INTEGER NOT NULL DEFAULT 0"
                             "  CHECK (no_click IN (0, 1));"
                             "ALTER TABLE run ADD COLUMN count_off INTEGER NOT NULL DEFAULT 0"
                             "  CHECK (count_off BETWEEN 0 AND 255);";

/* Runs that belong together: a ladder's, an audition's, a day's. And small things to remember. */
static const char step_4[] =
    "CREATE TABLE sitting ("
    "  number INTEGER PRIMARY KEY AUTOINCREMENT,"
    "  kind TEXT NOT NULL,"
    "  begun_utc_s INTEGER NOT NULL,"
    "  utc_offset_s INTEGER NOT NULL CHECK (utc_offset_s BETWEEN -86400 AND 86400),"
    "  player TEXT NOT NULL,"
    "  exercise TEXT NOT NULL,"
    "  asked TEXT NOT NULL"
    ") STRICT;"
    "ALTER TABLE run ADD COLUMN sitting INTEGER REFERENCES sitting ON DELETE SET NULL;"
    "ALTER TABLE run ADD COLUMN stage TEXT NOT NULL DEFAULT '';"
    "ALTER TABLE run ADD COLUMN silent_bars TEXT NOT NULL DEFAULT '';"
    "CREATE INDEX run_by_sitting ON run (sitting);"
    "CREATE TABLE kept (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;";

static const char *const steps[] = {step_1, step_2, step_3, step_4};

const struct eh_schema eh_schema_history = {steps, (int)(sizeof steps / sizeof steps[0])};

struct header {
    int64_t application, version, objects;
};

static enum eh_status read_header(struct eh_db *db, struct header *out_header) {
    enum eh_status status = eh_db_number(db, "PRAGMA application_id", &out_header->application);
    if (status == EH_OK) {
        status = eh_db_number(db, "PRAGMA user_version", &out_header->version);
    }
    if (status == EH_OK) {
        status = eh_db_number(db, "SELECT count(*) FROM sqlite_schema", &out_header->objects);
    }
    return status;
}

static enum eh_status classify(struct eh_db *db, const struct header *header,
                               const struct eh_schema *schema, enum eh_schema_state *out_state) {
    if (header->application == 0 && header->version == 0 && header->objects == 0) {
        *out_state = EH_SCHEMA_EMPTY;
        return EH_OK;
    }
    if (header->application != EH_APPLICATION_ID) {
        return eh_fail(eh_db_error(db), EH_DAMAGED,
                       "not a history: the file is another program's SQLite database");
    }
    if (header->version > schema->count) {
        return eh_fail(eh_db_error(db), EH_NEWER_VERSION,
                       "the history was written by a newer evenhand (its version %lld, this "
                       "program knows up to %d); use the newer program",
                       (long long)header->version, schema->count);
    }
    if (header->version < 1) {
        return eh_fail(eh_db_error(db), EH_DAMAGED,
                       "the history is damaged (it has no version); put back a copy");
    }
    *out_state = header->version < schema->count ? EH_SCHEMA_OLDER : EH_SCHEMA_CURRENT;
    return EH_OK;
}

enum eh_status eh_schema_look(struct eh_db *db, const struct eh_schema *schema,
                              enum eh_schema_state *out_state) {
    struct header header = {0};
    *out_state = EH_SCHEMA_EMPTY;
    enum eh_status status = eh_db_begin_read(db);
    if (status == EH_OK) {
        status = eh_db_finish(db, read_header(db, &header));
    }
    return status == EH_OK ? classify(db, &header, schema, out_state) : status;
}

static enum eh_status take_steps(struct eh_db *db, const struct eh_schema *schema) {
    struct header header = {0};
    enum eh_schema_state state = EH_SCHEMA_EMPTY;
    enum eh_status status = read_header(db, &header);
    if (status == EH_OK) {
        status = classify(db, &header, schema, &state);
    }
    for (int64_t v = header.version; v < schema->count && status == EH_OK; v++) {
        status = eh_db_script(db, schema->steps[v]);
    }
    if (status == EH_OK && state != EH_SCHEMA_CURRENT) {
        char pragmas[96];
        (void)snprintf(pragmas, sizeof pragmas,
                       "PRAGMA application_id = %d; PRAGMA user_version = %d", EH_APPLICATION_ID,
                       schema->count);
        status = eh_db_script(db, pragmas);
    }
    return status;
}

enum eh_status eh_schema_upgrade(struct eh_db *db, const struct eh_schema *schema) {
    const enum eh_status status = eh_db_begin_write(db, EH_DB_PATIENT_MS);
    return status == EH_OK ? eh_db_finish(db, take_steps(db, schema)) : status;
}
