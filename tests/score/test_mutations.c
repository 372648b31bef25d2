/* Random changes to good and bad texts, each thrown at the reader: a fuzzer's poor relation that
 * runs with every compiler. Arguments: number of mutations, seed. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/text.h"
#include "fuzz_exercise.h"

enum { MUTATIONS = 30000, FILES_MAX = 256, CHANGES_MAX = 6 };

static struct eh_text files[FILES_MAX];
static int file_count;
static uint64_t state = UINT64_C(0x9E3779B97F4A7C15);

/* xorshift64* (Vigna 2016). */
static size_t below(size_t n) {
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return (size_t)((state * UINT64_C(2685821657736338717) >> 33) % (uint64_t)n);
}

static void read_file(const char *folder, const char *name) {
    char path[1024];
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        return;
    }
    char buffer[4096];
    size_t length = 0;
    while ((length = fread(buffer, 1, sizeof buffer, file)) > 0) {
        eh_text_add_bytes(&files[file_count], buffer, length);
    }
    (void)fclose(file);
    file_count += files[file_count].length > 0;
}

static void read_folder(const char *folder) {
    DIR *directory = opendir(folder);
    if (directory == NULL) {
        (void)fprintf(stderr, "cannot open %s\n", folder);
        exit(EXIT_FAILURE);
    }
    for (const struct dirent *entry = readdir(directory); entry != NULL;
         entry = readdir(directory)) {
        const size_t length = strlen(entry->d_name);
        if (file_count < FILES_MAX && length > 4 &&
            strcmp(entry->d_name + length - 4, ".txt") == 0) {
            read_file(folder, entry->d_name);
        }
    }
    (void)closedir(directory);
}

static const char *const pieces[] = {
    "R",   "L",   "l",      "r",        ">",        "^",           "z",     "/",    "-",
    "_",   "|",   "|:",     ":|",       ":|x3",     "1st",         "2nd",   "3rd",  "16:",
    "8.:", "3[",  "7in8[",  "]",        "p",        "ff",          "cresc", "dim",  "end",
    "3/4", "6/8", "pickup", "short",    "\n",       "\r\n",        "#",     "\xc3", "\xe2\x82\xac",
    "\t",  " ",   "metre:", "title: x", "tempo: 1", "99999999999", "0",
};

/* OUT takes IN with LENGTH bytes from AT replaced by PIECE. */
static void splice(const struct eh_text *in, size_t at, size_t length, const char *piece,
                   size_t piece_length, struct eh_text *out) {
    if (at > 0) {
        eh_text_add_bytes(out, in->data, at);
    }
    eh_text_add_bytes(out, piece, piece_length);
    if (at + length < in->length) {
        eh_text_add_bytes(out, in->data + at + length, in->length - at - length);
    }
}

static void change(struct eh_text *text) {
    struct eh_text changed = {0};
    const size_t at = below(text->length + 1);
    const size_t rest = text->length - at;
    const char *piece = pieces[below(sizeof pieces / sizeof pieces[0])];
    const char byte = (char)below(256);
    switch (below(5)) {
    case 0: /* insert a word of the language */
        splice(text, at, 0, piece, strlen(piece), &changed);
        break;
    case 1: /* overwrite with one */
        splice(text, at, rest < strlen(piece) ? rest : strlen(piece), piece, strlen(piece),
               &changed);
        break;
    case 2: /* cut some out */
        splice(text, at, rest == 0 ? 0 : 1 + below(rest < 40 ? rest : 40), "", 0, &changed);
        break;
    case 3: /* any byte */
        splice(text, at, rest > 0, &byte, 1, &changed);
        break;
    default: /* a copy of another place */
        if (rest > 0) {
            splice(text, below(text->length), 0, text->data + at, 1 + below(rest < 60 ? rest : 60),
                   &changed);
        }
        break;
    }
    if (changed.length > 0) {
        eh_text_deinit(text);
        *text = changed;
    }
}

int main(int argc, char **argv) {
    const long mutations = argc > 1 ? strtol(argv[1], NULL, 10) : MUTATIONS;
    state += argc > 2 ? strtoull(argv[2], NULL, 10) : 0;
    read_folder(EVENHAND_SOURCE_DIR "/exercises");
    read_folder(EVENHAND_SOURCE_DIR "/tests/score/data/bad");
    for (long i = 0; i < mutations; i++) {
        struct eh_text text = {0};
        const struct eh_text *file = &files[below((size_t)file_count)];
        eh_text_add_bytes(&text, file->data, file->length);
        for (size_t changes = 1 + below(CHANGES_MAX); changes > 0; changes--) {
            change(&text);
        }
        (void)LLVMFuzzerTestOneInput((const uint8_t *)text.data, text.length);
        eh_text_deinit(&text);
    }
    for (int i = 0; i < file_count; i++) {
        eh_text_deinit(&files[i]);
    }
    printf("%ld mutations of %d files\n", mutations, file_count);
    return file_count > 80 ? EXIT_SUCCESS : EXIT_FAILURE;
}
