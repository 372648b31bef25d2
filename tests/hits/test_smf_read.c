/* What the reader makes of everything that may stand in a file. */
#include <criterion/criterion.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "maker.h"

static struct maker made;

/* Notes and times (in ticks of a millisecond) of a 25 x 40 frames file with these events. */
static void expect_hits(const char *events, const char *what, size_t count, const int notes[],
                        const int64_t ms[]) {
    struct eh_take take = make_take_of(0xE728, events);
    cr_assert_eq(take.count, count, "%s: %zu hits", what, take.count);
    for (size_t i = 0; i < count; i++) {
        cr_expect_eq(take.hits[i].note, notes[i], "%s, hit %zu", what, i);
        cr_expect_eq(take.hits[i].at_ns, ms[i] * EH_NS_PER_MS, "%s, hit %zu", what, i);
    }
    eh_take_deinit(&take);
}

/* MIDI 1.0: a status byte may be left out while it is unchanged; real-time bytes may stand anywhere
 * and leave it alone. */
Test(smf_read, finds_the_notes_among_everything_else) {
    static const struct {
        const char *events;
        const char *what;
    } rows[] = {
        {"05 992640 05 992841", "plain"},
        {"05 992640 05 2841", "running status"},
        {"05 992640 00 2600 05 2841 00 2800", "running status, velocity 0 as note-off"},
        {"05 992640 01 892600 04 992841", "note-off between"},
        {"05 9926F840 05 28FE41", "real-time bytes inside messages"},
        {"05 992640 02 FE 03 2841", "a real-time byte as an event; running status stays"},
        {"05 992640 00 F0 03 43127F 05 992841", "system exclusive"},
        {"05 992640 00 F0 02 4312 00 F7 02 00F7 05 992841", "system exclusive in packets"},
        {"05 992640 00 F7 03 99243F 05 992841", "an escaped note is not read"},
        {"05 992640 00 F1 11 00 F2 0102 00 F3 03 00 F6 05 992841", "system common"},
        {"05 992640 00 A92640 00 C905 00 D910 00 E90040 00 B90740 05 992841", "other messages"},
        {"05 992640 00 FF01 03 616263 00 FF7F 02 9926 05 992841", "texts, sequencer's own"},
        {"00 FF54 05 6000000000 05 992640 05 992841", "an SMPTE offset is not added"},
        {"00 FF51 04 07A12000 05 992640 05 992841", "a tempo with a byte more"},
        {"85 05 992640 05 992841 00 B97B00", "an overlong form of a small delta"},
    };
    static const int notes[] = {38, 40};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const int64_t first = i + 1 == sizeof rows / sizeof *rows ? 645 : 5;
        const int64_t ms[] = {first, first + 5};
        expect_hits(rows[i].events, rows[i].what, 2, notes, ms);
    }
}

Test(smf_read, takes_every_note_on_of_every_channel_and_note) {
    struct eh_take take = make_take_of(480, "00 900001 00 9F7F7F 00 992640 00 922640");
    cr_assert_eq(take.count, 4);
    cr_expect_eq(take.hits[0].note, 0);
    cr_expect_eq(take.hits[0].channel, 0);
    cr_expect_eq(take.hits[1].note, 127);
    cr_expect_eq(take.hits[1].channel, 15);
    cr_expect_eq(take.hits[1].velocity, 127 * 512);
    cr_expect_eq(take.hits[3].channel, 2);
    eh_take_deinit(&take);
}

Test(smf_read, merges_tracks_by_tick_and_equal_ticks_by_track) {
    make_header(&made, 1, 3, 480);
    make_track(&made, "0A 990101 0A 990201 00 990301");
    make_track(&made, "0A 990401 09 990501 02 990601");
    make_track(&made, "00 990701 14 990801");
    static const int expected[] = {7, 1, 4, 5, 2, 3, 8, 6};
    struct eh_take take = make_take(&made);
    cr_assert_eq(take.count, 8);
    for (size_t i = 0; i < 8; i++) {
        cr_expect_eq(take.hits[i].note, expected[i], "place %zu", i);
    }
    eh_take_deinit(&take);
}

