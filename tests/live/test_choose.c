#include <criterion/criterion.h>
#include <string.h>

#include "choose.h"

static const struct eh_choice ports[] = {
    {1, "Midi Through:Midi Through Port-0 14:0", false},
    {2, "TD Kit:TD Kit MIDI 1 20:0", true},
    {3, "Pad One:Pad One MIDI 1 24:0", true},
    {4, "player:out", true},
    {5, "player:out-two", true},
    {6, "evenhand:demo", false},
    {7, "twin:out 32:0", true},
    {8, "twin:out 33:0", true},
};
enum { PORTS = sizeof ports / sizeof *ports };

static const struct eh_choice_words words = {"port", "ports", "--port", "no port is there"};

Test(choose, finds_by_number_by_name_and_by_part_of_a_name) {
    static const struct row {
        const char *wanted;
        int number; /* 0: an error */
        enum eh_status status;
        const char *says; /* must stand in the message */
    } rows[] = {
        {"2", 2, EH_OK, ""},
        {"8", 8, EH_OK, ""},
        {"0", 0, EH_NOT_FOUND, "'0'"},
        {"9", 0, EH_NOT_FOUND, "4 'player:out'"},
        {"99999999999999999999", 0, EH_NOT_FOUND, "999"},
        {"td kit", 2, EH_OK, ""},
        {"PAD", 3, EH_OK, ""},
        {"through", 1, EH_OK, ""},    /* asked for: taken */
        {"player:out", 4, EH_OK, ""}, /* an exact name wins over a part of another */
        {"PLAYER:OUT", 4, EH_OK, ""},
        {"player:out-", 5, EH_OK, ""},
        {"Pad One:Pad One MIDI 1", 3, EH_OK, ""}, /* without the numbers that change */
        {"twin:out 33:0", 8, EH_OK, ""},
        {"twin:out", 0, EH_NOT_FOUND, "7 'twin:out 32:0', 8 'twin:out 33:0'"},
        {"player", 0, EH_NOT_FOUND, "4 'player:out', 5 'player:out-two'"},
        {"demo", 6, EH_OK, ""},
        {"plyer", 0, EH_NOT_FOUND, "did you mean 'player:out'"},
        {"Pda", 0, EH_NOT_FOUND, "did you mean 'Pad One"},
        {"xylophone", 0, EH_NOT_FOUND, "there are 1 'Midi Through"},
        {NULL, 0, EH_NOT_FOUND, "several ports are here: 2 'TD Kit"},
        {"", 0, EH_NOT_FOUND, "choose one with --port"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct eh_error error = {0};
        size_t index = 77;
        const enum eh_status status =
            eh_choose(&index, ports, PORTS, rows[i].wanted, &words, &error);
        cr_assert_eq(status, rows[i].status, "row %zu: %s", i, error.text);
        if (status == EH_OK) {
            cr_assert_eq(ports[index].number, rows[i].number, "row %zu", i);
        } else {
            cr_assert(strstr(error.text, rows[i].says) != NULL, "row %zu: %s", i, error.text);
        }
    }
}

Test(choose, takes_the_only_one_unasked_and_never_a_loop_back) {
    struct eh_error error = {0};
    size_t index = 77;
    cr_assert_eq(eh_choose(&index, ports, 2, NULL, &words, &error), EH_OK);
    cr_assert_eq(index, 1);
    cr_assert_eq(eh_choose(&index, ports, 1, "", &words, &error), EH_UNAVAILABLE);
    cr_assert(strstr(error.text, "no port is there") != NULL);
    cr_assert(strstr(error.text, "Midi Through") != NULL, "%s", error.text);
    cr_assert_eq(eh_choose(&index, ports, 0, "pad", &words, &error), EH_UNAVAILABLE);
}

Test(choose, lists_what_fits_into_the_message_and_counts_the_rest) {
    struct eh_choice many[60];
    struct eh_error error = {0};
    size_t index;
    for (int i = 0; i < 60; i++) {
        many[i] = (struct eh_choice){i + 1, "a port with a rather long name", true};
    }
    cr_assert_eq(eh_choose(&index, many, 60, NULL, &words, &error), EH_NOT_FOUND);
    cr_assert(strstr(error.text, " more; choose one with --port") != NULL, "%s", error.text);
    cr_assert(strlen(error.text) < EH_ERROR_TEXT - 1);
}
