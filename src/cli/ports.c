/* evenhand ports */
#include <stdio.h>

#include "command.h"
#include "evenhand/midi_in.h"
#include "options.h"
#include "say.h"

static const struct command_usage usage = {
    .name = "ports",
    .arguments = "",
    .about = "Lists the MIDI inputs that a pad can be plugged into, with the number and the\n"
             "name that \"evenhand play EXERCISE --port TEXT\" takes.",
    .more = "With no pad connected, --port virtual opens an input of our own, evenhand:pad,\n"
            "that other programs can be connected to.",
};

static void print_ports(const struct eh_port_list *list) {
    for (size_t i = 0; i < list->count; i++) {
        const struct eh_port *port = &list->ports[i];
        printf("%3d  %-5s %s%s\n", port->number, eh_port_system_text(port->system), port->name,
               port->through ? "  (a loop-back, never taken unasked)" : "");
    }
}

/* An empty list is an answer, not a failure; what to do about it goes to standard error, so that
 * standard output holds ports and nothing else. */
static void explain_none(const struct eh_port_list *list) {
    if (!list->alsa && !list->jack) {
        (void)cli_complain("no MIDI input: this machine has no ALSA sequencer and no JACK server "
                           "runs; without a pad, \"evenhand play EXERCISE --demo\" works");
    } else {
        (void)cli_complain("no MIDI input: plug in the pad and switch it on, or use --port virtual "
                           "and connect a program to evenhand:pad");
    }
}

int cli_ports(int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(&usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct eh_port_list list = {0};
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_midi_ports_list(&list, &error) != EH_OK) {
        return cli_complain_error("MIDI inputs", &error);
    }
    print_ports(&list);
    if (list.count == 0) {
        explain_none(&list);
    }
    eh_midi_ports_free(&list);
    return CLI_GOOD;
}
