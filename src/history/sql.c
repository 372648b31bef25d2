#include "store_parts.h"

#define RUN_COLUMNS                                                                                \
    "run.number, started_utc_s, utc_offset_s, source, ended, player, port, demo_fault, demo_seed," \
    " exercise, style, first_bar, last_bar, passes, gap_ticks, tempo_bpm, dropped,"                \
    " no_click, count_off, sitting, stage, silent_bars, version, headline, faults, unclear"

/* Columns are read by place: see read_common in run_columns.c. */
const char *const eh_store_sql[Q_COUNT] = {
    [Q_RUN_ADD] =
        "INSERT INTO run (started_utc_s, utc_offset_s, source, player, port, demo_fault,"
        " demo_seed, exercise, exercise_sheet, style, style_sheet, pad_sheet, first_bar,"
        " last_bar, passes, gap_ticks, tempo_bpm, zero_ns, resolution_ns, no_click, count_off,"
        " sitting, stage, silent_bars)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16,"
        " ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24)",
    [Q_RUN_END] = "UPDATE run SET ended = ?2, dropped = ?3 WHERE number = ?1",
    [Q_RUN_DELETE] = "DELETE FROM run WHERE number = ?1",
    [Q_RUN_EXISTS] = "SELECT 1 FROM run WHERE number = ?1",
    [Q_RUN_NUMBERS] = "SELECT number FROM run ORDER BY number",
    [Q_RUN_GET] = "SELECT " RUN_COLUMNS ", json, exercise_sheet.text, style_sheet.text,"
                  " pad_sheet.text, zero_ns, resolution_ns,"
                  " (SELECT count(*) FROM metre WHERE run = ?1),"
                  " (SELECT count(*) FROM click WHERE run = ?1)"
                  " FROM run"
                  " JOIN sheet AS exercise_sheet ON exercise_sheet.id = run.exercise_sheet"
                  " JOIN sheet AS style_sheet ON style_sheet.id = run.style_sheet"
                  " JOIN sheet AS pad_sheet ON pad_sheet.id = run.pad_sheet"
                  " LEFT JOIN judgement ON judgement.run = run.number"
                  " WHERE run.number = ?1",
    [Q_RUN_LIST] = "SELECT " RUN_COLUMNS ", CASE WHEN ?5 THEN json END,"
                   " (SELECT coalesce(max(number) + 1, 0) FROM hit WHERE hit.run = run.number)"
                   " FROM run LEFT JOIN judgement ON judgement.run = run.number"
                   " WHERE (?1 IS NULL OR exercise = ?1) AND (?2 IS NULL OR player = ?2)"
                   " AND (?3 IS NULL OR started_utc_s >= ?3)"
                   " AND (?4 IS NULL OR run.number < ?4)"
                   " AND (?7 IS NULL OR sitting = ?7)"
                   " ORDER BY run.number DESC LIMIT ?6",
    [Q_SHEET_ADD] = "INSERT INTO sheet (text) VALUES (?1) ON CONFLICT (text) DO NOTHING",
    [Q_SHEET_FIND] = "SELECT id FROM sheet WHERE text = ?1",
    [Q_SHEET_SWEEP] = "DELETE FROM sheet WHERE id NOT IN (SELECT exercise_sheet FROM run UNION"
                      " SELECT style_sheet FROM run UNION SELECT pad_sheet FROM run)",
    [Q_METRE_ADD] = "INSERT INTO metre (run, number, at_ticks, beats, unit)"
                    " VALUES (?1, ?2, ?3, ?4, ?5)",
    [Q_METRE_GET] = "SELECT number, at_ticks, beats, unit FROM metre WHERE run = ?1"
                    " ORDER BY number",
    /* An item that is stored already counts as changed only when it is the same one. */
    [Q_CLICK_ADD] = "INSERT INTO click (run, number, at_ticks, at_ns) VALUES (?1, ?2, ?3, ?4)"
                    " ON CONFLICT (run, number) DO UPDATE SET at_ns = excluded.at_ns"
                    " WHERE at_ticks = excluded.at_ticks AND at_ns = excluded.at_ns",
    [Q_CLICK_GET] = "SELECT number, at_ticks, at_ns FROM click WHERE run = ?1 ORDER BY number",
    [Q_CLICK_NEXT] = "SELECT coalesce(max(number) + 1, 0) FROM click WHERE run = ?1",
    [Q_HIT_ADD] = "INSERT INTO hit (run, number, at_ns, velocity, note, channel)"
                  " VALUES (?1, ?2, ?3, ?4, ?5, ?6)"
                  " ON CONFLICT (run, number) DO UPDATE SET at_ns = excluded.at_ns"
                  " WHERE at_ns = excluded.at_ns AND velocity = excluded.velocity"
                  " AND note = excluded.note AND channel = excluded.channel",
    [Q_HIT_GET] = "SELECT number, at_ns, velocity, note, channel FROM hit WHERE run = ?1"
                  " ORDER BY number",
    [Q_HIT_NEXT] = "SELECT coalesce(max(number) + 1, 0) FROM hit WHERE run = ?1",
    [Q_VERDICT_SET] = "INSERT INTO judgement (run, version, json, headline, faults, unclear)"
                      " VALUES (?1, ?2, ?3, ?4, ?5, ?6)"
                      " ON CONFLICT (run) DO UPDATE SET version = excluded.version,"
                      " json = excluded.json, headline = excluded.headline,"
                      " faults = excluded.faults, unclear = excluded.unclear",
    [Q_PAD_SET] = "INSERT INTO pad (port, player, made_utc_s, text) VALUES (?1, ?2, ?3, ?4)"
                  " ON CONFLICT (port, player) DO UPDATE SET made_utc_s = excluded.made_utc_s,"
                  " text = excluded.text",
    [Q_PAD_GET] = "SELECT port, player, made_utc_s, text FROM pad WHERE port = ?1 AND player = ?2",
    [Q_PAD_PLAYERS] = "SELECT player FROM pad WHERE port = ?1 ORDER BY player",
    [Q_PAD_LIST] = "SELECT port, player, made_utc_s, text FROM pad ORDER BY port, player",
    [Q_PAD_DELETE] = "DELETE FROM pad WHERE port = ?1 AND player = ?2",
    [Q_SITTING_ADD] = "INSERT INTO sitting (kind, begun_utc_s, utc_offset_s, player, exercise,"
                      " asked) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    [Q_SITTING_EXISTS] = "SELECT 1 FROM sitting WHERE number = ?1",
    [Q_SITTING_LIST] = "SELECT number, begun_utc_s, utc_offset_s, kind, player, exercise, asked"
                       " FROM sitting WHERE (?1 IS NULL OR kind = ?1)"
                       " AND (?2 IS NULL OR player = ?2) AND (?3 IS NULL OR exercise = ?3)"
                       " AND (?4 IS NULL OR asked = ?4) ORDER BY number DESC LIMIT ?5",
    [Q_KEPT_SET] = "INSERT INTO kept (name, value) VALUES (?1, ?2)"
                   " ON CONFLICT (name) DO UPDATE SET value = excluded.value",
    [Q_KEPT_GET] = "SELECT value FROM kept WHERE name = ?1",
    [Q_CHECK] = "PRAGMA integrity_check(1)",
    [Q_CHECK_KEYS] = "PRAGMA foreign_key_check",
    [Q_COPY] = "VACUUM INTO ?1",
};
