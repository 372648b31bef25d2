/* Pads, kept by port and player. */
#include <criterion/criterion.h>
#include <string.h>

#include "support.h"

/* Names as RtMidi 5.0.0 makes them over ALSA (RtMidi.cpp, MidiInAlsa::getPortName: client name,
 * ":", port name, " ", client ":" port) and over JACK (the port's own name); the form of a2jmidid's
 * ports is from memory. */
Test(history_pads, a_port_is_known_by_its_name_without_the_numbers_that_change) {
    static const struct {
        const char *port;
        const char *key;
    } rows[] = {
        {"UM-ONE:UM-ONE MIDI 1 20:0", "UM-ONE:UM-ONE MIDI 1"},
        {"UM-ONE:UM-ONE MIDI 1 128:12", "UM-ONE:UM-ONE MIDI 1"},
        {"UM-ONE:UM-ONE MIDI 1", "UM-ONE:UM-ONE MIDI 1"},
        {"UM-ONE:UM-ONE MIDI 2 20:1", "UM-ONE:UM-ONE MIDI 2"},
        {"Kit 20:0", "Kit"},
        {"Kit:20:0", "Kit:20:0"},
        {"20:0", "20:0"},
        {" 20:0", " 20:0"},
        {"Kit 20:", "Kit 20:"},
        {"Kit :0", "Kit :0"},
        {"Kit 20:0 ", "Kit 20:0 "},
        {"virtual", "evenhand:pad"}, /* as it is called once it is open */
        {"Kit:virtual 20:0", "Kit:virtual"},
        {"system:midi_capture_1", "system:midi_capture_1"},
        {"a2j:UM-ONE [20] (capture): [0] UM-ONE MIDI 1", "a2j:UM-ONE (capture): [0] UM-ONE MIDI 1"},
        {"a2j:UM-ONE [131] (playback): UM-ONE MIDI 1", "a2j:UM-ONE (playback): UM-ONE MIDI 1"},
        {"a2j:UM-ONE [] (capture): x", "a2j:UM-ONE [] (capture): x"},
        {"] (capture)", "] (capture)"},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char key[EH_PORT_KEY];
        char again[EH_PORT_KEY];
        eh_port_key(rows[i].port, key);
        cr_expect_str_eq(key, rows[i].key);
        eh_port_key(key, again);
        cr_expect_str_eq(again, key);
    }
    char longest[400];
    char key[EH_PORT_KEY];
    memset(longest, 'x', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    eh_port_key(longest, key);
    cr_expect_eq(strlen(key), EH_PORT_KEY - 1);
}

static void set(struct eh_store *store, const char *port, const char *player, const char *text) {
    cr_assert_eq(eh_store_pad_set(store, port, player, 1000, text), EH_OK, "%s",
                 eh_store_error(store)->text);
}

static void expect_text(struct eh_store *store, const char *port, const char *player,
                        const char *text) {
    struct eh_store_pad pad;
    struct eh_error error = {0};
    cr_assert_eq(eh_store_pad_get(store, port, player, &pad, &error), EH_OK, "%s", error.text);
    cr_expect_str_eq(pad.text, text);
    eh_store_pad_deinit(&pad);
    cr_expect_null(pad.text);
}

Test(history_pads, each_player_has_a_pad_of_the_port_and_the_last_one_counts) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    set(store, "Kit:A 20:0", "ada", "old");
    set(store, "Kit:A 24:0", "ada", "of ada");
    set(store, "Kit:A 20:0", NULL, "of nobody");
    set(store, "Kit:B 20:1", "ada", "of ada's other");
    eh_store_close(store);
    store = open_or_fail(folder.db, EH_STORE_READ);
    expect_text(store, "Kit:A 28:0", "ada", "of ada");
    expect_text(store, "Kit:A", "", "of nobody");
    expect_text(store, "Kit:B 33:0", "ada", "of ada's other");
    struct eh_store_pad_list list;
    cr_assert_eq(eh_store_pads(store, &list, NULL), EH_OK);
    cr_assert_eq(list.count, 3);
    static const char *const texts[] = {"of nobody", "of ada", "of ada's other"};
    for (size_t i = 0; i < 3; i++) {
        cr_expect_str_eq(list.pads[i].text, texts[i]);
        cr_expect_eq(list.pads[i].made_utc_s, 1000);
    }
    eh_store_pad_list_deinit(&list);
    cr_expect_null(list.pads);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_pads, another_players_pad_is_named_and_never_given) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_store_pad pad;
    struct eh_error error = {0};
    cr_expect_eq(eh_store_pad_get(store, "Kit 20:0", "bo", &pad, &error), EH_NOT_FOUND);
    cr_expect_str_eq(error.text, "no pad is kept for the port \"Kit\"");
    cr_expect_null(pad.text);
    set(store, "Kit 20:0", "ada", "text");
    set(store, "Kit 20:0", "", "text");
    cr_expect_eq(eh_store_pad_get(store, "Kit 20:0", "bo", &pad, &error), EH_NOT_FOUND);
    cr_expect_null(pad.text);
    cr_expect_str_eq(error.text, "no pad is kept for the port \"Kit\" played by \"bo\", only for a "
                                 "player without a name, \"ada\"");
    cr_expect_eq(eh_store_pad_get(store, "Kit 20:0", "Ada", &pad, &error), EH_NOT_FOUND);
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_pads, one_is_deleted_and_the_others_stay) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    struct eh_store_pad pad;
    struct eh_error error = {0};
    set(store, "Kit", "ada", "text");
    set(store, "Kit", "bo", "text");
    cr_expect_eq(eh_store_pad_delete(store, "Kit 20:0", "ada", &error), EH_OK);
    cr_expect_eq(eh_store_pad_delete(store, "Kit 20:0", "ada", &error), EH_NOT_FOUND);
    cr_expect_not_null(strstr(error.text, "only for \"bo\""));
    cr_expect_eq(eh_store_pad_get(store, "Kit", "ada", &pad, NULL), EH_NOT_FOUND);
    expect_text(store, "Kit", "bo", "text");
    eh_store_close(store);
    folder_remove(&folder);
}

Test(history_pads, a_reader_keeps_nothing_and_a_time_before_1970_is_refused) {
    const struct folder folder = folder_make();
    struct eh_store *store = open_or_fail(folder.db, EH_STORE_WRITE);
    cr_expect_eq(eh_store_pad_set(store, "Kit", "", -1, "text"), EH_OUT_OF_RANGE);
    cr_expect_eq(eh_store_pad_set(store, "Kit", "", 0, "text"), EH_OK);
    eh_store_close(store);
    store = open_or_fail(folder.db, EH_STORE_READ);
    cr_expect_eq(eh_store_pad_set(store, "Kit", "", 1, "other"), EH_NO_ACCESS);
    cr_expect_eq(eh_store_pad_delete(store, "Kit", "", NULL), EH_NO_ACCESS);
    expect_text(store, "Kit", "", "text");
    eh_store_close(store);
    folder_remove(&folder);
}
