#include "names.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* Folders in folders: enough for a family of families, and an end for links that go in circles. */
enum { DEEPEST = 3 };

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

/* What follows a number and a dash at the beginning of TEXT, else TEXT. */
static const char *without_number(const char *text) {
    const size_t digits = strspn(text, "0123456789");
    return digits > 0 && text[digits] == '-' && text[digits + 1] != '\0' ? text + digits + 1 : text;
}

/* The group of "rudiments/3-flams/22-flam-tap.txt" is "rudiments flams". */
static void group_of(char out_group[NAMES_NAME], const char *below) {
    out_group[0] = '\0';
    size_t length = 0;
    for (const char *slash = strchr(below, '/'); slash != NULL; slash = strchr(below, '/')) {
        const char *part = without_number(below);
        const int added = snprintf(out_group + length, NAMES_NAME - length, "%s%.*s",
                                   length > 0 ? " " : "", (int)(slash - part), part);
        length += added > 0 ? (size_t)added : 0;
        if (length >= NAMES_NAME) {
            return;
        }
        below = slash + 1;
    }
}

/* BELOW: where in PATH the part below the folder that was asked for begins. */
static void add(struct names *names, const char *path, size_t below, const char *suffix) {
    struct named_file added = {.below = below};
    group_of(added.group, path + below);
    names_of_path(added.name, path, suffix);
    if (added.group[0] != '\0') {
        const char *name = without_number(added.name);
        memmove(added.name, name, strlen(name) + 1);
    }
    if (names_find(names, added.name) != NULL) {
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

static bool is_folder(const char *path) {
    struct stat about;
    return stat(path, &about) == 0 && S_ISDIR(about.st_mode);
}

static void gather_folder(struct names *names, const char *folder, size_t below, const char *suffix,
                          int depth) {
    DIR *directory = opendir(folder);
    if (directory == NULL) {
        return;
    }
    for (struct dirent *entry = readdir(directory); entry != NULL; entry = readdir(directory)) {
        char path[FOLDERS_PATH];
        if (entry->d_name[0] == '.' || !folders_join(path, folder, entry->d_name)) {
            continue;
        }
        if (is_folder(path)) {
            if (depth < DEEPEST) {
                gather_folder(names, path, below, suffix, depth + 1);
            }
        } else if (ends_in(entry->d_name, suffix)) {
            add(names, path, below, suffix);
        }
    }
    (void)closedir(directory);
}

static int by_group_and_file(const void *a, const void *b) {
    const struct named_file *first = a;
    const struct named_file *second = b;
    const bool grouped = first->group[0] != '\0';
    if (grouped != (second->group[0] != '\0')) {
        return grouped ? 1 : -1;
    }
    return strcmp(grouped ? first->path + first->below : first->name,
                  grouped ? second->path + second->below : second->name);
}

void names_gather(struct names *out_names, const struct folder_list *folders, const char *suffix) {
    *out_names = (struct names){0};
    for (size_t i = 0; i < folders->count; i++) {
        gather_folder(out_names, folders->paths[i], strlen(folders->paths[i]) + 1, suffix, 0);
    }
    if (out_names->count > 1) {
        qsort(out_names->files, out_names->count, sizeof *out_names->files, by_group_and_file);
    }
}

void names_deinit(struct names *names) {
    for (size_t i = 0; i < names->count; i++) {
        free(names->files[i].path);
    }
    free(names->files);
    *names = (struct names){0};
}
