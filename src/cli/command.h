/* The commands of the program: one row each, one file each. */
#ifndef EVENHAND_CLI_COMMAND_H
#define EVENHAND_CLI_COMMAND_H

#include <stddef.h>

/* What the program leaves with. */
enum { CLI_GOOD = 0, CLI_FAILED = 1, CLI_USAGE = 2 };

/* RUN gets the arguments from the command's own name on (argv[0] is "play") and returns one of the
 * numbers above; it has complained on standard error when that is not CLI_GOOD. Standard output is
 * flushed and checked by main. */
struct command {
    const char *name;
    const char *summary;
    int (*run)(int argc, char **argv);
};

int cli_play(int argc, char **argv);
int cli_audition(int argc, char **argv);
int cli_climb(int argc, char **argv);
int cli_calibrate(int argc, char **argv);
int cli_today(int argc, char **argv);
int cli_judge(int argc, char **argv);
int cli_contrast(int argc, char **argv);
int cli_compare(int argc, char **argv);
int cli_demo(int argc, char **argv);
int cli_pulse(int argc, char **argv);
int cli_history(int argc, char **argv);
int cli_list(int argc, char **argv);
int cli_show(int argc, char **argv);
int cli_export(int argc, char **argv);
int cli_pad(int argc, char **argv);
int cli_care(int argc, char **argv);
int cli_ports(int argc, char **argv);

/* All of them, in the order in which help lists them. */
const struct command *cli_commands(size_t *out_count);

/* NULL when there is none of that name. */
const struct command *cli_command_find(const char *name);

#endif