Test(smf_read, running_status_and_controller_88_end_with_their_track) {
    make_header(&made, 1, 2, 480);
    make_track(&made, "00 B9587F");
    make_track(&made, "00 992640");
    struct eh_take take = make_take(&made);
    cr_expect_eq(take.hits[0].velocity, 64 * 512);
    eh_take_deinit(&take);

    make_header(&made, 1, 2, 480);
    make_track(&made, "00 992640");
    make_track(&made, "00 2640");
    struct eh_error error;
    cr_expect_eq(make_status(&made, &error), EH_BAD_FORMAT);
}

/* 120, then 60 from the second quarter, then 90 000 us less: tempos of any track count, and times
 * are summed exactly, here thirds of a nanosecond included. */
Test(smf_read, follows_tempo_changes_in_any_track) {
    make_header(&made, 1, 2, 96);
    make_track(&made, "00 FF5103 07A120 8140 FF5103 0F4240");
    make_track(&made, "60 992640 60 992640 60 992640 00 FF5103 0DE2B0 01 992640");
    static const int64_t expected[] = {500000000, 1000000000, 2000000000, 2009479167};
    struct eh_take take = make_take(&made);
    cr_assert_eq(take.count, 4);
    for (size_t i = 0; i < 4; i++) {
        cr_expect_eq(take.hits[i].at_ns, expected[i], "hit %zu: %" PRId64, i, take.hits[i].at_ns);
    }
    cr_assert_eq(take.click.count, 3);
    cr_expect_eq(take.click.segments[1].at, 2 * EH_TICKS_PER_QUARTER);
    cr_expect_eq(take.click.segments[1].at_ns, 1000000000);
    cr_expect_eq(take.click.segments[2].at, 3 * EH_TICKS_PER_QUARTER);
    cr_expect_eq(take.click.segments[2].at_ns, 2000000000);
    eh_take_deinit(&take);
}

Test(smf_read, the_last_tempo_at_a_tick_holds) {
    struct eh_take take = make_take_of(480, "00 FF5103 07A120 00 FF5103 0F4240 8360 992640");
    cr_expect_eq(take.click.count, 1);
    cr_expect_eq(take.hits[0].at_ns, 1000000000);
    eh_take_deinit(&take);
}

/* 7 ticks to the quarter at 500 001 us: a tick is 71 428 714 2/7 ns. A thousand changes between two
 * tempos must not gather a single nanosecond of rounding: an even number of ticks n takes
 * n/2 * (500 001 + 499 999) us / 7. */
Test(smf_read, gathers_no_rounding_over_a_thousand_tempo_changes) {
    make_header(&made, 0, 1, 7);
    const size_t start = made.length;
    make_hex(&made, "4D54726B 00000000");
    for (int i = 0; i < 500; i++) {
        make_hex(&made, i == 0 ? "00 FF5103 07A121" : "01 FF5103 07A121");
        make_hex(&made, "01 FF5103 07A11F");
    }
    make_hex(&made, "01 992640 00 FF2F00");
    const size_t length = made.length - start - 8;
    made.data[start + 6] = (uint8_t)(length >> 8);
    made.data[start + 7] = (uint8_t)length;
    struct eh_take take = make_take(&made);
    cr_expect_eq(take.hits[0].at_ns, 71428571429, "%" PRId64, take.hits[0].at_ns);
    cr_assert_eq(take.click.count, 1000);
    /* change n stands at tick n, and the two tempos differ by 2 us in 7 ticks: exact to half a ns
     */
    for (int64_t n = 0; n < 1000; n++) {
        const int64_t micro_ticks = n / 2 * 1000000 + n % 2 * 500001;
        cr_assert_eq(take.click.segments[n].at_ns, (micro_ticks * 1000 + 3) / 7);
        cr_assert_eq(take.click.segments[n].at, n * 2880);
    }
    eh_take_deinit(&take);
}

