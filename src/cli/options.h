/* A command's options as a table: parsed, checked and explained from the same rows.
 *
 * "--name VALUE" and "--name=VALUE" are the same; an optional value is given with "=" only. "--"
 * ends the options. Every command also understands --help, --version and --db FILE. Names are not
 * shortened: a script that works today works after the next option has been added. */
#ifndef EVENHAND_CLI_OPTIONS_H
#define EVENHAND_CLI_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum option_kind {
    OPTION_FLAG,          /* no value: target.flag becomes true */
    OPTION_TEXT,          /* target.text points to the value */
    OPTION_OPTIONAL_TEXT, /* target.text points to the value, or to "" without one */
    OPTION_NUMBER,        /* a decimal number from low to high: target.number */
    OPTION_INTEGER        /* a whole number from low to high: target.integer */
};

struct option_row {
    const char *name;     /* without the dashes */
    const char *argument; /* "BPM"; NULL for a flag */
    const char *help;     /* one line */
    enum option_kind kind;
    union {
        bool *flag;
        const char **text; /* set it to NULL before: NULL afterwards = not given */
        double *number;    /* keeps its value when not given */
        int64_t *integer;
    } target;
    double low, high;
};

/* Rows of the usual kinds. */
#define OPTION_ROW_TEXT(NAME, ARGUMENT, HELP, TARGET)                                              \
    {                                                                                              \
        .name = (NAME), .argument = (ARGUMENT), .help = (HELP), .kind = OPTION_TEXT,               \
        .target.text = &(TARGET)                                                                   \
    }
#define OPTION_ROW_NUMBER(NAME, ARGUMENT, HELP, TARGET, LOW, HIGH)                                 \
    {                                                                                              \
        .name = (NAME), .argument = (ARGUMENT), .help = (HELP), .kind = OPTION_NUMBER,             \
        .target.number = &(TARGET), .low = (LOW), .high = (HIGH)                                   \
    }
#define OPTION_ROW_COUNT(NAME, ARGUMENT, HELP, TARGET, LOW, HIGH)                                  \
    {                                                                                              \
        .name = (NAME), .argument = (ARGUMENT), .help = (HELP), .kind = OPTION_INTEGER,            \
        .target.integer = &(TARGET), .low = (LOW), .high = (HIGH)                                  \
    }
#define OPTION_ROW_FLAG(NAME, HELP, TARGET)                                                        \
    { .name = (NAME), .help = (HELP), .kind = OPTION_FLAG, .target.flag = &(TARGET) }

struct command_usage {
    const char *name;      /* "play" */
    const char *arguments; /* "EXERCISE"; "" when there are none */
    const char *about;     /* what it does; lines of at most 80 columns, may be several */
    const char *more;      /* printed below the options; NULL for none */
    const struct option_row *options;
    size_t option_count;
    int least, most; /* how many arguments that are no options */
};

enum { OPTIONS_WORDS = 8 };

struct command_words {
    const char *words[OPTIONS_WORDS]; /* the arguments that are no options, in order */
    int count;
    const char *db; /* --db, or NULL */
};

enum options_answer {
    OPTIONS_RUN,  /* go on */
    OPTIONS_DONE, /* help or version was printed: leave with CLI_GOOD */
    OPTIONS_WRONG /* a complaint was printed: leave with CLI_USAGE */
};

/* Parses argv[1 ..]. Texts point into ARGV. */
enum options_answer options_parse(const struct command_usage *usage, int argc, char **argv,
                                  struct command_words *out_words);

/* The exit status for an answer other than OPTIONS_RUN. */
int options_exit(enum options_answer answer);

/* Complains in the name of a command about its usage ("evenhand play: --bars: ..., see ...") and
 * returns CLI_USAGE; for what a table cannot check. */
int options_complain(const struct command_usage *usage, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Prints the help of a command to standard output. */
void options_print_help(const struct command_usage *usage);

/* Reads an unsigned or signed decimal number ("12", "-3", "97.5") that fills the whole text, the
 * same in every locale. False: it is none. */
bool options_read_number(const char *text, double *out_number);

/* The same for a whole number of at most 18 digits. */
bool options_read_integer(const char *text, int64_t *out_integer);

#endif
