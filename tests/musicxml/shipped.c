#include "shipped.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "evenhand/exercise_text.h"

bool read_whole_file(const char *path, struct eh_text *out) {
    eh_text_deinit(out);
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        return false;
    }
    char block[4096];
    size_t got = 0;
    while ((got = fread(block, 1, sizeof block, file)) > 0) {
        eh_text_add_bytes(out, block, got);
    }
    (void)fclose(file);
    return true;
}

static bool is_folder(const char *path) {
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

static int see_file(const char *path,
                    void (*see)(const char *path, const struct eh_exercise *exercise)) {
    struct eh_text text = {0};
    struct eh_exercise *exercise = NULL;
    const size_t length = strlen(path);
    if (length < 4 || strcmp(path + length - 4, ".txt") != 0 || !read_whole_file(path, &text)) {
        return 0;
    }
    cr_assert_eq(eh_exercise_parse(&exercise, text.data, text.length, NULL), EH_OK, "%s", path);
    see(path, exercise);
    eh_exercise_free(exercise);
    eh_text_deinit(&text);
    return 1;
}

static int see_folder(const char *folder,
                      void (*see)(const char *path, const struct eh_exercise *exercise)) {
    int count = 0;
    DIR *directory = opendir(folder);
    cr_assert_neq(directory, NULL, "%s", folder);
    for (const struct dirent *entry = readdir(directory); entry != NULL;
         entry = readdir(directory)) {
        char path[1024];
        if (entry->d_name[0] == '.') {
            continue;
        }
        (void)snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        count += is_folder(path) ? see_folder(path, see) : see_file(path, see);
    }
    (void)closedir(directory);
    return count;
}

int for_each_shipped(void (*see)(const char *path, const struct eh_exercise *exercise)) {
    return see_folder(EVENHAND_SOURCE_DIR "/exercises", see);
}
