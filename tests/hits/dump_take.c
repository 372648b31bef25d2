/* Prints a MIDI file as this library reads it, a line for each hit, tempo and metre, so that a
 * script can compare it with what another program reads. With -w FILE it also writes the take
 * again. Exit 1 and the refusal on standard error when the file cannot be read. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/smf.h"

static uint8_t *load(const char *path, size_t *out_length) {
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        return NULL;
    }
    size_t capacity = (size_t)1 << 16;
    uint8_t *bytes = malloc(capacity);
    *out_length = 0;
    while (bytes != NULL) {
        *out_length += fread(bytes + *out_length, 1, capacity - *out_length, file);
        if (*out_length < capacity) {
            break;
        }
        capacity *= 2;
        uint8_t *grown = realloc(bytes, capacity);
        if (grown == NULL) {
            free(bytes);
        }
        bytes = grown;
    }
    (void)fclose(file);
    return bytes;
}

static void dump(const struct eh_take *take) {
    printf("resolution %" PRId64 "\n", take->resolution_ns);
    for (size_t i = 0; i < take->click.count; i++) {
        const struct eh_tempo_segment *s = &take->click.segments[i];
        printf("tempo %" PRId64 " %" PRId64 " %" PRId64 "\n", s->at, s->at_ns, s->ns_per_quarter);
    }
    for (size_t i = 0; i < take->metre_count; i++) {
        const struct eh_metre_change *m = &take->metres[i];
        printf("metre %" PRId64 " %d %d\n", m->at, m->beats, m->unit);
    }
    for (size_t i = 0; i < take->count; i++) {
        const struct eh_hit *h = &take->hits[i];
        printf("hit %" PRId64 " %d %d %d\n", h->at_ns, h->channel, h->note, h->velocity);
    }
}

static int write_again(const struct eh_take *take, const char *path) {
    struct eh_text out = {0};
    struct eh_error error;
    int result = 1;
    if (eh_smf_write(&out, take, "written again", &error) == EH_OK) {
        FILE *file = fopen(path, "wb");
        if (file != NULL) {
            result = fwrite(out.data, 1, out.length, file) != out.length;
            result |= fclose(file) != 0;
        }
    } else {
        (void)fprintf(stderr, "%s\n", error.text);
    }
    eh_text_deinit(&out);
    return result;
}

int main(int argc, char **argv) {
    if (argc != 2 && (argc != 4 || strcmp(argv[2], "-w") != 0)) {
        (void)fprintf(stderr, "usage: dump_take FILE [-w WRITTEN]\n");
        return 2;
    }
    size_t length = 0;
    uint8_t *bytes = load(argv[1], &length);
    if (bytes == NULL) {
        (void)fprintf(stderr, "cannot load %s\n", argv[1]);
        return 2;
    }
    struct eh_take take;
    struct eh_error error;
    const enum eh_status status = eh_smf_read(&take, bytes, length, argv[1], &error);
    free(bytes);
    if (status != EH_OK) {
        (void)fprintf(stderr, "%d %lld %s\n", (int)status, error.offset, error.text);
        return 1;
    }
    dump(&take);
    const int result = argc == 4 ? write_again(&take, argv[3]) : 0;
    eh_take_deinit(&take);
    return result;
}
