#include "names.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool ends_in(const char *text, const char *suffix) {
    const size_t length = strlen(text);
    const size_t tail = strlen(suffix);
    return length > tail && strcmp(text + length - tail, suffix) == 0;
}

void names_of_path(char out_name[NAMES_NAME], const char *path, const char *suffix) {
    const char *slash = strrchr(path, '/');
    const char *base = slash == NULL ? path : slash + 1;
    const size_t length = strlen(base) - (ends_in(base, suffix) ? strlen(suffix) : 0);
    (void)snprintf(out_name, NAMES_NAME, "%.*s", (int)(length < NAMES_NAME ? length : NAMES_NAME),
                   base);
}

const struct named_file *names_find(const struct names *names, const char *name) {
    for (size_t i = 0; i < names->count; i++) {
        if (strcmp(names->files[i].name, name) == 0) {
            return &names->files[i];
        }
    }
    return NULL;
}

static bool make_room(struct names *names) {
    if (names->count < names->capacity) {
        return true;
    }
    const size_t capacity = names->capacity == 0 ? 16 : 2 * names->capacity;
    struct named_file *grown = realloc(names->files, capacity * sizeof *grown);
    if (grown == NULL) {
        return false;
    }
    names->files = grown;
    names->capacity = capacity;
    return true;
}

static void add(struct names *names, const char *folder, const char *file, const char *suffix) {
    struct named_file added;
    names_of_path(added.name, file, suffix);
    char path[FOLDERS_PATH];
    if (names_find(names, added.name) != NULL || !folders_join(path, folder, file)) {
        return;
    }
    const size_t size = strlen(path) + 1;
    added.path = make_room(names) ? malloc(size) : NULL;
    if (added.path == NULL) {
        names->failed = true;
        return;
    }
    memcpy(added.path, path, size);
    names->files[names->count++] = added;
}

static void gather_folder(struct names *names, const char *folder, const char *suffix) {
    DIR *directory = opendir(folder);
    if (directory == NULL) {
        return;
    }
    for (struct dirent *entry = readdir(directory); entry != NULL; entry = readdir(directory)) {
        if (entry->d_name[0] != '.' && ends_in(entry->d_name, suffix)) {
            add(names, folder, entry->d_name, suffix);
        }
    }
    (void)closedir(directory);
}

static int by_name(const void *a, const void *b) {
    const struct named_file *first = a;
    const struct named_file *second = b;
    return strcmp(first->name, second->name);
}

void names_gather(struct names *out_names, const struct folder_list *folders, const char *suffix) {
    *out_names = (struct names){0};
    for (size_t i = 0; i < folders->count; i++) {
        gather_folder(out_names, folders->paths[i], suffix);
    }
    if (out_names->count > 1) {
        qsort(out_names->files, out_names->count, sizeof *out_names->files, by_name);
    }
}

void names_deinit(struct names *names) {
    for (size_t i = 0; i < names->count; i++) {
        free(names->files[i].path);
    }
    free(names->files);
    *names = (struct names){0};
}
