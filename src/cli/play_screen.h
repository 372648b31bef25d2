/* What the player sees while playing: a line a bar, the beat where there is no sound. */
#ifndef EVENHAND_CLI_PLAY_SCREEN_H
#define EVENHAND_CLI_PLAY_SCREEN_H

#include <stdbool.h>
#include <stdio.h>

#include "evenhand/practice.h"
#include "evenhand/report.h"
#include "play_click.h"
#include "play_keep.h"
#include "play_source.h"

struct play_screen {
    FILE *out; /* standard output; with --json standard error */
    struct eh_report_look look;
    bool terminal;
    bool beat_drawn; /* the last line is a beat that may be drawn over */
    bool quiet;      /* no line a bar */
};

struct play_screen play_screen_make(bool json);

/* Title, tempo, bars, where the hits come from, the pad they are judged by. */
void play_screen_begin(const struct play_screen *screen, const struct play_terms *terms,
                       const struct play_source *source, const struct play_click *click);

/* A line of its own; the beat gives way. */
void play_screen_line(struct play_screen *screen, const char *line);

void play_screen_bar(struct play_screen *screen, const struct eh_bar_summary *summary);

/* Without a click: a bar as far as it was heard, and where the player is, over what was drawn
 * before (on a terminal only). */
void play_screen_heard(struct play_screen *screen, const struct eh_plan *plan,
                       const struct eh_free_bar *bar);
void play_screen_place(struct play_screen *screen, const struct eh_plan *plan,
                       const struct eh_free_place *place, size_t hits);

/* The beat, over the one before. On a terminal only: elsewhere it would fill the page. */
void play_screen_beat(struct play_screen *screen, const struct eh_practice *practice,
                      const struct eh_beat *beat);

/* Leaves the last line alone. */
void play_screen_end(struct play_screen *screen);

#endif
