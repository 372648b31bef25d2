#include "options.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "evenhand/text.h"
#include "nearest.h"
#include "say.h"

int options_exit(enum options_answer answer) {
    return answer == OPTIONS_WRONG ? CLI_USAGE : CLI_GOOD;
}

int options_complain(const struct command_usage *usage, const char *format, ...) {
    struct eh_text text = {0};
    va_list args;
    va_start(args, format);
    char words[EH_ERROR_TEXT];
    (void)vsnprintf(words, sizeof words, format, args);
    va_end(args);
    eh_text_printf(&text, "%s: %s (see \"evenhand %s --help\")", usage->name, words, usage->name);
    cli_complain("%s", eh_text_string(&text));
    eh_text_deinit(&text);
    return CLI_USAGE;
}

/* One option as it was typed: its row, its value if "=" gave one. */
struct typed {
    const struct option_row *row;
    const char *value;
};

struct parser {
    const struct command_usage *usage;
    struct command_words *words;
    int argc, next;
    char **argv;
};

static enum options_answer wrong(const struct parser *parser, const char *what,
                                 const char *message) {
    (void)options_complain(parser->usage, "%s: %s", what, message);
    return OPTIONS_WRONG;
}

static enum options_answer unknown_option(const struct parser *parser, const char *name) {
    static const char *const everywhere[] = {"help", "version", "db"};
    struct nearest nearest;
    nearest_init(&nearest, name);
    for (size_t i = 0; i < parser->usage->option_count; i++) {
        nearest_offer(&nearest, parser->usage->options[i].name);
    }
    for (size_t i = 0; i < sizeof everywhere / sizeof everywhere[0]; i++) {
        nearest_offer(&nearest, everywhere[i]);
    }
    if (nearest.count > 0) {
        (void)options_complain(parser->usage, "--%s: no such option; did you mean --%s?", name,
                               nearest.names[0]);
    } else {
        (void)options_complain(parser->usage, "--%s: no such option", name);
    }
    return OPTIONS_WRONG;
}

static enum options_answer set_number(const struct parser *parser, const struct typed *typed) {
    const struct option_row *row = typed->row;
    double value = 0;
    int64_t whole = 0;
    const bool is_whole = row->kind == OPTION_INTEGER;
    const bool read = is_whole ? options_read_integer(typed->value, &whole)
                               : options_read_number(typed->value, &value);
    if (!read) {
        (void)options_complain(parser->usage, "--%s: \"%s\" is not a %snumber", row->name,
                               typed->value, is_whole ? "whole " : "");
        return OPTIONS_WRONG;
    }
    value = is_whole ? (double)whole : value;
    if (value < row->low || value > row->high) {
        (void)options_complain(parser->usage, "--%s: %s is outside %.15g to %.15g", row->name,
                               typed->value, row->low, row->high);
        return OPTIONS_WRONG;
    }
    if (is_whole) {
        *row->target.integer = whole;
    } else {
        *row->target.number = value;
    }
    return OPTIONS_RUN;
}

/* The value of an option that must have one: after "=", else the next argument. An argument that
 * looks like an option is none, so that a forgotten value is noticed. */
static bool fetch_value(struct parser *parser, struct typed *typed) {
    if (typed->value == NULL && parser->next < parser->argc) {
        const char *next = parser->argv[parser->next];
        if (strncmp(next, "--", 2) != 0) {
            typed->value = next;
            parser->next++;
        }
    }
    return typed->value != NULL && typed->value[0] != '\0';
}

static enum options_answer set_option(struct parser *parser, struct typed *typed) {
    const struct option_row *row = typed->row;
    char name[NEAREST_NAME];
    (void)snprintf(name, sizeof name, "--%s", row->name);
    if (row->kind == OPTION_FLAG) {
        if (typed->value != NULL) {
            return wrong(parser, name, "takes no value");
        }
        *row->target.flag = true;
        return OPTIONS_RUN;
    }
    if (row->kind == OPTION_OPTIONAL_TEXT) {
        *row->target.text = typed->value == NULL ? "" : typed->value;
        return OPTIONS_RUN;
    }
    if (!fetch_value(parser, typed)) {
        char message[NEAREST_NAME];
        (void)snprintf(message, sizeof message, "needs a value (%s)", row->argument);
        return wrong(parser, name, message);
    }
    if (row->kind == OPTION_TEXT) {
        *row->target.text = typed->value;
        return OPTIONS_RUN;
    }
    return set_number(parser, typed);
}

static const struct option_row *find_row(const struct option_row *rows, size_t count,
                                         const char *name) {
    for (size_t i = 0; i < count; i++) {
        if (strcmp(rows[i].name, name) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}

static enum options_answer parse_option(struct parser *parser, const char *argument) {
    bool help = false;
    bool version = false;
    const struct option_row everywhere[] = {
        {.name = "help", .kind = OPTION_FLAG, .target.flag = &help},
        {.name = "version", .kind = OPTION_FLAG, .target.flag = &version},
        {.name = "db", .argument = "FILE", .kind = OPTION_TEXT, .target.text = &parser->words->db},
    };
    char name[NEAREST_NAME];
    const char *equals = strchr(argument, '=');
    const size_t length = equals == NULL ? strlen(argument) : (size_t)(equals - argument);
    (void)snprintf(name, sizeof name, "%.*s", (int)(length < sizeof name ? length : sizeof name),
                   argument);
    struct typed typed = {.value = equals == NULL ? NULL : equals + 1};
    typed.row = find_row(parser->usage->options, parser->usage->option_count, name);
    if (typed.row == NULL) {
        typed.row = find_row(everywhere, sizeof everywhere / sizeof everywhere[0], name);
    }
    if (typed.row == NULL) {
        return unknown_option(parser, name);
    }
    const enum options_answer answer = set_option(parser, &typed);
    if (answer == OPTIONS_RUN && help) {
        options_print_help(parser->usage);
        return OPTIONS_DONE;
    }
    if (answer == OPTIONS_RUN && version) {
        cli_print_version();
        return OPTIONS_DONE;
    }
    return answer;
}

static enum options_answer parse_word(struct parser *parser, const char *argument) {
    struct command_words *words = parser->words;
    if (words->count >= parser->usage->most || words->count >= OPTIONS_WORDS) {
        return wrong(parser, argument, "one argument too many");
    }
    words->words[words->count++] = argument;
    return OPTIONS_RUN;
}

static enum options_answer parse_argument(struct parser *parser, const char *argument,
                                          bool only_words) {
    if (only_words || argument[0] != '-' || argument[1] == '\0') {
        return parse_word(parser, argument);
    }
    if (strcmp(argument, "-h") == 0) {
        return parse_option(parser, "help");
    }
    if (argument[1] != '-') {
        return wrong(parser, argument, "no such option; options begin with two dashes");
    }
    return parse_option(parser, argument + 2);
}

enum options_answer options_parse(const struct command_usage *usage, int argc, char **argv,
                                  struct command_words *out_words) {
    *out_words = (struct command_words){0};
    struct parser parser = {usage, out_words, argc, 1, argv};
    bool only_words = false;
    while (parser.next < argc) {
        const char *argument = argv[parser.next++];
        if (!only_words && strcmp(argument, "--") == 0) {
            only_words = true;
            continue;
        }
        const enum options_answer answer = parse_argument(&parser, argument, only_words);
        if (answer != OPTIONS_RUN) {
            return answer;
        }
    }
    if (out_words->count < usage->least) {
        (void)options_complain(usage, "something is missing: evenhand %s %s", usage->name,
                               usage->arguments);
        return OPTIONS_WRONG;
    }
    return OPTIONS_RUN;
}
