/* Pads as INI files. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/pad_file.h"
#include "pad_keys.h"

static enum eh_status parse(struct eh_pad *pad, const char *text, struct eh_error *error) {
    return eh_pad_parse(pad, text, strlen(text), error);
}

static void expect_same(const struct eh_pad *a, const struct eh_pad *b) {
    cr_expect_str_eq(a->name, b->name);
    cr_expect_arr_eq(a->zones, b->zones, sizeof a->zones);
    cr_expect_arr_eq(a->controls, b->controls, sizeof a->controls);
    cr_expect_eq(a->calibrated_utc_s, b->calibrated_utc_s);
    size_t count = 0;
    const struct pad_key *keys = pad_keys(&count);
    for (size_t i = 0; i < count; i++) {
        cr_expect_eq(pad_key_get(&keys[i], a), pad_key_get(&keys[i], b), "%s", keys[i].name);
    }
    cr_expect_str_eq(a->levels.name, b->levels.name);
    cr_expect_eq(a->levels.count, b->levels.count);
    for (size_t i = 0; i < a->levels.count; i++) {
        cr_expect_eq(a->levels.velocity[i], b->levels.velocity[i], "point %zu", i);
        cr_expect_eq(a->levels.level_db[i], b->levels.level_db[i], "point %zu", i);
    }
}

/* Every value another than the default, the numbers within six decimals. */
static struct eh_pad odd_pad(void) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    snprintf(pad.name, sizeof pad.name, "Mesh 12\", left foot #2");
    memset(pad.zones, EH_ZONE_NONE, sizeof pad.zones);
    for (int note = 0; note < 128; note += 2) {
        pad.zones[note] = EH_ZONE_HEAD;
    }
    pad.zones[1] = EH_ZONE_RIM;
    pad.zones[127] = EH_ZONE_LEFT;
    pad.zones[125] = EH_ZONE_RIGHT;
    pad.retrigger_ns = 12345678;
    pad.retrigger_late_ns = 40000001;
    pad.retrigger_softer_db = 7.123456;
    pad.rim_gate_velocity = 80.5;
    pad.mask_dead_ns = 9999999;
    pad.mask_dead_db = -1.5;
    pad.mask_db = 2.25;
    pad.mask_db_per_ms = 0.000001;
    pad.mask_until_ns = 61 * EH_NS_PER_MS;
    pad.floor_velocity = 7.0;
    pad.top_velocity = 120.125;
    pad.delay_ns = -23456789;
    pad.clock_ns = 4999999;
    pad.calibrated_utc_s = 1795662600;
    snprintf(pad.levels.name, sizeof pad.levels.name, "measured");
    pad.levels.scale_sd = 0.0625;
    pad.levels.count = EH_LEVEL_POINTS;
    for (int i = 0; i < EH_LEVEL_POINTS; i++) {
        pad.levels.velocity[i] = 1.25 + 3.5 * i;
        pad.levels.level_db[i] = -42.140625 + i;
    }
    return pad;
}

Test(pad_file, printed_and_parsed_again_is_the_same) {
    struct eh_pad pads[2];
    eh_pad_init_default(&pads[0]);
    pads[1] = odd_pad();
    pads[1].controls[EH_CONTROL_NEXT] = 3 + 1;
    pads[1].controls[EH_CONTROL_STOP] = 5 + 1;
    for (size_t i = 0; i < 2; i++) {
        struct eh_pad again;
        struct eh_error error;
        struct eh_text text = {0};
        struct eh_text second = {0};
        eh_pad_print(&pads[i], &text);
        cr_assert_eq(parse(&again, eh_text_string(&text), &error), EH_OK, "line %d: %s", error.line,
                     error.text);
        expect_same(&again, &pads[i]);
        eh_pad_print(&again, &second);
        cr_expect_str_eq(eh_text_string(&second), eh_text_string(&text));
        eh_text_deinit(&text);
        eh_text_deinit(&second);
    }
}