/* Where 20160 is no multiple of the division, a tempo change stands on the nearest tick of ours and
 * at its exact time. */
Test(smf_read, keeps_the_time_of_a_tempo_change_that_falls_between_our_ticks) {
    struct eh_take take = make_take_of(9600, "01 FF5103 0F4240 CB00 992640");
    cr_assert_eq(take.click.count, 2);
    cr_expect_eq(take.click.segments[1].at, 2, "2.1");
    cr_expect_eq(take.click.segments[1].at_ns, 52083);
    cr_expect_eq(take.hits[0].at_ns, 1000052083);
    eh_take_deinit(&take);
}

/* Divisions above 20160: ticks 1 and 2 of 32767 to the quarter both round to our tick 1. */
Test(smf_read, two_tempos_on_one_tick_of_ours_do_not_break_the_click) {
    struct eh_take take =
        make_take_of(32767, "01 FF5103 0F4240 01 FF5103 07A120 01 FF5103 0F4240 81FF7C 992640");
    cr_assert_eq(take.click.count, 3);
    cr_expect_eq(take.click.segments[1].at, 1);
    cr_expect_eq(take.click.segments[2].at, 2);
    cr_expect_eq(take.click.segments[2].ns_per_quarter, 1000000000);
    eh_take_deinit(&take);
}

/* 25 frames of 40: ticks are milliseconds. Beats: 60 to the minute for two seconds, then 120. */
Test(smf_read, lays_beats_on_the_clock_where_ticks_are_parts_of_frames) {
    struct eh_take take = make_take_of(0xE728, "00 FF5103 0F4240 8F50 FF5103 07A120 8768 992640");
    cr_assert_eq(take.click.count, 2);
    cr_expect_eq(take.click.segments[1].at, 2 * EH_TICKS_PER_QUARTER);
    cr_expect_eq(take.click.segments[1].at_ns, 2000000000);
    cr_expect_eq(take.hits[0].at_ns, 3000000000);
    cr_expect_eq(eh_tempo_map_tick(&take.click, take.hits[0].at_ns), 4 * EH_TICKS_PER_QUARTER);
    eh_take_deinit(&take);

    take = make_take_of(0xE728, "8768 992640");
    cr_expect_eq(take.click.segments[0].ns_per_quarter, 500000000, "120 without a tempo");
    eh_take_deinit(&take);
}

Test(smf_read, makes_time_signatures_the_bars_of_the_click) {
    /* 6/8 for one bar, then 7/8 */
    struct eh_take take =
        make_take_of(480, "00 FF58 04 06032408 8B20 FF58 04 07030C08 8D10 992640");
    cr_assert_eq(take.metre_count, 2);
    cr_expect_eq(take.metres[0].beats, 6);
    cr_expect_eq(take.metres[0].unit, 8);
    cr_expect_eq(take.metres[1].at, 3 * EH_TICKS_PER_QUARTER);
    int bar = 0;
    eh_ticks in_bar = 0;
    eh_take_locate(&take, eh_tempo_map_tick(&take.click, take.hits[0].at_ns), &bar, &in_bar);
    cr_expect_eq(bar, 3);
    cr_expect_eq(in_bar, 0);
    eh_take_deinit(&take);
}

Test(smf_read, counts_in_four_until_the_first_time_signature) {
    struct eh_take take = make_take_of(480, "8F00 FF58 04 03021808");
    cr_assert_eq(take.metre_count, 2);
    cr_expect_eq(take.metres[0].at, 0);
    cr_expect_eq(take.metres[0].beats, 4);
    cr_expect_eq(take.metres[1].at, 80640);
    cr_expect_eq(take.metres[1].beats, 3);
    eh_take_deinit(&take);
}

/* In 5/16 with 2 ticks to the quarter a bar has two and a half ticks; its end is written on tick 2
 * or 3, and the bars must count on without a sliver between. */
