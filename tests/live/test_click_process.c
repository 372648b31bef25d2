/* The audio callback, run without any device: what it renders is looked at sample by sample. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "click_process.h"
#include "click_sound.h"

enum { RATE = 48000, FRAMES = 96000, CHANNELS = 2 };

static struct eh_click_process *process;
static float *out;
static int64_t now_ns;

static void set_up(void) {
    process = calloc(1, sizeof *process);
    out = calloc(FRAMES * CHANNELS, sizeof *out);
    now_ns = 1000000000;
    process->channels = CHANNELS;
    process->sound_frames = eh_click_sound_frames(RATE);
    eh_click_time_init(&process->time, RATE);
    for (int i = 0; i < EH_CLICK_SOUND_COUNT; i++) {
        process->sounds[i] = calloc(process->sound_frames, sizeof(float));
        eh_click_sound_render(process->sounds[i], (enum eh_click_sound)i, RATE, 0.8);
    }
    cr_assert_eq(eh_ring_new(&process->beats, sizeof(struct eh_click_due), 64), EH_OK);
    cr_assert_eq(eh_ring_new(&process->sounded, sizeof(struct eh_click_sounded), 64), EH_OK);
}

static void tear_down(void) {
    for (int i = 0; i < EH_CLICK_SOUND_COUNT; i++) {
        free(process->sounds[i]);
    }
    eh_ring_free(process->beats);
    eh_ring_free(process->sounded);
    free(process);
    free(out);
}

TestSuite(click_process, .init = set_up, .fini = tear_down);

static void beat(int64_t frame, enum eh_click_sound sound, eh_ticks at) {
    const struct eh_click_due due = {.frame = frame,
                                     .due_ns = frame * 10,
                                     .at = at,
                                     .sound = (uint8_t)sound,
                                     .generation = atomic_load(&process->generation)};
    cr_assert(eh_ring_push(process->beats, &due));
}

/* Renders up to frame END in blocks of the sizes given, in turn. */
static void render_to(int64_t end, const size_t *sizes, size_t count) {
    for (size_t i = 0; process->frames < end; i++) {
        size_t frames = sizes[i % count];
        if ((int64_t)frames > end - process->frames) {
            frames = (size_t)(end - process->frames);
        }
        const struct eh_click_block block = {
            .out = out + process->frames * CHANNELS,
            .frames = frames,
            .now_ns = now_ns,
            .latency_ns = 10000000,
        };
        eh_click_process(process, &block);
        now_ns += (int64_t)frames * 1000000000 / RATE;
    }
}

/* What must stand at a frame: the sum of the sounds that were put there. */
static double expected(const int64_t *frames, const enum eh_click_sound *sounds, size_t count,
                       int64_t frame) {
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        const int64_t into = frame - frames[i];
        if (into >= 0 && into < (int64_t)process->sound_frames) {
            sum += (double)process->sounds[sounds[i]][into];
        }
    }
    return sum;
}

Test(click_process, places_each_beat_to_the_sample_whatever_the_block_sizes) {
    static const int64_t at[] = {0, 479, 480, 1919, 9600, 9601, 20000, 20300, 50000, 94000};
    static const enum eh_click_sound sounds[] = {0, 1, 2, 1, 0, 2, 1, 2, 0, 2};
    static const size_t sizes[][3] = {{480, 480, 480}, {1, 7, 1024}, {64, 4096, 3}};
    enum { BEATS = sizeof at / sizeof *at };
    for (size_t s = 0; s < 3; s++) {
        if (s > 0) {
            tear_down();
            set_up();
        }
        for (size_t i = 0; i < BEATS; i++) {
            beat(at[i], sounds[i], (eh_ticks)i);
        }
        render_to(FRAMES, sizes[s], 3);
        for (int64_t i = 0; i < FRAMES; i++) {
            const double wanted = expected(at, sounds, BEATS, i);
            cr_assert(fabs((double)out[2 * i] - wanted) < 1e-5, "sizes %zu, frame %d", s, (int)i);
            cr_assert_float_eq(out[2 * i], out[2 * i + 1], 0);
        }
        for (size_t i = 0; i < BEATS; i++) {
            struct eh_click_sounded sounded;
            cr_assert(eh_ring_pop(process->sounded, &sounded));
            cr_assert(sounded.at == (eh_ticks)i && sounded.due_ns == at[i] * 10);
            cr_assert(!sounded.late && !sounded.underflow);
            /* Entry + latency + place in the block. */
            const int64_t true_ns = 1010000000 + at[i] * 1000000000 / RATE;
            cr_assert(llabs(sounded.sounds_ns - true_ns) < 20000, "beat %zu: %lld", i,
                      (long long)(sounded.sounds_ns - true_ns));
        }
    }
}

