#include "command.h"

#include <string.h>

static const struct command commands[] = {
    {"play", "practise an exercise with a count-in, the click and a verdict", cli_play},
    {"today", "plan a practice from the history and lead through it", cli_today},
    {"climb", "climb the tempo until the one that is held is known", cli_climb},
    {"audition", "the whole piece once, no click, and the sheet; or which tempo", cli_audition},
    {"pulse", "the click falls silent for some bars: what did your beat do?", cli_pulse},
    {"contrast", "play some bars in two styles in turn: is the contrast there?", cli_contrast},
    {"demo", "let the demo player play out of a MIDI port or into a file", cli_demo},
    {"calibrate", "learn what your pad's velocities mean and what it hides", cli_calibrate},
    {"judge", "judge a Standard MIDI File or a stored run", cli_judge},
    {"compare", "judge one take by two styles, side by side", cli_compare},
    {"history", "list the stored runs, show one, write one as a MIDI file", cli_history},
    {"list", "list the exercises", cli_list},
    {"show", "print an exercise: bars, sticking, what it trains", cli_show},
    {"export", "write an exercise as MusicXML, text or a MIDI file", cli_export},
    {"pad", "learn a pad's notes by hitting it; list, show, delete pads", cli_pad},
    {"care", "the usual cautions for hands and ears, with their sources", cli_care},
    {"ports", "list the MIDI inputs that a pad can be plugged into", cli_ports},
};

enum { COMMAND_COUNT = sizeof commands / sizeof commands[0] };

const struct command *cli_commands(size_t *out_count) {
    *out_count = COMMAND_COUNT;
    return commands;
}

const struct command *cli_command_find(const char *name) {
    for (size_t i = 0; i < COMMAND_COUNT; i++) {
        if (strcmp(commands[i].name, name) == 0) {
            return &commands[i];
        }
    }
    return NULL;
}
