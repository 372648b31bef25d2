/* Where things lie: beside the program, in its installation, in the user's data folder. No place
 * of the building machine is compiled in, so the program can be moved with its folders. */
#ifndef EVENHAND_CLI_FOLDERS_H
#define EVENHAND_CLI_FOLDERS_H

#include <stdbool.h>
#include <stddef.h>

enum { FOLDERS_PATH = 4096, FOLDERS_MOST = 4 };

struct folder_list {
    size_t count;
    char paths[FOLDERS_MOST][FOLDERS_PATH];
};

/* $XDG_DATA_HOME/evenhand, or ~/.local/share/evenhand where that variable is unset, empty or not
 * absolute (XDG Base Directory Specification 0.8). False when there is no HOME either, or the path
 * is too long. */
bool folders_user_data(char out_path[FOLDERS_PATH]);

/* Where exercises may lie, the user's own first, so that a file of one's own goes before a shipped
 * one of the same name; then beside the program, one folder up, and ../share/evenhand. Folders
 * that do not exist are named too. */
void folders_exercises(struct folder_list *out_list);

/* The same for styles. */
void folders_styles(struct folder_list *out_list);

/* Joins FOLDER and NAME; false when that is too long. */
bool folders_join(char out_path[FOLDERS_PATH], const char *folder, const char *name);

#endif
