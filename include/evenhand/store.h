/* The history: every run that was played, kept in one SQLite file.
 *
 * Kept are the hits as they came, the clicks as they sounded and everything that is needed to
 * judge the run again: the exercise, the style and the pad as texts, the bars and passes that were
 * asked for. Judgements are a cache beside them. A run is written while it is played, in chunks:
 * what was appended survives the end of the program, however it ends. docs/history.md shows the
 * tables, with the reason for each.
 *
 * Threads: one thread at a time may use one store. Several programs may use one file; a writer
 * never keeps a reader waiting. Strings are UTF-8 by convention but kept as they are given.
 *
 * Errors: every function that fails says so in words, in its ERROR or, where it has none, in
 * eh_store_error(store). Besides those named at a function, each may return EH_NO_MEMORY,
 * EH_IO_FAILED (the disk is full, the device refused), EH_BUSY (another program is writing; try
 * again), EH_NO_ACCESS (the file or folder must not be written) and EH_DAMAGED. No failure leaves
 * anything half-written, and the store can be used again after any of them. */
#ifndef EVENHAND_STORE_H
#define EVENHAND_STORE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/plan.h"
#include "evenhand/status.h"
#include "evenhand/time.h"

struct eh_store;

enum eh_store_mode {
    EH_STORE_READ, /* never creates, never changes what is stored; works in a read-only folder */
    EH_STORE_WRITE /* creates the file, not its folder; brings an older file up to date */
};

/* Opens the history at PATH. Errors: EH_NOT_FOUND (READ: no such file, or nothing in it yet;
 * WRITE: no such folder), EH_NO_ACCESS (no permission; PATH is a folder), EH_NEWER_VERSION,
 * EH_DAMAGED (not a database, another program's database, or damaged). A file that is refused is
 * left as it is. On failure *OUT_STORE is NULL. */
EH_MUST_USE enum eh_status eh_store_open(struct eh_store **out_store, const char *path,
                                         enum eh_store_mode mode, struct eh_error *error);

/* Folds the journal into the file and closes it. NULL is accepted. */
void eh_store_close(struct eh_store *store);

/* The last failure of this store; a view, valid until the next call. */
const struct eh_error *eh_store_error(const struct eh_store *store);

/* Reads the whole file and holds it against its own rules. Slow (seconds for a large file).
 * Errors: EH_DAMAGED, saying what was found first. */
EH_MUST_USE enum eh_status eh_store_check(struct eh_store *store, struct eh_error *error);

/* ---- Writing a run ---- */

enum eh_run_source { EH_SOURCE_LIVE, EH_SOURCE_DEMO, EH_SOURCE_FILE };

enum eh_run_ended {
    EH_RUN_UNFINISHED, /* still being played, or the program was killed */
    EH_RUN_COMPLETE,   /* the exercise's end was reached */
    EH_RUN_SILENCE,    /* the player fell silent */
    EH_RUN_STOPPED,    /* the player stopped it */
    EH_RUN_VANISHED    /* the port or the server went away */
};

/* Everything known when a run begins. Strings: NULL counts as "". Arrays and strings are only read
 * during the call. */
struct eh_run_info {
    int64_t started_utc_s; /* seconds since 1970-01-01 00:00 UTC, without leap seconds */
    int32_t utc_offset_s;  /* where it was played: local time less UTC, -86400 .. 86400 */
    enum eh_run_source source;
    const char *player;        /* "" where nobody is named */
    const char *port;          /* MIDI port or file */
    const char *demo_fault;    /* demo player: the fault asked for, else "" */
    const char *demo_seed;     /* demo player: its seed, else "" */
    const char *exercise;      /* name */
    const char *exercise_text; /* as played, canonical print */
    const char *style;         /* name */
    const char *style_text;    /* INI text of the style as used */
    const char *pad_text;      /* the pad's settings as used */
    struct eh_plan_request plan;
    bool no_click;           /* played to the player's own tempo: at most a count-in sounded */
    int32_t count_off;       /* no click: so many taps of the player's own come first; 0 = none */
    int64_t sitting;         /* it belongs to this one (eh_store_sitting_begin); 0 = to none */
    const char *stage;       /* what it was in its sitting, a word of the sitting's own kind */
    const char *silent_bars; /* bars in which the click was silent, as eh_silent_print has them */
    double tempo_bpm;        /* nominal, of the click; 1 .. 6e7 */
    int64_t zero_ns;         /* take's clock: when tick 0 is meant to sound; the click's map rests
                                on it while no click has been added */
    int64_t resolution_ns;   /* >= 0 */
    const struct eh_metre_change *metres; /* rising; none counts as 4/4 from tick 0 */
    size_t metre_count;
};

