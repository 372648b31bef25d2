/* The reader against figures that were published by others. */
#include <criterion/criterion.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>

#include "maker.h"

static struct maker made;

/* Standard MIDI Files 1.0 ends with one and the same piece as a format 0 and as a format 1 file, 96
 * ticks to the quarter at 120 to the minute (bytes from memory). */
static const char *const format_0 =
    "4D546864 00000006 0000 0001 0060 4D54726B 0000003B 00 FF58 04 04021808 00 FF51 03 07A120 "
    "00 C005 00 C12E 00 C246 00 923060 00 3C60 60 914340 60 904C20 8140 823040 00 3C40 "
    "00 814340 00 804C40 00 FF2F00";
static const char *const format_1 =
    "4D546864 00000006 0001 0004 0060 "
    "4D54726B 00000014 00 FF58 04 04021808 00 FF51 03 07A120 8300 FF2F00 "
    "4D54726B 00000010 00 C005 8140 904C20 8140 4C00 00 FF2F00 "
    "4D54726B 0000000F 00 C12E 60 914340 8220 4300 00 FF2F00 "
    "4D54726B 00000015 00 C246 00 923060 00 3C60 8300 3000 00 3C00 00 FF2F00";

static void expect_example(const char *hex, const char *which) {
    static const struct {
        int64_t at_ns;
        uint8_t channel;
        uint8_t note;
        uint8_t velocity;
    } expected[] = {
        {0, 2, 48, 96}, {0, 2, 60, 96}, {500000000, 1, 67, 64}, {1000000000, 0, 76, 32}};
    made.length = 0;
    make_hex(&made, hex);
    struct eh_take take = make_take(&made);
    cr_assert_eq(take.count, 4, "%s", which);
    for (size_t i = 0; i < 4; i++) {
        cr_expect_eq(take.hits[i].at_ns, expected[i].at_ns, "%s, hit %zu", which, i);
        cr_expect_eq(take.hits[i].channel, expected[i].channel, "%s, hit %zu", which, i);
        cr_expect_eq(take.hits[i].note, expected[i].note, "%s, hit %zu", which, i);
        cr_expect_eq(take.hits[i].velocity, expected[i].velocity * 512, "%s, hit %zu", which, i);
    }
    cr_expect_eq(take.click.count, 1);
    cr_expect_eq(take.click.segments[0].ns_per_quarter, 500000000);
    cr_expect_eq(take.metre_count, 1);
    cr_expect_eq(take.resolution_ns, 5208334, "500 ms / 96, rounded up");
    eh_take_deinit(&take);
}

Test(smf_facts, reads_the_specifications_own_example_in_both_formats) {
    expect_example(format_0, "format 0");
    expect_example(format_1, "format 1");
}

/* Standard MIDI Files 1.0, the table of variable-length quantities. The quantity is taken as a
 * delta-time at one microsecond a tick. */
