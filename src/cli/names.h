/* The files of some folders by name: the shipped and the user's own exercises or styles. */
#ifndef EVENHAND_CLI_NAMES_H
#define EVENHAND_CLI_NAMES_H

#include <stdbool.h>
#include <stddef.h>

#include "folders.h"

enum { NAMES_NAME = 128 };

struct named_file {
    char name[NAMES_NAME];  /* the file's name without its suffix, and within a group without its
                               number in front: "flam-tap" */
    char group[NAMES_NAME]; /* the folders it stands in, without their numbers: "rudiments flams";
                               empty directly in the folder that was asked for */
    char *path;             /* owned */
    size_t below;           /* where in the path the part below the folder asked for begins */
};

struct names {
    struct named_file *files; /* owned; without a group first, then group by group; each group in
                                 the order of its files' numbers and names */
    size_t count, capacity;
    bool failed; /* out of memory: incomplete */
};

/* Lists the files of FOLDERS, and of the folders in them, that end in SUFFIX; of two with the same
 * name the one of the earlier folder. Folders that do not exist are passed over, hidden files
 * too. A number and a dash before the name of a grouped file or of a group's folder only say where
 * it stands in the order. */
void names_gather(struct names *out_names, const struct folder_list *folders, const char *suffix);

/* NULL when there is none. */
const struct named_file *names_find(const struct names *names, const char *name);

/* Frees what it owns; an all-zero one is accepted. */
void names_deinit(struct names *names);

/* The name by which a file would be listed: its path without folders and without SUFFIX. */
void names_of_path(char out_name[NAMES_NAME], const char *path, const char *suffix);

#endif
