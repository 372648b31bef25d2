/* The files of some folders by name: the shipped and the user's own exercises or styles. */
#ifndef EVENHAND_CLI_NAMES_H
#define EVENHAND_CLI_NAMES_H

#include <stdbool.h>
#include <stddef.h>

#include "folders.h"

enum { NAMES_NAME = 128 };

struct named_file {
    char name[NAMES_NAME]; /* the file's name without its suffix */
    char *path;            /* owned */
};

struct names {
    struct named_file *files; /* owned; in alphabetical order */
    size_t count, capacity;
    bool failed; /* out of memory: incomplete */
};

/* Lists the files of FOLDERS that end in SUFFIX; of two with the same name the one of the earlier
 * folder. Folders that do not exist are passed over, hidden files too. */
void names_gather(struct names *out_names, const struct folder_list *folders, const char *suffix);

/* NULL when there is none. */
const struct named_file *names_find(const struct names *names, const char *name);

/* Frees what it owns; an all-zero one is accepted. */
void names_deinit(struct names *names);

/* The name by which a file would be listed: its path without folders and without SUFFIX. */
void names_of_path(char out_name[NAMES_NAME], const char *path, const char *suffix);

#endif
