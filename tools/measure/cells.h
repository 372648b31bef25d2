/* The list of cells: what is measured. */
#ifndef MEASURE_CELLS_H
#define MEASURE_CELLS_H

#include "cell.h"

enum { EXERCISES_MAX = 256, ONLY_MAX = 8 };

struct source {
    char name[64];
    char *text;     /* owned */
    bool collected; /* stands in a folder of its own: a row of many, measured in full only */
};

struct scope {
    bool full;
    double scale;               /* of the number of runs */
    const char *only[ONLY_MAX]; /* words that a cell must all answer to */
    int only_count;
};

struct cells {
    struct cell *row; /* owned */
    size_t count, capacity;
    struct source shipped[EXERCISES_MAX];
    size_t shipped_count;
    char **composed; /* owned texts */
    size_t composed_count, composed_capacity;
};

/* Reads the exercises in FOLDER, then lists what SCOPE asks for. False with a message on standard
 * error. */
bool cells_list(struct cells *out, const char *folder, const struct scope *scope);
void cells_free(struct cells *cells);

#endif
