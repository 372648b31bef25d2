/* A performance: the strokes that reach the pad, before the pad has its say. */
#ifndef MEASURE_PERFORM_H
#define MEASURE_PERFORM_H

#include "course.h"
#include "player.h"

enum role {
    ROLE_STROKE,  /* of a written stroke */
    ROLE_BOUNCE,  /* a further note of a press */
    ROLE_FOREIGN, /* belongs to nothing that is written */
    ROLE_ECHO     /* the pad's own doing */
};

struct blow {
    double at_ms;
    double level_db; /* of velocity over 127 */
    int32_t due;     /* STROKE, BOUNCE: which */
    int32_t also;    /* a second due stroke that this one note stands for as well, or -1 */
    uint8_t role;
    bool rim;
    bool grace;
};

struct blows {
    struct blow *row; /* owned; in order of time once finished */
    size_t count, capacity;
    double *at;       /* owned, scratch: when each intent is played, ms */
    uint8_t *fate;    /* owned, scratch: what becomes of each intent */
    double *known;    /* owned: when each would be played without its own error ... */
    double *error;    /* owned: ... and that error's spread, ms */
    double *level;    /* owned: how loud each would be without its own error, dB ... */
    double *level_sd; /* owned: ... and that error's SD */
    size_t intent_count;
    size_t intent_capacity;
};

void blows_add(struct blows *blows, struct blow blow);
void blows_free(struct blows *blows);

/* How wide a player's scatter is where main strokes are SPACING_MS apart, as a share of what it is
 * from 115 ms on. */
double perform_width(double spacing_ms);

/* When each intent is played, ms, to OUT->at, and OUT->known, OUT->error; OUT has room for them. */
void perform_times(const struct written *w, const struct intents *intents,
                   const struct player *player, struct chance *chance, struct blows *out);

/* Makes room for COUNT intents. */
void perform_room(struct blows *blows, size_t count);

/* All of it: what is left out, what is added, bounces, in order of time. */
void perform(const struct written *w, const struct intents *intents, const struct player *player,
             struct chance *chance, struct blows *out);

#endif
