#include <malloc.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "evenhand/text.h"
#include "nearest.h"
#include "options.h"
#include "say.h"

static void print_help(void) {
    puts("Usage: evenhand COMMAND [ARGUMENT ...] [OPTION ...]\n"
         "\n"
         "Listens to an electronic kit or practice pad and says what a snare-drum teacher\n"
         "would hear: rolls, accents, hands, timing.\n"
         "\n"
         "Commands:");
    size_t count = 0;
    const struct command *commands = cli_commands(&count);
    for (size_t i = 0; i < count; i++) {
        printf("  %-9s %s\n", commands[i].name, commands[i].summary);
    }
    puts("\n"
         "\"evenhand COMMAND --help\" explains a command. Everywhere: --help, --version, and\n"
         "--db FILE for another history than the one in your data folder.\n"
         "Exit status: 0 good, 1 failed, 2 wrong usage.");
}

static int unknown_command(const char *name) {
    struct nearest nearest;
    nearest_init(&nearest, name);
    size_t count = 0;
    const struct command *commands = cli_commands(&count);
    for (size_t i = 0; i < count; i++) {
        nearest_offer(&nearest, commands[i].name);
    }
    static const char *const options[] = {"--help", "--version", "--db"};
    for (size_t i = 0; name[0] == '-' && i < sizeof options / sizeof options[0]; i++) {
        nearest_offer(&nearest, options[i]);
    }
    struct eh_text text = {0};
    nearest_add_to(&nearest, &text);
    (void)cli_complain("%s: no such %s%s (see \"evenhand --help\")", name,
                       name[0] == '-' ? "option" : "command", eh_text_string(&text));
    eh_text_deinit(&text);
    return CLI_USAGE;
}

/* "evenhand --db FILE history" means "evenhand history --db FILE": the option is moved behind the
 * command. Returns how many arguments it takes here, 0 when it is not this option. */
static int leading_db(int argc, char **argv) {
    if (argc > 1 && strncmp(argv[1], "--db=", 5) == 0) {
        return 1;
    }
    return argc > 3 && strcmp(argv[1], "--db") == 0 ? 2 : 0;
}

/* argv[1] is the command after this, as far as there is one. */
static void bring_command_forward(int argc, char **argv) {
    const int leading = leading_db(argc, argv);
    if (leading == 0 || argc <= leading + 1) {
        return;
    }
    char *command = argv[leading + 1];
    for (int i = leading; i >= 1; i--) {
        argv[i + 1] = argv[i];
    }
    argv[1] = command;
}

static bool is_help(const char *word) {
    return strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0 || strcmp(word, "help") == 0;
}

static int help_on(int argc, char **argv) {
    const struct command *command = argc > 2 ? cli_command_find(argv[2]) : NULL;
    if (argc > 2 && command == NULL) {
        return unknown_command(argv[2]);
    }
    if (command == NULL) {
        print_help();
        return CLI_GOOD;
    }
    char help[] = "--help";
    char *arguments[] = {argv[2], help, NULL};
    return command->run(2, arguments);
}

static int run(int argc, char **argv) {
    bring_command_forward(argc, argv);
    if (argc < 2) {
        (void)cli_complain("say what to do: for example \"evenhand list\" or \"evenhand play "
                           "five-stroke-rolls\" (see \"evenhand --help\")");
        return CLI_USAGE;
    }
    if (is_help(argv[1])) {
        return help_on(argc, argv);
    }
    if (strcmp(argv[1], "--version") == 0) {
        cli_print_version();
        return CLI_GOOD;
    }
    const struct command *command = cli_command_find(argv[1]);
    return command == NULL ? unknown_command(argv[1]) : command->run(argc - 1, argv + 1);
}

/* Judging takes and gives back the same few tables several times. Memory that goes back to the
 * system in between comes again page by page, which takes as long as judging. */
static void keep_memory(void) {
    (void)mallopt(M_MMAP_THRESHOLD, 64 << 20);
    (void)mallopt(M_TRIM_THRESHOLD, 64 << 20);
}

int main(int argc, char **argv) {
    keep_memory();
    return cli_close_output(run(argc, argv));
}
