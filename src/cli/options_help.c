#include <stdio.h>

#include "options.h"

enum { HELP_COLUMN = 20 };

static void print_row(const struct option_row *row) {
    char left[64];
    const char *before = row->kind == OPTION_OPTIONAL_TEXT ? "[=" : " ";
    const char *after = row->kind == OPTION_OPTIONAL_TEXT ? "]" : "";
    if (row->argument == NULL) {
        (void)snprintf(left, sizeof left, "--%s", row->name);
    } else {
        (void)snprintf(left, sizeof left, "--%s%s%s%s", row->name, before, row->argument, after);
    }
    printf("  %-*s  %s", HELP_COLUMN, left, row->help);
    if ((row->kind == OPTION_NUMBER || row->kind == OPTION_INTEGER) && row->high < 1e9) {
        printf(" (%.15g to %.15g)", row->low, row->high);
    }
    putchar('\n');
}

void options_print_help(const struct command_usage *usage) {
    static const struct option_row everywhere[] = {
        {.name = "db", .argument = "FILE", .help = "the history's file", .kind = OPTION_TEXT},
        {.name = "help", .help = "this page", .kind = OPTION_FLAG},
        {.name = "version", .help = "the program's version", .kind = OPTION_FLAG},
    };
    printf("Usage: evenhand %s%s%s [OPTION ...]\n\n%s\n\nOptions:\n", usage->name,
           usage->arguments[0] == '\0' ? "" : " ", usage->arguments, usage->about);
    for (size_t i = 0; i < usage->option_count; i++) {
        print_row(&usage->options[i]);
    }
    for (size_t i = 0; i < sizeof everywhere / sizeof everywhere[0]; i++) {
        print_row(&everywhere[i]);
    }
    if (usage->more != NULL) {
        printf("\n%s\n", usage->more);
    }
}
