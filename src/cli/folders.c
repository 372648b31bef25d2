#include "folders.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

bool folders_join(char out_path[FOLDERS_PATH], const char *folder, const char *name) {
    const int length = snprintf(out_path, FOLDERS_PATH, "%s/%s", folder, name);
    return length > 0 && length < FOLDERS_PATH;
}

bool folders_user_data(char out_path[FOLDERS_PATH]) {
    const char *data = getenv("XDG_DATA_HOME");
    if (data != NULL && data[0] == '/') {
        return folders_join(out_path, data, "evenhand");
    }
    const char *home = getenv("HOME");
    if (home == NULL || home[0] != '/') {
        return false;
    }
    return folders_join(out_path, home, ".local/share/evenhand");
}

/* The folder that holds the running program. */
static bool program_folder(char out_path[FOLDERS_PATH]) {
    const ssize_t length = readlink("/proc/self/exe", out_path, FOLDERS_PATH - 1);
    if (length <= 0) {
        return false;
    }
    out_path[length] = '\0';
    char *slash = strrchr(out_path, '/');
    if (slash == NULL) {
        return false;
    }
    *slash = '\0';
    return true;
}

static void add(struct folder_list *list, const char *base, const char *part) {
    if (list->count < FOLDERS_MOST && folders_join(list->paths[list->count], base, part)) {
        list->count++;
    }
}

static void gather(struct folder_list *list, const char *users, const char *shipped) {
    *list = (struct folder_list){0};
    char base[FOLDERS_PATH];
    char part[64];
    if (folders_user_data(base)) {
        add(list, base, users);
    }
    if (!program_folder(base)) {
        return;
    }
    static const char *const places[] = {"", "../", "../share/evenhand/"};
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        (void)snprintf(part, sizeof part, "%s%s", places[i], shipped);
        add(list, base, part);
    }
}

void folders_exercises(struct folder_list *out_list) {
    gather(out_list, "exercises", "exercises");
}

void folders_styles(struct folder_list *out_list) {
    gather(out_list, "styles", "exercises/styles");
}
