/* What the player asked for with a pad or rim of his own choice, in the middle of a practice. */
#ifndef EVENHAND_CLI_PLAY_WISH_H
#define EVENHAND_CLI_PLAY_WISH_H

enum play_wish {
    PLAY_WISH_NONE,
    PLAY_WISH_AGAIN, /* the same once more; what was begun does not count */
    PLAY_WISH_NEXT,  /* on to what comes next */
    PLAY_WISH_STOP   /* the end, as by Ctrl-C */
};

#endif