Test(smf_facts, reads_every_variable_length_quantity_of_the_specification) {
    static const struct {
        int64_t number;
        const char *bytes;
    } rows[] = {
        {0x00000000, "00"},       {0x00000040, "40"},       {0x0000007F, "7F"},
        {0x00000080, "8100"},     {0x00002000, "C000"},     {0x00003FFF, "FF7F"},
        {0x00004000, "818000"},   {0x00100000, "C08000"},   {0x001FFFFF, "FFFF7F"},
        {0x00200000, "81808000"}, {0x08000000, "C0808000"}, {0x0FFFFFFF, "FFFFFF7F"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        make_header(&made, 0, 1, 1000);
        char events[64];
        (void)snprintf(events, sizeof events, "00 FF5103 0003E8 %s 99 26 40", rows[i].bytes);
        make_track(&made, events);
        struct eh_take take = make_take(&made);
        cr_assert_eq(take.count, 1);
        cr_expect_eq(take.hits[0].at_ns, rows[i].number * 1000, "%s", rows[i].bytes);
        eh_take_deinit(&take);
    }
}

/* Tempo is microseconds to the quarter in three bytes (Standard MIDI Files 1.0); the bytes are
 * 60 000 000 / tempo, rounded. */
Test(smf_facts, reads_tempos_as_microseconds_to_the_quarter) {
    static const struct {
        double bpm;
        const char *bytes;
        int64_t quarter_us;
    } rows[] = {
        {60, "0F4240", 1000000}, {72, "0CB735", 833333},  {88, "0A675A", 681818},
        {96, "098968", 625000},  {100, "0927C0", 600000}, {104, "08CD9B", 576923},
        {112, "082CA2", 535714}, {120, "07A120", 500000}, {126, "07441E", 476190},
        {132, "06EF91", 454545}, {140, "068A1B", 428571}, {144, "065B9B", 416667},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char events[64];
        (void)snprintf(events, sizeof events, "00 FF5103 %s 8740 99 26 40", rows[i].bytes);
        struct eh_take take = make_take_of(960, events); /* one quarter later */
        cr_expect_eq(take.hits[0].at_ns, rows[i].quarter_us * 1000, "%g", rows[i].bpm);
        cr_expect_eq(take.click.segments[0].ns_per_quarter, rows[i].quarter_us * 1000);
        cr_expect_float_eq(60e6 / rows[i].bpm, (double)rows[i].quarter_us, 0.5);
        eh_take_deinit(&take);
    }
}

/* Standard MIDI Files 1.0: without tempo and time signature, 120 to the minute and 4/4. */
Test(smf_facts, assumes_120_and_common_time_where_the_file_says_nothing) {
    struct eh_take take = make_take_of(480, "8360 99 26 40");
    cr_expect_eq(take.hits[0].at_ns, 500000000);
    cr_expect_eq(take.click.count, 1);
    cr_expect_eq(take.click.segments[0].ns_per_quarter, 500000000);
    cr_expect_eq(take.metre_count, 1);
    cr_expect_eq(take.metres[0].beats, 4);
    cr_expect_eq(take.metres[0].unit, 4);
    eh_take_deinit(&take);
}

/* Standard MIDI Files 1.0, header chunk: the upper byte of a negative division is minus the frames
 * a second as in SMPTE and MIDI time code, -29 standing for 30 drop-frame; the lower byte the ticks
 * to a frame. 0xE250 (30 frames of 80) and 0xE728 (25 frames of 40: a millisecond a tick) are the
 * specification's examples. Drop-frame runs at 30/1.001 frames a second and leaves out numbers, not
 * frames, so that the hour by its numbers holds 107 892 frames (SMPTE ST 12-1; from memory) and
 * lasts 3599.9964 s. */
Test(smf_facts, keeps_time_by_video_frames_at_all_four_rates) {
    static const struct {
        int division;
        const char *delta;
        int64_t at_ns;
        int64_t resolution_ns;
        const char *what;
    } rows[] = {
        {0xE728, "8768", 1000000000, 1000000, "1000 ticks of 25 frames of 40"},
        {0xE250, "9260", 1000000000, 416667, "2400 ticks of 30 frames of 80"},
        {0xE864, "9260", 1000000000, 416667, "2400 ticks of 24 frames of 100"},
        {0xE350, "848EE840", 3599996400000, 417084, "107 892 frames of 80 at 30 drop-frame"},
        {0xE301, "01", 33366667, 33366667, "one frame at 30 drop-frame"},
        {0xE201, "01", 33333333, 33333334, "one frame at 30"},
        {0xE801, "01", 41666667, 41666667, "one frame at 24"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char events[64];
        /* the tempo moves the beats, never the hits */
        (void)snprintf(events, sizeof events, "00 FF5103 0F4240 %s 99 26 40", rows[i].delta);
        struct eh_take take = make_take_of(rows[i].division, events);
        cr_expect_eq(take.hits[0].at_ns, rows[i].at_ns, "%s: %" PRId64, rows[i].what,
                     take.hits[0].at_ns);
        cr_expect_eq(take.resolution_ns, rows[i].resolution_ns, "%s", rows[i].what);
        eh_take_deinit(&take);
    }
}

/* CA-031: controller 88 carries the low seven bits for the next note message of its channel, the
 * note's own velocity the upper seven. */
Test(smf_facts, joins_controller_88_to_the_next_note_of_its_channel) {
    struct eh_take take = make_take_of(
        480, "00 B95840 00 992640 "            /* 64 + 64/128 */
             "10 992640 "                      /* spent: 64 */
             "10 B9587F 00 892640 00 992650 "  /* a note-off takes it: 80 */
             "10 B95801 00 B95802 00 992650 "  /* the last word holds: 80 + 2/128 */
             "10 B8587F 00 992650 00 982651 "  /* another channel's: 80, then 81 + 127/128 */
             "10 B9587F 00 99267F "            /* the top: 127 + 127/128 */
             "10 B9587F 00 992600 00 992601"); /* velocity 0 is a note-off and takes it: 1 */
    static const int expected[] = {64 * 512 + 256, 64 * 512,       80 * 512,        80 * 512 + 8,
                                   80 * 512,       81 * 512 + 508, 127 * 512 + 508, 512};
    cr_assert_eq(take.count, 8);
    for (size_t i = 0; i < 8; i++) {
        cr_expect_eq(take.hits[i].velocity, expected[i], "hit %zu: %d", i, take.hits[i].velocity);
    }
    eh_take_deinit(&take);
}
