/* The shipped style files, made from exercises/styles when the program is built. */
#ifndef EVENHAND_SETTINGS_SHIPPED_H
#define EVENHAND_SETTINGS_SHIPPED_H

struct shipped_style {
    const char *name;
    const char *text;
};

/* Ends with a NULL name. */
extern const struct shipped_style shipped_styles[];

#endif
