/* Every damaged or foreign file in data/bad is refused at its place and in its words. */
#include <criterion/criterion.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/smf.h"

#define BAD EVENHAND_SOURCE_DIR "/tests/hits/data/bad/"

static size_t load(const char *name, uint8_t *bytes, size_t capacity) {
    char path[512];
    (void)snprintf(path, sizeof path, BAD "%s", name);
    FILE *file = fopen(path, "rb");
    cr_assert_neq(file, NULL, "cannot open %s", path);
    const size_t length = fread(bytes, 1, capacity, file);
    (void)fclose(file);
    return length;
}

static void expect_refusal(const char *name, const char *status, long long offset,
                           const char *words) {
    /* of exactly the file's length, so that a sanitizer sees a read beyond it */
    uint8_t buffer[4096];
    const size_t length = load(name, buffer, sizeof buffer);
    uint8_t *bytes = malloc(length + (length == 0));
    memcpy(bytes, buffer, length);
    struct eh_take take;
    struct eh_error error;
    const enum eh_status expected = strcmp(status, "too-large") == 0 ? EH_TOO_LARGE : EH_BAD_FORMAT;
    cr_expect_eq(eh_smf_read(&take, bytes, length, name, &error), expected, "%s", name);
    cr_expect_eq(error.status, expected, "%s", name);
    cr_expect_eq(error.offset, offset, "%s: offset %lld", name, error.offset);
    cr_expect_str_eq(error.text, words, "%s: %s", name, error.text);
    cr_expect_eq(take.hits, NULL, "%s", name);
    cr_expect_eq(take.metres, NULL, "%s", name);
    free(bytes);
}

/* A line of expected.tsv: file, status, offset, words. */
static void expect_line(char *line) {
    char *rest = NULL;
    const char *name = strtok_r(line, "\t", &rest);
    const char *status = strtok_r(NULL, "\t", &rest);
    const char *offset = strtok_r(NULL, "\t", &rest);
    const char *words = strtok_r(NULL, "\n", &rest);
    cr_assert_neq(words, NULL, "a short line for %s", name);
    expect_refusal(name, status, strtoll(offset, NULL, 10), words);
}

static int count_files(void) {
    DIR *folder = opendir(BAD);
    cr_assert_neq(folder, NULL);
    int count = 0;
    for (const struct dirent *e = readdir(folder); e != NULL; e = readdir(folder)) {
        const char *dot = strrchr(e->d_name, '.');
        count += dot != NULL && strcmp(dot, ".mid") == 0;
    }
    (void)closedir(folder);
    return count;
}

Test(smf_bad, every_bad_file_is_refused_at_its_place_and_in_its_words) {
    FILE *table = fopen(BAD "expected.tsv", "r");
    cr_assert_neq(table, NULL);
    char line[1024];
    int lines = 0;
    while (fgets(line, sizeof line, table) != NULL) {
        expect_line(line);
        lines++;
    }
    (void)fclose(table);
    cr_expect_eq(lines, count_files(), "a line for each file");
    cr_expect_gt(lines, 50);
}

/* Whatever is cut off a good file: it is refused, or only bytes that carry nothing were missing. */
Test(smf_bad, a_file_cut_anywhere_is_refused) {
    static const uint8_t whole[] = {'M',  'T',  'h',  'd', 0,    0,    0,    6, 0,    0,  0,
                                    1,    1,    0xE0, 'M', 'T',  'r',  'k',  0, 0,    0,  19,
                                    0,    0xFF, 0x51, 3,   7,    0xA1, 0x20, 0, 0x99, 38, 64,
                                    0x60, 38,   50,   0,   0xFF, 0x2F, 0,    0};
    const size_t length = 41;
    for (size_t cut = 0; cut < length; cut++) {
        uint8_t *bytes = malloc(cut + (cut == 0));
        memcpy(bytes, whole, cut);
        struct eh_take take;
        struct eh_error error;
        cr_expect_eq(eh_smf_read(&take, bytes, cut, "cut", &error), EH_BAD_FORMAT, "%zu", cut);
        cr_expect_leq(error.offset, (long long)cut, "%zu", cut);
        cr_expect_geq(error.offset, 0, "%zu", cut);
        eh_take_deinit(&take);
        free(bytes);
    }
    struct eh_take take;
    cr_expect_eq(eh_smf_read(&take, whole, length, "whole", NULL), EH_OK);
    cr_expect_eq(take.count, 2);
    eh_take_deinit(&take);
}