/* A click that sounded (or a point of a file's tempo map): tick AT sounded at AT_NS. */
struct eh_run_click {
    eh_ticks at;
    int64_t at_ns; /* take's clock */
};

/* Begins a run and gives its number (1, 2 ...; never given twice, even after a deletion). WRITE
 * only. Errors: EH_OUT_OF_RANGE (a number outside its range). Waits up to 3 s for another
 * writer. */
EH_MUST_USE enum eh_status eh_store_run_begin(struct eh_store *store,
                                              const struct eh_run_info *info, int64_t *out_run);

/* Appends hits (clicks) in order of arrival, all or none. After a failure the same items, or these
 * and later ones, may be given again: the store numbers them, and an item that did reach the disk
 * is not stored twice. Waits at most 50 ms for another writer, so that a practice can call it
 * while it runs. N may be 0. Errors: EH_NOT_FOUND (no such run), EH_OUT_OF_RANGE (a note above 127
 * or a channel above 15). */
EH_MUST_USE enum eh_status eh_store_run_add_hits(struct eh_store *store, int64_t run,
                                                 const struct eh_hit *hits, size_t n);
EH_MUST_USE enum eh_status eh_store_run_add_clicks(struct eh_store *store, int64_t run,
                                                   const struct eh_run_click *clicks, size_t n);

/* Says how the run ended and how many hits were lost on the way in, and sees to it that all of it
 * has reached the disk. Waits up to 3 s. May be called again. Errors: EH_NOT_FOUND. */
EH_MUST_USE enum eh_status eh_store_run_end(struct eh_store *store, int64_t run,
                                            enum eh_run_ended ended, uint32_t dropped);

/* A judgement to be kept beside the run. It can always be made again from the run. */
struct eh_run_verdict {
    int32_t version;      /* of the judge that made it */
    const char *json;     /* the document; NULL or "": only the line below is kept */
    const char *headline; /* one plain line for lists */
    uint32_t faults;      /* findings that are faults */
    uint32_t unclear;     /* findings that are unclear */
};

/* Replaces the run's cached judgement. Errors: EH_NOT_FOUND. */
EH_MUST_USE enum eh_status eh_store_run_set_judgement(struct eh_store *store, int64_t run,
                                                      const struct eh_run_verdict *verdict);

/* Removes a run with everything that belongs to it. Errors: EH_NOT_FOUND. */
EH_MUST_USE enum eh_status eh_store_run_delete(struct eh_store *store, int64_t run,
                                               struct eh_error *error);

/* ---- Reading ---- */

struct eh_run {
    int64_t number;
    struct eh_run_info info; /* its strings and metres belong to this run */
    enum eh_run_ended ended;
    struct eh_take take;               /* source "run:12"; every hit that came; click by
                                          eh_click_map_from_times */
    const struct eh_run_click *clicks; /* as they were appended */
    size_t click_count;
    bool judged; /* a judgement is cached; else VERDICT is empty */
    struct eh_run_verdict verdict;
    void *memory; /* owned; behind the pointers above */
};

/* Loads a run whole. On failure OUT_RUN is empty. Errors: EH_NOT_FOUND (the words say which runs
 * exist), EH_DAMAGED. Give it back with eh_run_deinit. */
EH_MUST_USE enum eh_status eh_store_run_load(struct eh_store *store, int64_t run,
                                             struct eh_run *out_run, struct eh_error *error);

/* Frees what the run owns; an all-zero run is accepted. */
void eh_run_deinit(struct eh_run *run);

/* Which runs to list. All-zero: all of them. */
struct eh_run_filter {
    size_t limit;         /* at most so many, the newest; 0 = all */
    const char *exercise; /* this exercise's name only; NULL = any */
    const char *player;   /* this player only ("": nobody named); NULL = any */
    int64_t since_utc_s;  /* begun at or after; 0 = any */
    int64_t before;       /* numbers below this only (the next page); 0 = any */
    bool with_json;       /* fill VERDICT.json too */
    int64_t sitting;      /* this sitting's only; 0 = any */
};

