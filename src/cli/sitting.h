/* A sitting: one player plays run after run, at one pad or as the demo player, with nothing to be
 * typed in between. Every run goes the same way: laid out, played, kept, judged. */
#ifndef EVENHAND_CLI_SITTING_H
#define EVENHAND_CLI_SITTING_H

#include "evenhand/care.h"
#include "exercise_find.h"
#include "play_end.h"
#include "play_options.h"
#include "play_run.h"

/* What one run is about. EXERCISE and STYLE must outlive the run. */
struct sitting_piece {
    const struct found_exercise *exercise;
    const struct eh_style *style;
    struct eh_practice_request request; /* its tempo is BPM's business */
    double tempo;                       /* quarter notes a minute; NAN: the exercise's */
    const char *stage;                  /* kept with the run; NULL: none */
};

struct sitting {
    struct play_options options; /* its seed is the next run's */
    struct eh_pad pad;
    struct play_source source;    /* the pad's: open throughout; the demo player's: of the run */
    bool met;                     /* the player is there */
    struct eh_care care;          /* the player's */
    struct eh_store_sitting kept; /* KIND (NULL: each run is alone), EXERCISE and ASKED are the
                                     caller's; its number is there once a run was kept */

    /* The run. */
    struct sitting_piece piece;
    struct eh_practice practice;
    struct eh_text silent; /* owned; the bars without a click, as they are kept */
    struct play_click click;
    struct play_keep keep;
    struct play_screen screen;
    struct play_run run;
    double bpm;
};

/* Lays out the next run. Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int sitting_lay(struct sitting *sitting, const struct sitting_piece *piece);

/* Finds the player and the pad; where they are known already nothing is done. Returns CLI_GOOD, or
 * CLI_FAILED after a complaint. */
int sitting_meet(struct sitting *sitting);

/* Begins the run that was laid out: what it is judged by and kept in is there, and nothing sounds
 * yet. Returns CLI_GOOD, or CLI_FAILED after a complaint. */
int sitting_begin(struct sitting *sitting);

/* Plays it to its end, keeps and judges it; what was judged goes to OUT, to be given back with
 * play_ended_deinit. Returns CLI_GOOD, or CLI_FAILED after a complaint; OUT->end says in any case
 * how the run ended. */
int sitting_play(struct sitting *sitting, struct play_ended *out);

/* A pause between two runs, in which the player reads and shakes out; none in fast mode. It ends
 * early when he asks for something. */
enum play_wish sitting_rest(struct sitting *sitting, double seconds);

/* Gives back what the run needed; the next one can be laid out. */
void sitting_clear(struct sitting *sitting);

/* The player leaves. An all-zero sitting is accepted. */
void sitting_close(struct sitting *sitting);

#endif
