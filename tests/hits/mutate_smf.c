/* Feeds the reader good and bad files with random damage, repeatably: a plain program for every
 * test run, where a coverage-guided fuzzer is not at hand. Arguments: rounds, seed. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz_smf.h"

#define BAD EVENHAND_SOURCE_DIR "/tests/hits/data/bad/"

enum { SEEDS = 128, LONGEST = 1024, GOOD_SEEDS = 2 };

struct sample {
    uint8_t bytes[LONGEST];
    size_t length;
};

static struct sample seeds[SEEDS];
static size_t seed_count;
static uint64_t state = 88172645463325252U;

static uint64_t next_random(void) { /* xorshift64, Marsaglia 2003 */
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return state;
}

static size_t below(size_t limit) {
    return (size_t)(next_random() % limit);
}

static void add_seed(const void *bytes, size_t length) {
    if (seed_count < SEEDS && length <= LONGEST) {
        memcpy(seeds[seed_count].bytes, bytes, length);
        seeds[seed_count++].length = length;
    }
}

static void add_good_seeds(void) {
    static const uint8_t rich[] = {
        'M',  'T',  'h',  'd',  0,    0,    0,    6,    0,    1,    0,    2,    1,    0xE0,
        'M',  'T',  'r',  'k',  0,    0,    0,    35,   0,    0xFF, 0x51, 3,    7,    0xA1,
        0x20, 0,    0xFF, 0x58, 4,    6,    3,    36,   8,    0x87, 0x40, 0xFF, 0x58, 4,
        4,    2,    24,   8,    0x83, 0x60, 0xFF, 0x51, 3,    0x0F, 0x42, 0x40, 0,    0xFF,
        0x2F, 0,    'M',  'T',  'r',  'k',  0,    0,    0,    28,   0,    0xB9, 88,   64,
        0,    0x99, 38,   64,   0x60, 38,   0,    0x60, 40,   100,  0x60, 0xF0, 2,    0x7E,
        0xF7, 0x81, 0x00, 0x99, 37,   127,  0,    0xFF, 0x2F, 0};
    static const uint8_t frames[] = {'M', 'T',  'h',  'd', 0,    0,    0,    6,    0,    0,    0,
                                     1,   0xE3, 80,   'M', 'T',  'r',  'k',  0,    0,    0,    20,
                                     0,   0xFF, 0x51, 3,   0x0F, 0x42, 0x40, 0x92, 0x60, 0x99, 38,
                                     64,  0xFE, 10,   40,  64,   0,    0xFF, 0x2F, 0};
    add_seed(rich, sizeof rich);
    add_seed(frames, sizeof frames);
}

static void add_bad_seeds(void) {
    DIR *folder = opendir(BAD);
    if (folder == NULL) {
        return;
    }
    for (const struct dirent *e = readdir(folder); e != NULL; e = readdir(folder)) {
        char path[512];
        (void)snprintf(path, sizeof path, BAD "%s", e->d_name);
        FILE *file = strstr(e->d_name, ".mid") == NULL ? NULL : fopen(path, "rb");
        if (file != NULL) {
            uint8_t bytes[LONGEST];
            add_seed(bytes, fread(bytes, 1, sizeof bytes, file));
            (void)fclose(file);
        }
    }
    (void)closedir(folder);
}

static void insert(struct sample *s, size_t at, uint8_t byte) {
    if (s->length < LONGEST) {
        memmove(s->bytes + at + 1, s->bytes + at, s->length - at);
        s->bytes[at] = byte;
        s->length++;
    }
}

/* Bytes that mean something somewhere in a file. */
static uint8_t loaded_byte(void) {
    static const uint8_t bytes[] = {0,    1,    0x7F, 0x80, 0x81, 0x90, 0x99, 0xB9, 88,
                                    0xF0, 0xF7, 0xF8, 0xFE, 0xFF, 0x2F, 0x51, 0x58};
    return bytes[below(sizeof bytes)];
}

static void splice(struct sample *s) {
    const struct sample *other = &seeds[below(seed_count)];
    if (other->length == 0) {
        return;
    }
    const size_t from = below(other->length);
    const size_t at = below(s->length + 1);
    size_t length = 1 + below(other->length - from);
    length = length > LONGEST - at ? LONGEST - at : length;
    memcpy(s->bytes + at, other->bytes + from, length);
    s->length = at + length > s->length ? at + length : s->length;
}

static void damage(struct sample *s) {
    const size_t kind = below(7);
    if (s->length == 0 || kind == 0) {
        insert(s, below(s->length + 1), loaded_byte());
    } else if (kind == 1) {
        s->bytes[below(s->length)] ^= (uint8_t)(1U << below(8));
    } else if (kind == 2) {
        s->bytes[below(s->length)] = (uint8_t)next_random();
    } else if (kind == 3) {
        s->bytes[below(s->length)] = loaded_byte();
    } else if (kind == 4) {
        const size_t at = below(s->length);
        memmove(s->bytes + at, s->bytes + at + 1, s->length - at - 1);
        s->length--;
    } else if (kind == 5) {
        s->length = below(s->length + 1);
    } else {
        splice(s);
    }
}

/* Most damage ends at a chunk's length that no longer fits. Mending it lets the damage go deeper.
 */
static void mend_lengths(struct sample *s) {
    size_t at = 14;
    while (at + 8 <= s->length && memcmp(s->bytes + at, "MTrk", 4) == 0) {
        size_t end = at + 8;
        while (end < s->length && (end + 4 > s->length || memcmp(s->bytes + end, "MTrk", 4) != 0)) {
            end++;
        }
        const size_t length = end - at - 8;
        s->bytes[at + 4] = 0;
        s->bytes[at + 5] = 0;
        s->bytes[at + 6] = (uint8_t)(length >> 8);
        s->bytes[at + 7] = (uint8_t)length;
        at = end;
    }
}

/* Whether the damaged file was read all the same. */
static bool round_once(void) {
    struct sample s = seeds[below(2) == 0 ? below(GOOD_SEEDS) : below(seed_count)];
    for (size_t n = 1 + below(6); n > 0; n--) {
        damage(&s);
    }
    if (below(4) != 0) {
        mend_lengths(&s);
    }
    /* of exactly this length, so that a sanitizer sees a read beyond it */
    uint8_t *bytes = malloc(s.length + (s.length == 0));
    if (bytes != NULL) {
        memcpy(bytes, s.bytes, s.length);
        (void)LLVMFuzzerTestOneInput(bytes, s.length);
    }
    free(bytes);
    return fuzz_accepted;
}

int main(int argc, char **argv) {
    const long rounds = argc > 1 ? strtol(argv[1], NULL, 10) : 400000;
    if (argc > 2) {
        state ^= (uint64_t)strtoull(argv[2], NULL, 10) << 1;
    }
    add_good_seeds();
    add_bad_seeds();
    if (seed_count < 50) {
        (void)fprintf(stderr, "the files of data/bad were not found\n");
        return 1;
    }
    long accepted = 0;
    for (long i = 0; i < rounds; i++) {
        accepted += round_once();
    }
    printf("%ld damaged files from %zu seeds, %ld read all the same: no promise broken\n", rounds,
           seed_count, accepted);
    return accepted > rounds / 50 ? 0 : 1; /* else the damage never went deep */
}
