/* What the player asked for with a pad or rim of his own choice, in the middle of a practice. */
#ifndef EVENHAND_CLI_PLAY_WISH_H
#define EVENHAND_CLI_PLAY_WISH_H

#include "evenhand/pad.h"

enum play_wish {
    PLAY_WISH_NONE,
    PLAY_WISH_AGAIN, /* the same once more; what was begun does not count */
    PLAY_WISH_NEXT,  /* on to what comes next */
    PLAY_WISH_STOP   /* the end, as by Ctrl-C */
};

static inline enum play_wish play_wish_of(enum eh_control control) {
    switch (control) {
    case EH_CONTROL_AGAIN:
        return PLAY_WISH_AGAIN;
    case EH_CONTROL_NEXT:
        return PLAY_WISH_NEXT;
    case EH_CONTROL_STOP:
        return PLAY_WISH_STOP;
    case EH_CONTROL_NONE:
    case EH_CONTROL_COUNT:
        break;
    }
    return PLAY_WISH_NONE;
}

#endif