Test(click_process, a_beat_that_comes_too_late_does_not_sound_and_is_told) {
    const size_t size = 480;
    struct eh_click_sounded sounded;
    render_to(4800, &size, 1);
    beat(4799, EH_CLICK_BEAT, 1);
    beat(4800, EH_CLICK_BEAT, 2);
    render_to(9600, &size, 1);
    cr_assert(eh_ring_pop(process->sounded, &sounded) && sounded.at == 1 && sounded.late);
    cr_assert(llabs(sounded.sounds_ns - (1010000000 + INT64_C(4799) * 1000000000 / RATE)) < 20000);
    cr_assert(eh_ring_pop(process->sounded, &sounded) && sounded.at == 2 && !sounded.late);
    cr_assert_eq(atomic_load(&process->late), 1);
    cr_assert_float_eq(out[4800 * CHANNELS], process->sounds[EH_CLICK_BEAT][0], 1e-7);
}

Test(click_process, forgotten_beats_do_not_sound_and_newer_ones_do) {
    const size_t size = 480;
    struct eh_click_sounded sounded;
    beat(1000, EH_CLICK_BEAT, 1);
    beat(90000, EH_CLICK_BEAT, 2);
    atomic_fetch_add(&process->generation, 1);
    beat(2000, EH_CLICK_BEAT, 3);
    render_to(FRAMES, &size, 1);
    cr_assert(eh_ring_pop(process->sounded, &sounded) && sounded.at == 3);
    cr_assert_not(eh_ring_pop(process->sounded, &sounded));
    cr_assert_float_eq(out[1000 * CHANNELS], 0, 0);
    cr_assert_float_neq(out[2000 * CHANNELS], 0, 0);
}

Test(click_process, a_gap_is_told_with_the_next_beat_and_counted) {
    const size_t size = 480;
    struct eh_click_sounded sounded;
    render_to(4800, &size, 1);
    struct eh_click_block block = {
        .out = out, .frames = 480, .now_ns = now_ns + 30000000, .underflow = true};
    eh_click_process(process, &block);
    beat(6000, EH_CLICK_BEAT, 1);
    beat(7000, EH_CLICK_BEAT, 2);
    render_to(9600, &size, 1);
    cr_assert(eh_ring_pop(process->sounded, &sounded) && sounded.underflow);
    cr_assert(eh_ring_pop(process->sounded, &sounded) && !sounded.underflow);
    cr_assert_eq(atomic_load(&process->underflows), 1);
}

Test(click_process, muted_is_silent) {
    const size_t size = 480;
    beat(100, EH_CLICK_ACCENT, 1);
    atomic_store(&process->mute, true);
    render_to(4800, &size, 1);
    for (int i = 0; i < 4800 * CHANNELS; i++) {
        cr_assert_float_eq(out[i], 0, 0);
    }
}

/* How many times the sound crosses zero: its pitch, in half waves. */
static int crossings(const float *sound, size_t frames) {
    int count = 0;
    for (size_t i = 1; i < frames; i++) {
        count += (sound[i - 1] < 0) != (sound[i] < 0);
    }
    return count;
}

Test(click_process, sounds_are_short_sharp_distinct_and_end_in_silence) {
    static const double rates[] = {8000, 22050, 44100, 48000, 96000, 192000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        const size_t frames = eh_click_sound_frames(rates[r]);
        float *sounds[EH_CLICK_SOUND_COUNT];
        double peaks[EH_CLICK_SOUND_COUNT];
        cr_assert(frames / rates[r] <= 0.030);
        for (int s = 0; s < EH_CLICK_SOUND_COUNT; s++) {
            sounds[s] = calloc(frames, sizeof(float));
            eh_click_sound_render(sounds[s], (enum eh_click_sound)s, rates[r], 1);
            double peak = 0;
            for (size_t i = 0; i < frames; i++) {
                peak = fmax(peak, fabs((double)sounds[s][i]));
            }
            size_t loud = 0; /* a recording sees the onset: a quarter of the peak within 0.3 ms */
            while (fabs((double)sounds[s][loud]) < peak / 4) {
                loud++;
            }
            cr_assert((double)loud / rates[r] <= 0.0003, "rate %g: %zu", rates[r], loud);
            cr_assert(sounds[s][0] != 0, "the first sample is heard already");
            cr_assert(fabs((double)sounds[s][frames - 1]) < peak * 1e-4, "no jump at its end");
            cr_assert(peak <= 1);
            peaks[s] = peak;
        }
        cr_assert(peaks[EH_CLICK_ACCENT] > peaks[EH_CLICK_BEAT] * 1.2);
        cr_assert(peaks[EH_CLICK_BEAT] > peaks[EH_CLICK_SUB] * 1.2);
        const size_t some = frames / 3;
        cr_assert(crossings(sounds[0], some) > crossings(sounds[1], some) + 3);
        cr_assert(crossings(sounds[1], some) > crossings(sounds[2], some) + 1);
        for (int s = 0; s < EH_CLICK_SOUND_COUNT; s++) {
            free(sounds[s]);
        }
    }
}
