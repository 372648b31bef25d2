/* What is written comes back, by our own reader; other programs' reading is in outside_readers.py.
 */
#include <criterion/criterion.h>
#include <inttypes.h>
#include <string.h>

#include "evenhand/smf.h"

static const struct eh_metre_change four_four = {.at = 0, .beats = 4, .unit = 4};

static struct eh_take take_at(double bpm) {
    struct eh_take take;
    cr_assert_eq(eh_take_init(&take, "test", four_four, 0, eh_ns_per_quarter(bpm)), EH_OK);
    return take;
}

static void add(struct eh_take *take, int64_t at_ns, uint8_t note, uint16_t velocity) {
    const struct eh_hit hit = {.at_ns = at_ns, .velocity = velocity, .note = note, .channel = 9};
    cr_assert_eq(eh_take_add(take, &hit), EH_OK);
}

static struct eh_take written(const struct eh_take *take) {
    struct eh_text out = {0};
    struct eh_error error;
    cr_assert_eq(eh_smf_write(&out, take, "a title", &error), EH_OK, "%s", error.text);
    struct eh_take back;
    cr_assert_eq(eh_smf_read(&back, (const uint8_t *)out.data, out.length, "back", &error), EH_OK,
                 "%s", error.text);
    eh_text_deinit(&out);
    return back;
}

/* Hits come back within half a tick of the file (+ 1 ns for the two roundings). */
static void expect_hits_back(const struct eh_take *take, const struct eh_take *back) {
    const int64_t shift_ns = eh_tempo_map_ns(&take->click, eh_smf_origin(take));
    cr_assert_eq(back->count, take->count);
    for (size_t i = 0; i < take->count; i++) {
        const int64_t off = back->hits[i].at_ns + shift_ns - take->hits[i].at_ns;
        const eh_ticks place = eh_tempo_map_tick(&back->click, back->hits[i].at_ns);
        const int64_t half =
            eh_tempo_map_ns_per_quarter(&back->click, place) / EH_SMF_DIVISION / 2 + 1;
        cr_assert(off <= half && -off <= half, "hit %zu is off by %" PRId64, i, off);
        cr_assert_eq(back->hits[i].note, take->hits[i].note, "hit %zu", i);
        cr_assert_eq(back->hits[i].velocity, take->hits[i].velocity, "hit %zu", i);
    }
}