/* A line of the list. Strings belong to the list and are never NULL. */
struct eh_run_row {
    int64_t number;
    int64_t started_utc_s;
    int32_t utc_offset_s;
    enum eh_run_source source;
    enum eh_run_ended ended;
    const char *player;
    const char *port;
    const char *demo_fault;
    const char *demo_seed;
    const char *exercise;
    const char *style;
    struct eh_plan_request plan;
    bool no_click;
    int32_t count_off;
    int64_t sitting; /* 0 = none */
    const char *stage;
    const char *silent_bars;
    double tempo_bpm;
    uint32_t hits;
    uint32_t dropped;
    bool judged; /* else VERDICT is empty */
    struct eh_run_verdict verdict;
};

struct eh_run_list {
    struct eh_run_row *rows; /* newest (highest number) first */
    size_t count;
    void *memory; /* owned */
};

/* Lists runs; FILTER may be NULL. A list without rows is no error. */
EH_MUST_USE enum eh_status eh_store_runs(struct eh_store *store, const struct eh_run_filter *filter,
                                         struct eh_run_list *out_list, struct eh_error *error);

/* Frees what the list owns; an all-zero list is accepted. */
void eh_run_list_deinit(struct eh_run_list *list);

/* Writes a sound copy of the whole history to PATH, which must not exist. Errors: EH_NO_ACCESS
 * (PATH exists, or must not be written), EH_NOT_FOUND (no such folder). A copy that fails half-way
 * is removed. */
EH_MUST_USE enum eh_status eh_store_copy(struct eh_store *store, const char *path,
                                         struct eh_error *error);

/* "live", "demo", "file"; "complete", "unfinished" ...: the words in the file. */
const char *eh_run_source_text(enum eh_run_source source);
const char *eh_run_ended_text(enum eh_run_ended ended);

/* ---- Sittings ---- */

/* Runs that belong together: the passes of a ladder, the items of a day. Strings: NULL counts as
 * "".
 */
struct eh_store_sitting {
    int64_t number; /* from 1; never given twice */
    int64_t begun_utc_s;
    int32_t utc_offset_s; /* -86400 .. 86400 */
    const char *kind;     /* the command's name: "climb", "audition" ... */
    const char *player;   /* "" where nobody is named */
    const char *exercise; /* name; "" where there are several */
    const char *asked;    /* what was asked for, in one line that is the same for the same wish */
};

/* Begins a sitting and gives its number; SITTING->number is not read. WRITE only. Errors:
 * EH_OUT_OF_RANGE (a time zone without meaning). Waits up to 3 s. */
EH_MUST_USE enum eh_status eh_store_sitting_begin(struct eh_store *store,
                                                  const struct eh_store_sitting *sitting,
                                                  int64_t *out_number);

/* Which sittings to list. All-zero: all of them; NULL = any. */
struct eh_sitting_filter {
    const char *kind, *player, *exercise, *asked;
    size_t limit; /* at most so many, the newest; 0 = all */
};

struct eh_sitting_list {
    struct eh_store_sitting *rows; /* newest first; strings belong to the list, never NULL */
    size_t count;
    void *memory; /* owned */
};

/* Lists sittings; FILTER may be NULL. A list without rows is no error. */
EH_MUST_USE enum eh_status eh_store_sittings(struct eh_store *store,
                                             const struct eh_sitting_filter *filter,
                                             struct eh_sitting_list *out_list,
                                             struct eh_error *error);

/* Frees what the list owns; an all-zero list is accepted. */
void eh_sitting_list_deinit(struct eh_sitting_list *list);

/* ---- Small things to remember ---- */

/* Keeps VALUE under NAME, in the place of the one before. WRITE only. Waits up to 3 s. */
EH_MUST_USE enum eh_status eh_store_kept_set(struct eh_store *store, const char *name,
                                             const char *value);

/* Reads it into OUT, cut to fit; "" where there is none. */
EH_MUST_USE enum eh_status eh_store_kept_get(struct eh_store *store, const char *name, char *out,
                                             size_t size, struct eh_error *error);

/* ---- Pads ---- */

/* A pad is kept for a port and a player: what it reports depends on both, the one on the other's
 * pad or in the other's hands is not known. Ports are told apart by eh_port_key; a player who is
 * not named is "". */