Test(smf_read, a_metre_half_a_tick_off_its_bar_line_is_meant_to_be_on_it) {
    static const char *const written[] = {"02", "03"};
    for (size_t i = 0; i < 2; i++) {
        char events[64];
        (void)snprintf(events, sizeof events, "00 FF58 04 05041808 %s FF58 04 04021808",
                       written[i]);
        struct eh_take take = make_take_of(2, events);
        cr_assert_eq(take.metre_count, 2);
        cr_expect_eq(take.metres[1].at, 25200, "written on tick %s", written[i]);
        eh_take_deinit(&take);
    }
}

Test(smf_read, a_time_signature_that_says_nothing_new_is_no_change) {
    struct eh_take take =
        make_take_of(480, "00 FF58 04 04021808 8F00 FF58 04 04021808 8F00 FF58 04 04021808");
    cr_expect_eq(take.metre_count, 1);
    eh_take_deinit(&take);
}

/* 480 ticks at 60 to the minute are 2.083 ms apart. The slowest tempo counts while there are hits.
 */
Test(smf_read, the_resolution_is_a_tick_at_the_slowest_tempo_among_the_hits) {
    static const struct {
        const char *events;
        int64_t resolution_ns;
        const char *what;
    } rows[] = {
        {"8360 992640", 1041667, "120"},
        {"00 992640 00 FF5103 0F4240 10 992640", 2083334, "slower from the first hit on"},
        {"00 FF5103 0F4240 10 FF5103 07A120 00 992640", 1041667, "slower before the first hit"},
        {"00 992640 10 FF5103 0F4240", 1041667, "slower after the last hit"},
        {"00 FF5103 07A120 10 FF5103 0F4240", 2083334, "no hits: the slowest"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_take take = make_take_of(480, rows[i].events);
        cr_expect_eq(take.resolution_ns, rows[i].resolution_ns, "%s", rows[i].what);
        eh_take_deinit(&take);
    }
}

static void make_one_track_as(const char *before, const char *track, const char *after) {
    made.length = 0;
    make_hex(&made, before);
    make_hex(&made, track);
    make_hex(&made, after);
}

Test(smf_read, passes_over_what_it_does_not_know_around_the_tracks) {
    static const struct {
        const char *before;
        const char *track;
        const char *after;
        const char *what;
    } rows[] = {
        {"4D546864 00000008 0000 0001 01E0 ABCD", "4D54726B 00000008 00992640 00FF2F00", "",
         "a longer header"},
        {"4D546864 00000006 0000 0001 01E0 58465F20 00000003 010203",
         "4D54726B 00000008 00992640 00FF2F00", "", "an unknown chunk before"},
        {"4D546864 00000006 0000 0001 01E0", "4D54726B 00000008 00992640 00FF2F00",
         "58465F20 00000001 FF", "an unknown chunk after"},
        {"4D546864 00000006 0000 0001 01E0", "4D54726B 00000008 00992640 00FF2F00", "000000",
         "a few bytes after the last chunk"},
        {"4D546864 00000006 0000 0001 01E0", "4D54726B 00000008 00992640 00FF2F00",
         "1A1A1A1A 1A1A1A1A 1A", "more bytes after the last chunk, no chunk"},
        {"4D546864 00000006 0000 0001 01E0", "4D54726B 00000004 00992640", "", "no End of Track"},
        {"4D546864 00000006 0000 0001 01E0", "4D54726B 0000000B 00992640 00FF2F00 000000", "",
         "zeros after End of Track"},
        {"52494646 00000028 524D4944 64617461 1E000000 4D546864 00000006 0000 0001 01E0",
         "4D54726B 00000008 00992640 00FF2F00", "", "inside a RIFF RMID file"},
        {"52494646 00000028 524D4944 4C495354 03000000 01020300 64617461 1E000000 4D546864 "
         "00000006 0000 0001 01E0",
         "4D54726B 00000008 00992640 00FF2F00", "4D54726B 00", "RMID with other chunks around"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        make_one_track_as(rows[i].before, rows[i].track, rows[i].after);
        struct eh_take take;
        struct eh_error error;
        cr_expect_eq(eh_smf_read(&take, made.data, made.length, "made", &error), EH_OK, "%s: %s",
                     rows[i].what, error.text);
        cr_expect_eq(take.count, 1, "%s", rows[i].what);
        eh_take_deinit(&take);
    }
}

Test(smf_read, a_file_without_notes_is_an_empty_take) {
    struct eh_take take = make_take_of(480, "");
    cr_expect_eq(take.count, 0);
    cr_expect_eq(take.hits, NULL);
    cr_expect_eq(take.metre_count, 1);
    cr_expect_eq(take.dropped, 0);
    cr_expect_str_eq(take.source, "made");
    eh_take_deinit(&take);
}

/* 24 hours are the limit: at 1 ms a tick, and at 1000 ticks to the quarter at 120 to the minute. */
Test(smf_read, reads_up_to_24_hours_and_not_a_tick_more) {
    static const struct {
        int division;
        const char *events;
        enum eh_status expected;
    } rows[] = {
        {0xE728, "A999B800 992640", EH_OK},
        {0xE728, "A999B801 992640", EH_TOO_LARGE},
        {1000, "D2B2F000 992640", EH_OK},
        {1000, "D2B2F001 992640", EH_TOO_LARGE},
        {1000, "D2B2F001 FF5103 07A120", EH_TOO_LARGE},
        {1000, "D2B2F001 FF58 04 03021808", EH_TOO_LARGE},
        {1000, "D2B2F001 FF01 00", EH_OK},
        {1, "00 FF5103 FFFFFF FFFFFF7F FF0100 FFFFFF7F FF5103 FFFFFF FFFFFF7F 992640",
         EH_TOO_LARGE},
        {0xE2FF, "FFFFFF7F FF0100 FFFFFF7F FF0100 FFFFFF7F 992640", EH_TOO_LARGE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        make_header(&made, 0, 1, rows[i].division);
        make_track(&made, rows[i].events);
        struct eh_error error;
        cr_expect_eq(make_status(&made, &error), rows[i].expected, "row %zu: %s", i, error.text);
        if (rows[i].expected != EH_OK) {
            cr_expect_gt(error.offset, 21, "row %zu", i);
        }
    }
}

Test(smf_read, refuses_ticks_beyond_counting) {
    make_header(&made, 0, 1, 480);
    const size_t start = made.length;
    make_hex(&made, "4D54726B 00000000");
    for (int i = 0; i < 1025; i++) {
        make_hex(&made, "FFFFFF7F FF0100");
    }
    const size_t length = made.length - start - 8;
    made.data[start + 6] = (uint8_t)(length >> 8);
    made.data[start + 7] = (uint8_t)length;
    struct eh_error error;
    cr_expect_eq(make_status(&made, &error), EH_TOO_LARGE);
    cr_expect_eq(error.offset, (long long)start + 8 + 1024 * 7, "%lld", error.offset);
}

Test(smf_read, refuses_a_file_beyond_the_longest_without_looking_at_it) {
    struct eh_take take;
    struct eh_error error;
    const uint8_t byte = 0;
    cr_expect_eq(eh_smf_read(&take, &byte, EH_SMF_LONGEST + 1, "huge", &error), EH_TOO_LARGE);
    cr_expect_eq(take.click.segments, NULL);
}

Test(smf_read, nobody_need_listen_to_the_refusal) {
    struct eh_take take;
    cr_expect_eq(eh_smf_read(&take, (const uint8_t *)"x", 1, "x", NULL), EH_BAD_FORMAT);
}

Test(smf_read, cuts_a_source_that_is_too_long) {
    static char source[1000];
    for (size_t i = 0; i + 1 < sizeof source; i++) {
        source[i] = 's';
    }
    make_header(&made, 0, 1, 480);
    make_track(&made, "");
    struct eh_take take;
    cr_assert_eq(eh_smf_read(&take, made.data, made.length, source, NULL), EH_OK);
    cr_expect_eq(strlen(take.source), sizeof take.source - 1);
    eh_take_deinit(&take);
}