static uint64_t next_random(uint64_t *state) {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

static int64_t between(uint64_t *state, int64_t low, int64_t high) {
    return low + (int64_t)(next_random(state) % (uint64_t)(high - low + 1));
}

/* Random hits, tempos in whole microseconds, metres at bar lines, a count-in, an odd clock. */
static struct eh_take random_take(uint64_t *state) {
    struct eh_take take;
    const struct eh_metre_change first = {-between(state, 0, 2) * 80640, 4,
                                          (uint8_t)(1 << between(state, 2, 3))};
    cr_assert_eq(eh_take_init(&take, "random", first, between(state, -1000, INT64_C(1) << 60),
                              between(state, 150000, 3000000) * 1000),
                 EH_OK);
    eh_ticks at = 0;
    for (int i = 0; i < 8; i++) {
        at += between(state, EH_TICKS_PER_QUARTER, 100000);
        cr_assert_eq(eh_tempo_map_change(&take.click, at, between(state, 150000, 3000000) * 1000),
                     EH_OK);
        const struct eh_metre_change m = {eh_take_bar_start(&take, 4 * i + 8),
                                          (uint8_t)between(state, 1, 12), 8};
        cr_assert_eq(eh_take_add_metre(&take, m), EH_OK);
    }
    const int64_t begin_ns = eh_tempo_map_ns(&take.click, first.at);
    const int64_t end_ns = eh_tempo_map_ns(&take.click, at) + 3 * EH_NS_PER_S;
    for (int i = 0; i < 300; i++) {
        add(&take, between(state, begin_ns, end_ns), (uint8_t)between(state, 37, 40),
            (uint16_t)(4 * between(state, 128, 0x3FFF)));
    }
    return take;
}

static void expect_click_back(const struct eh_take *take, const struct eh_take *back) {
    const eh_ticks origin = eh_smf_origin(take);
    const int64_t shift_ns = eh_tempo_map_ns(&take->click, origin);
    cr_assert_eq(back->click.count, take->click.count);
    for (size_t i = 0; i < take->click.count; i++) {
        const struct eh_tempo_segment *a = &take->click.segments[i];
        const struct eh_tempo_segment *b = &back->click.segments[i];
        cr_assert_eq(b->ns_per_quarter, a->ns_per_quarter, "segment %zu", i);
        cr_assert_eq(b->at + origin, i == 0 ? origin : a->at, "segment %zu", i);
        const int64_t off = b->at_ns + shift_ns - (i == 0 ? shift_ns : a->at_ns);
        cr_assert(off >= -9 && off <= 9, "segment %zu: %" PRId64, i, off); /* 1 ns a change */
    }
    cr_assert_eq(back->metre_count, take->metre_count);
    for (size_t i = 0; i < take->metre_count; i++) {
        cr_assert_eq(back->metres[i].at + origin, take->metres[i].at, "metre %zu", i);
        cr_assert_eq(back->metres[i].beats, take->metres[i].beats, "metre %zu", i);
        cr_assert_eq(back->metres[i].unit, take->metres[i].unit, "metre %zu", i);
    }
}

/* Neighbours of one metre would be said once: make random metres differ. */
static void make_metres_differ(struct eh_take *take) {
    for (size_t i = 1; i < take->metre_count; i++) {
        if (take->metres[i].beats == take->metres[i - 1].beats &&
            take->metres[i].unit == take->metres[i - 1].unit) {
            take->metres[i].unit = take->metres[i].unit == 8 ? 16 : 8;
        }
    }
}

Test(smf_write, random_takes_come_back_within_half_a_tick) {
    uint64_t state = 2024;
    for (int i = 0; i < 60; i++) {
        struct eh_take take = random_take(&state);
        make_metres_differ(&take);
        struct eh_take back = written(&take);
        expect_hits_back(&take, &back);
        expect_click_back(&take, &back);
        eh_take_deinit(&take);
        eh_take_deinit(&back);
    }
}

Test(smf_write, what_was_read_and_written_again_is_the_same_file) {
    uint64_t state = 5;
    struct eh_take take = random_take(&state);
    struct eh_take once = written(&take);
    struct eh_text a = {0};
    struct eh_text b = {0};
    cr_assert_eq(eh_smf_write(&a, &once, "t", NULL), EH_OK);
    struct eh_take twice;
    cr_assert_eq(eh_smf_read(&twice, (const uint8_t *)a.data, a.length, "x", NULL), EH_OK);
    cr_assert_eq(eh_smf_write(&b, &twice, "t", NULL), EH_OK);
    cr_assert_eq(a.length, b.length);
    cr_expect_eq(memcmp(a.data, b.data, a.length), 0);
    eh_text_deinit(&a);
    eh_text_deinit(&b);
    eh_take_deinit(&take);
    eh_take_deinit(&once);
    eh_take_deinit(&twice);
}

/* Byte for byte, by Standard MIDI Files 1.0 and MIDI 1.0: two strokes, the second finer than seven
 * bits (CA-031), lengths 50 ms = 2016 ticks. */
Test(smf_write, the_bytes_are_those_of_the_specification) {
    static const uint8_t expected[] = {
        'M',  'T',  'h',  'd', 0,    0,    0,    6,   0,   1, 0, 2, 0x4E, 0xC0, /* 20160 */
        'M',  'T',  'r',  'k', 0,    0,    0,    28,                            /* */
        0,    0xFF, 0x03, 5,   'r',  'o',  'l',  'l', 's',                      /* name */
        0,    0xFF, 0x51, 3,   0x07, 0xA1, 0x20,                                /* 120 */
        0,    0xFF, 0x58, 4,   6,    3,    36,   8,                             /* 6/8 */
        0,    0xFF, 0x2F, 0,                                                    /* */
        'M',  'T',  'r',  'k', 0,    0,    0,    27,                            /* */
        0,    0x99, 38,   64,                                                   /* */
        0x8F, 0x60, 0x89, 38,  64,                                              /* 2016 */
        0xBF, 0x00, 0xB9, 88,  64, /* 8064 later: 10080, 250 ms */
        0,    0x99, 40,   100,     /* */
        0x8F, 0x60, 0x89, 40,  64, /* */
        0,    0xFF, 0x2F, 0};
    struct eh_take take;
    const struct eh_metre_change six_eight = {0, 6, 8};
    cr_assert_eq(eh_take_init(&take, "", six_eight, 0, 500000000), EH_OK);
    add(&take, 0, 38, 64 * EH_VELOCITY_UNIT);
    add(&take, 250000000, 40, 100 * EH_VELOCITY_UNIT + 256);
    struct eh_text out = {0};
    cr_assert_eq(eh_smf_write(&out, &take, "rolls", NULL), EH_OK);
    cr_expect_eq(out.length, sizeof expected, "%zu", out.length);
    for (size_t i = 0; i < out.length && i < sizeof expected; i++) {
        cr_assert_eq((uint8_t)out.data[i], expected[i], "byte %zu is %02X", i,
                     (unsigned)(uint8_t)out.data[i]);
    }
    eh_text_deinit(&out);
    eh_take_deinit(&take);
}

Test(smf_write, a_count_in_makes_the_file_begin_with_its_bar) {
    static const struct {
        int64_t first_ns; /* of a hit; the exercise begins at 0 */
        eh_ticks origin;
        const char *what;
    } rows[] = {
        {0, 0, "on the beat"},
        {10, 0, "a little late"},
        {-20 * EH_NS_PER_MS, -80640, "a little early: its bar is the one before"},
        {-2 * EH_NS_PER_S, -80640, "on beat 1 of the bar before"},
        {-2 * EH_NS_PER_S - EH_NS_PER_MS, -161280, "just before that bar"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_take take = take_at(120);
        add(&take, rows[i].first_ns, 38, 64 * EH_VELOCITY_UNIT);
        add(&take, 500000000, 38, 64 * EH_VELOCITY_UNIT);
        cr_expect_eq(eh_smf_origin(&take), rows[i].origin, "%s", rows[i].what);
        struct eh_take back = written(&take);
        expect_hits_back(&take, &back);
        eh_take_deinit(&take);
        eh_take_deinit(&back);
    }
}

Test(smf_write, a_click_that_begins_before_zero_is_written_whole) {
    struct eh_take take;
    cr_assert_eq(
        eh_take_init(&take, "", (struct eh_metre_change){-60480, 3, 4}, 7 * EH_NS_PER_S, 400000000),
        EH_OK);
    add(&take, 9 * EH_NS_PER_S, 38, 64 * EH_VELOCITY_UNIT);
    cr_expect_eq(eh_smf_origin(&take), -60480);
    struct eh_take back = written(&take);
    cr_expect_eq(back.hits[0].at_ns, 2 * EH_NS_PER_S);
    cr_expect_eq(back.metres[0].beats, 3);
    eh_take_deinit(&take);
    eh_take_deinit(&back);
}

/* A click measured beat by beat, with jitter: each beat of the file lies within a microsecond of
 * its measured time, however many there are, although tempos are whole microseconds. */
Test(smf_write, a_measured_click_does_not_drift) {
    uint64_t state = 77;
    struct eh_take take = take_at(88);
    for (int i = 1; i < 2000; i++) {
        const int64_t at_ns = i * INT64_C(681818182) + between(&state, -400000, 400000);
        cr_assert_eq(eh_tempo_map_append(&take.click, i * EH_TICKS_PER_QUARTER, at_ns, 681818182),
                     EH_OK);
    }
    struct eh_take back = written(&take);
    cr_assert_eq(back.click.count, 2000);
    for (size_t i = 0; i < 2000; i++) {
        const int64_t off = back.click.segments[i].at_ns - take.click.segments[i].at_ns;
        cr_assert(off >= -500 && off <= 500, "beat %zu is off by %" PRId64, i, off);
    }
    eh_take_deinit(&take);
    eh_take_deinit(&back);
}

/* 88 to the minute is 681 818.18 us: the file's click is off by less than half a microsecond a
 * quarter, the hits keep their own times. */
Test(smf_write, a_tempo_between_microseconds_moves_the_click_not_the_hits) {
    struct eh_take take = take_at(88);
    for (int i = 0; i < 880; i++) {
        add(&take, i * INT64_C(681818182), 38, 64 * EH_VELOCITY_UNIT);
    }
    struct eh_take back = written(&take);
    expect_hits_back(&take, &back);
    cr_expect_eq(back.click.segments[0].ns_per_quarter, 681818000);
    eh_take_deinit(&take);
    eh_take_deinit(&back);
}

Test(smf_write, a_silence_longer_than_a_delta_time_holds_is_bridged) {
    struct eh_take take = take_at(240);
    add(&take, 0, 38, 64 * EH_VELOCITY_UNIT);
    add(&take, 20 * 3600 * EH_NS_PER_S, 38, 64 * EH_VELOCITY_UNIT);
    struct eh_take back = written(&take);
    expect_hits_back(&take, &back);
    eh_take_deinit(&take);
    eh_take_deinit(&back);
}

Test(smf_write, velocities_keep_fourteen_bits_and_stay_note_ons) {
    static const struct {
        uint16_t velocity;
        uint16_t back;
    } rows[] = {{512, 512},     {0, 512},       {511, 512},    {300, 512},
                {513, 512},     {514, 516},     {1023, 1024},  {51457, 51456},
                {65024, 65024}, {65532, 65532}, {65535, 65532}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_take take = take_at(120);
        add(&take, 0, 38, rows[i].velocity);
        struct eh_take back = written(&take);
        cr_assert_eq(back.count, 1);
        cr_expect_eq(back.hits[0].velocity, rows[i].back, "%d came back as %d", rows[i].velocity,
                     back.hits[0].velocity);
        eh_take_deinit(&take);
        eh_take_deinit(&back);
    }
}

/* The third byte of a time signature is MIDI clocks, 24 to the quarter, to a beat of the metronome
 * (Standard MIDI Files 1.0); it may not be 0. Three eighths to the beat in 6/8: common practice. */
Test(smf_write, time_signatures_say_how_many_clocks_a_beat_has) {
    static const struct {
        uint8_t beats;
        uint8_t unit;
        uint8_t bytes[4];
    } rows[] = {{4, 4, {4, 2, 24, 8}}, {2, 2, {2, 1, 48, 8}}, {3, 8, {3, 3, 12, 8}},
                {6, 8, {6, 3, 36, 8}}, {7, 8, {7, 3, 12, 8}}, {12, 8, {12, 3, 36, 8}},
                {1, 1, {1, 0, 96, 8}}, {5, 16, {5, 4, 6, 8}}, {3, 128, {3, 7, 1, 8}}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_take take;
        const struct eh_metre_change metre = {0, rows[i].beats, rows[i].unit};
        cr_assert_eq(eh_take_init(&take, "", metre, 0, 500000000), EH_OK);
        struct eh_text out = {0};
        cr_assert_eq(eh_smf_write(&out, &take, NULL, NULL), EH_OK);
        /* header 14, track head 8, empty name 4, tempo 7, then 00 FF 58 04 */
        cr_expect_eq(memcmp(out.data + 37, rows[i].bytes, 4), 0, "%d/%d", rows[i].beats,
                     rows[i].unit);
        eh_text_deinit(&out);
        eh_take_deinit(&take);
    }
}

Test(smf_write, an_empty_take_is_a_file_with_its_click) {
    struct eh_take take = take_at(100);
    struct eh_text out = {0};
    cr_assert_eq(eh_smf_write(&out, &take, NULL, NULL), EH_OK);
    struct eh_take back;
    cr_assert_eq(eh_smf_read(&back, (const uint8_t *)out.data, out.length, "b", NULL), EH_OK);
    cr_expect_eq(back.count, 0);
    cr_expect_eq(back.click.segments[0].ns_per_quarter, 600000000);
    eh_text_deinit(&out);
    eh_take_deinit(&take);
    eh_take_deinit(&back);
}

static void expect_refused(struct eh_take *take, enum eh_status expected, const char *what) {
    struct eh_text out = {0};
    eh_text_add(&out, "before");
    struct eh_error error;
    cr_expect_eq(eh_smf_write(&out, take, "t", &error), expected, "%s", what);
    cr_expect_eq(error.status, expected, "%s", what);
    cr_expect_str_not_empty(error.text, "%s", what);
    cr_expect_str_eq(eh_text_string(&out), "before", "%s", what);
    eh_text_deinit(&out);
    eh_take_deinit(take);
}

Test(smf_write, refuses_what_a_file_cannot_hold_and_writes_nothing) {
    struct eh_take take = {0};
    expect_refused(&take, EH_OUT_OF_RANGE, "no click");
    cr_assert_eq(eh_take_init(&take, "", four_four, 0, 999000), EH_OK);
    expect_refused(&take, EH_OUT_OF_RANGE, "a quarter of 999 us");
    cr_assert_eq(eh_take_init(&take, "", four_four, 0, INT64_C(16777216000)), EH_OK);
    expect_refused(&take, EH_OUT_OF_RANGE, "a quarter of 2^24 us");
    take = take_at(120);
    add(&take, EH_SMF_LONGEST_NS + 1, 38, 512);
    expect_refused(&take, EH_TOO_LARGE, "a hit beyond 24 hours");
    take = take_at(120);
    add(&take, INT64_MIN, 38, 512);
    add(&take, INT64_MAX, 38, 512);
    expect_refused(&take, EH_TOO_LARGE, "hits at both ends of time");
    take = take_at(120);
    cr_assert_eq(eh_tempo_map_change(&take.click, INT64_C(1) << 50, 500000000), EH_OK);
    expect_refused(&take, EH_TOO_LARGE, "a tempo in the far future");
    take = take_at(120);
    cr_assert_eq(eh_take_add_metre(&take, (struct eh_metre_change){INT64_C(1) << 58, 3, 4}), EH_OK);
    expect_refused(&take, EH_TOO_LARGE, "a metre in the far future");
}