Test(pad_file, every_number_of_the_default_pad_lies_within_its_range) {
    struct eh_pad pad;
    eh_pad_init_default(&pad);
    size_t count = 0;
    const struct pad_key *keys = pad_keys(&count);
    for (size_t i = 0; i < count; i++) {
        const double value = pad_key_get(&keys[i], &pad);
        cr_expect(value >= keys[i].least && value <= keys[i].most, "%s", keys[i].name);
    }
}

Test(pad_file, what_is_left_out_is_the_default_but_notes_are_named_all_or_none) {
    struct eh_pad pad, normal;
    eh_pad_init_default(&normal);
    cr_assert_eq(parse(&pad, "", NULL), EH_OK);
    expect_same(&pad, &normal);
    cr_assert_eq(parse(&pad, "[range]\r\ntop_velocity = 110 ; a hot module\r\n", NULL), EH_OK);
    cr_expect_eq(pad.top_velocity, 110.0);
    cr_expect_arr_eq(pad.zones, normal.zones, sizeof pad.zones);
    cr_assert_eq(parse(&pad, "[notes]\nleft = 31, 33\nright=0\nleft = 127\nrim =\n", NULL), EH_OK);
    for (int note = 0; note < 128; note++) {
        const int wanted = note == 31 || note == 33 || note == 127 ? EH_ZONE_LEFT
                           : note == 0                             ? EH_ZONE_RIGHT
                                                                   : EH_ZONE_NONE;
        cr_expect_eq(pad.zones[note], wanted, "note %d", note);
    }
}

