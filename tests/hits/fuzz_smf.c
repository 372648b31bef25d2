/* Any bytes at all: the reader refuses them or makes a sound take of them, which can be written and
 * read again. For a coverage-guided run:
 *
 *   clang -g -O1 -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all -std=c11 \
 *     -D_POSIX_C_SOURCE=200809L -Iinclude tests/hits/fuzz_smf.c src/hits/[a-z]*.c src/base/status.c
 * \ src/base/tempo.c src/base/text.c -lm -o fuzz_smf && ./fuzz_smf tests/hits/data/bad */
#include "fuzz_smf.h"

#include <stdio.h>
#include <stdlib.h>

#include "evenhand/smf.h"

bool fuzz_accepted;

static void require(bool condition, const char *what) {
    if (!condition) {
        (void)fprintf(stderr, "broken: %s\n", what);
        abort();
    }
}

static void check_hits(const struct eh_take *take, size_t size) {
    require(take->count <= size / 3, "no more hits than the bytes can spell");
    require(take->resolution_ns > 0, "a resolution");
    for (size_t i = 0; i < take->count; i++) {
        const struct eh_hit *hit = &take->hits[i];
        require(hit->at_ns >= 0 && hit->at_ns <= EH_SMF_LONGEST_NS, "a time within the limit");
        require(i == 0 || hit->at_ns >= take->hits[i - 1].at_ns, "times in order");
        require(hit->velocity >= EH_VELOCITY_UNIT, "a velocity of at least 1");
        require(hit->note < 128 && hit->channel < 16, "a note and a channel");
    }
}

static void check_click(const struct eh_take *take) {
    const struct eh_tempo_map *click = &take->click;
    require(click->count > 0 && click->segments[0].at == 0 && click->segments[0].at_ns == 0,
            "a click from the beginning");
    for (size_t i = 1; i < click->count; i++) {
        require(click->segments[i].at > click->segments[i - 1].at &&
                    click->segments[i].at_ns > click->segments[i - 1].at_ns,
                "a rising click");
    }
    require(take->metre_count > 0 && take->metres[0].at == 0, "a metre from the beginning");
    for (size_t i = 1; i < take->metre_count; i++) {
        require(take->metres[i].at > take->metres[i - 1].at, "rising metres");
    }
}

static void check_written(const struct eh_take *take) {
    struct eh_text out = {0};
    struct eh_error error;
    const enum eh_status status = eh_smf_write(&out, take, take->source, &error);
    /* Of what was read only the place of a tempo or metre in the far future can stand in the way.
     */
    require(status == EH_OK || status == EH_TOO_LARGE, "what was read can be written");
    if (status == EH_OK) {
        struct eh_take back;
        require(eh_smf_read(&back, (const uint8_t *)out.data, out.length, "back", &error) == EH_OK,
                "what was written can be read");
        require(back.count == take->count, "no hit is lost on the way");
        eh_take_deinit(&back);
    }
    eh_text_deinit(&out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct eh_take take;
    struct eh_error error;
    const enum eh_status status = eh_smf_read(&take, data, size, "fuzz", &error);
    fuzz_accepted = status == EH_OK;
    if (status == EH_OK) {
        check_hits(&take, size);
        check_click(&take);
        check_written(&take);
    } else {
        require(error.status == status && error.text[0] != '\0', "words for a refusal");
        require(error.offset >= 0 && error.offset <= (long long)size, "a place for a refusal");
        require(take.hits == NULL && take.metres == NULL && take.click.segments == NULL,
                "nothing left behind");
    }
    eh_take_deinit(&take);
    return 0;
}