struct eh_store_pad {
    const char *port; /* eh_port_key of it */
    const char *player;
    int64_t made_utc_s; /* seconds since 1970-01-01 00:00 UTC */
    const char *text;   /* INI, as eh_pad_print writes it */
    void *memory;       /* owned by a record that was got alone; NULL in a list */
};

enum { EH_PORT_KEY = 256 };

/* The part of a MIDI port's name that is the same tomorrow; cut to fit OUT. ALSA numbers its
 * clients in the order in which they appear, and the number is part of the port's name as RtMidi
 * gives it ("UM-ONE:UM-ONE MIDI 1 20:0") and as ALSA's ports are shown under JACK ("a2j:UM-ONE
 * [20] (capture): [0] UM-ONE MIDI 1"): both numbers are left out. Two devices of one kind then
 * have one key; nothing in their names would tell them apart tomorrow. Pure. */
void eh_port_key(const char *port, char out[EH_PORT_KEY]);

/* Keeps a pad, in the place of the one kept for this port and player. NULL strings count as "".
 * WRITE only. Errors: EH_OUT_OF_RANGE (a time before 1970). Waits up to 3 s. */
EH_MUST_USE enum eh_status eh_store_pad_set(struct eh_store *store, const char *port,
                                            const char *player, int64_t made_utc_s,
                                            const char *pad_text);

/* The pad kept for exactly this port and player. On failure OUT_PAD is empty. Errors: EH_NOT_FOUND;
 * where other players' pads are kept for the port, the words name them, and it is for the caller
 * to ask for one of them: another player's levels must not be used without a word. Give it back
 * with eh_store_pad_deinit. */
EH_MUST_USE enum eh_status eh_store_pad_get(struct eh_store *store, const char *port,
                                            const char *player, struct eh_store_pad *out_pad,
                                            struct eh_error *error);

/* Frees what the record owns; an all-zero record is accepted. */
void eh_store_pad_deinit(struct eh_store_pad *pad);

/* Removes the pad kept for this port and player. Errors: EH_NOT_FOUND. */
EH_MUST_USE enum eh_status eh_store_pad_delete(struct eh_store *store, const char *port,
                                               const char *player, struct eh_error *error);

struct eh_store_pad_list {
    struct eh_store_pad *pads; /* by port, then by player */
    size_t count;
    void *memory; /* owned */
};

/* Lists the pads. A list without pads is no error. */
EH_MUST_USE enum eh_status eh_store_pads(struct eh_store *store, struct eh_store_pad_list *out_list,
                                         struct eh_error *error);

/* Frees what the list owns; an all-zero list is accepted. */
void eh_store_pad_list_deinit(struct eh_store_pad_list *list);

/* ---- The click as it was heard ---- */

/* How many clicks in a row are looked at together; odd. The shortest that two bad times in a row
 * cannot move. */
enum { EH_CLICK_WINDOW = 5 };

/* Makes the map from ticks to the take's clock out of the times at which clicks are believed to
 * have sounded. Pure.
 *
 * The sound itself is exact to the sample, its reported times are not: each carries the wake-up of
 * the audio thread (up to about 0.5 ms, now and then several), and after an underflow all later
 * clicks are late for good. So each click's deviation from the nominal time is replaced by the
 * median of the EH_CLICK_WINDOW deviations around it (at the ends: of the first or last ones).
 * The median does not follow single bad times, follows slow drift between the clocks, and keeps a
 * jump a jump. The map is straight between clicks, nominal before the first and after the last.
 * A click whose tick or time does not rise above the one before is left out.
 *
 * NS_PER_QUARTER is the nominal tempo and ZERO_NS the time of tick 0 in it. EXACT: the times are
 * exact (a file's tempo map): no median is taken. Without clicks the map is the nominal one.
 *
 * Who judges a run at its end with this map judges a stored run alike. Errors: EH_NO_MEMORY,
 * EH_OUT_OF_RANGE (a tempo or time without meaning). */
EH_MUST_USE enum eh_status eh_click_map_from_times(struct eh_tempo_map *out_map,
                                                   const struct eh_run_click *clicks, size_t n,
                                                   int64_t zero_ns, int64_t ns_per_quarter,
                                                   bool exact);

#endif