Test(pad_file, each_mistake_is_told_with_its_line_and_leaves_the_pad_alone) {
    static const struct {
        const char *text;
        enum eh_status status;
        int line;
        const char *word;
    } rows[] = {
        {"[range]\nflor_velocity = 3\n", EH_NOT_FOUND, 2, "nearest: \"floor_velocity\""},
        {"\n[masks]\ndead_ms = 3\n", EH_NOT_FOUND, 3, "nearest: [mask]"},
        {"[notes]\nhed = 38\n", EH_NOT_FOUND, 2, "nearest: \"head\""},
        {"name = x\n", EH_BAD_SYNTAX, 1, "before the first section such as [pad]"},
        {"[mask]\ndead_ms = 3,5\n", EH_BAD_SYNTAX, 2, "3,5"},
        {"[mask]\ndead_ms = 101\n", EH_OUT_OF_RANGE, 2, "between 0 and 100"},
        {"[mask]\ndead_ms = 3\ndead_ms = 3\n", EH_BAD_SYNTAX, 3, "line 2"},
        {"[mask]\nuntil_ms = 9.9\n", EH_OUT_OF_RANGE, 2, "\"dead_ms\" in [mask]"},
        {"[retrigger]\nwithin_ms = 40\nuntil_ms = 39\n", EH_OUT_OF_RANGE, 3, "\"within_ms\""},
        {"[range]\ntop_velocity = 9\n\nfloor_velocity = 9.5\n", EH_OUT_OF_RANGE, 4, "above"},
        {"[range]\ntop_velocity = 129\n", EH_OUT_OF_RANGE, 2, "between 1 and 128"},
        {"[notes]\nhead = 38\nrim = 40 38\n", EH_OUT_OF_RANGE, 3, "note 38 stands in line 2"},
        {"[notes]\nhead = 38 38\n", EH_OUT_OF_RANGE, 2, "note 38"},
        {"[controls]\nagain = 38\n", EH_OUT_OF_RANGE, 2, "played on it"},
        {"[controls]\nnext = 50\nstop = 51\n[notes]\nhead = 51\n", EH_OUT_OF_RANGE, 3, "\"stop\""},
        {"[controls]\nnext = 50\nstop = 50\n", EH_OUT_OF_RANGE, 3, "means \"next\" already"},
        {"[controls]\nnext = 50\nnext = 51\n", EH_BAD_SYNTAX, 3, "line 2"},
        {"[controls]\nnext = 50 51\n", EH_BAD_SYNTAX, 2, "50 51"},
        {"[controls]\nnext = 50.5\n", EH_BAD_SYNTAX, 2, "one MIDI note"},
        {"[controls]\nnext = 128\n", EH_OUT_OF_RANGE, 2, "between 0 and 127"},
        {"[controls]\nstopp = 50\n", EH_NOT_FOUND, 2, "nearest: \"stop\""},
        {"[notes]\nhead = 128\n", EH_OUT_OF_RANGE, 2, "0 to 127"},
        {"[notes]\nhead = 99999999999999999999\n", EH_OUT_OF_RANGE, 2, "0 to 127"},
        {"[notes]\nhead = -1\n", EH_BAD_SYNTAX, 2, "MIDI notes"},
        {"[notes]\nhead = D2\n", EH_BAD_SYNTAX, 2, "MIDI notes"},
        {"[notes]\nhead = 38.5\n", EH_BAD_SYNTAX, 2, "MIDI notes"},
        {"[levels]\npoint = 64\n", EH_BAD_SYNTAX, 2, "64 -5.95"},
        {"[levels]\npoint = 64 -6 1\n", EH_BAD_SYNTAX, 2, "64 -5.95"},
        {"[levels]\npoint = 0.9 -6\n", EH_OUT_OF_RANGE, 2, "between 1 and 128"},
        {"[levels]\npoint = 64 -6\npoint = 64 -5\n", EH_OUT_OF_RANGE, 3, "rising"},
        {"[levels]\npoint = 64 -6\npoint = 65 -6.1\n", EH_OUT_OF_RANGE, 3, "must not fall"},
        {"[pad]\ncalibrated = yesterday\n", EH_BAD_SYNTAX, 2, "2026-11-26T03:10:00Z"},
        {"[pad]\nnonsense\n", EH_BAD_SYNTAX, 2, "key = value"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct eh_pad pad = {.name = "kept"};
        struct eh_error error;
        cr_expect_eq(parse(&pad, rows[i].text, &error), rows[i].status, "row %zu: %s", i,
                     error.text);
        cr_expect_eq(error.line, rows[i].line, "row %zu: line %d", i, error.line);
        cr_expect_not_null(strstr(error.text, rows[i].word), "row %zu: %s", i, error.text);
        cr_expect_str_eq(pad.name, "kept");
    }
}

Test(pad_file, a_map_of_32_points_passes_and_one_of_33_does_not) {
    for (int points = EH_LEVEL_POINTS; points <= EH_LEVEL_POINTS + 1; points++) {
        struct eh_text text = {0};
        eh_text_add(&text, "[levels]\n");
        for (int i = 0; i < points; i++) {
            eh_text_printf(&text, "point = %d %d\n", i + 1, i);
        }
        struct eh_pad pad;
        cr_expect_eq(parse(&pad, eh_text_string(&text), NULL),
                     points == EH_LEVEL_POINTS ? EH_OK : EH_OUT_OF_RANGE, "%d", points);
        eh_text_deinit(&text);
    }
}

Test(pad_file, settling_rounds_to_what_a_file_holds_and_refuses_what_it_cannot_hold) {
    struct eh_pad pad = odd_pad();
    struct eh_pad settled = pad;
    struct eh_error error;
    settled.levels.level_db[3] += 1e-9;
    snprintf(settled.name, sizeof settled.name, " a ; b\nc ");
    snprintf(pad.name, sizeof pad.name, "a   b c");
    cr_assert_eq(eh_pad_settle(&settled, &error), EH_OK, "%s", error.text);
    expect_same(&settled, &pad);
    settled.levels.velocity[1] = settled.levels.velocity[0];
    cr_expect_eq(eh_pad_settle(&settled, &error), EH_OUT_OF_RANGE);
    cr_expect_eq(settled.levels.velocity[1], settled.levels.velocity[0]);
}
