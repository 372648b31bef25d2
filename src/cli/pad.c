/* evenhand pad */
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "command.h"
#include "evenhand/pad_file.h"
#include "evenhand/report.h"
#include "evenhand/utc.h"
#include "history_file.h"
#include "pad_find.h"
#include "pad_kept.h"
#include "pad_make.h"
#include "play_source.h"
#include "say.h"

struct pad_options {
    struct command_words words;
    const char *port, *player;
    bool controls;
};

/* ---- list ---- */

static void print_kept(const struct eh_store_pad *kept) {
    struct eh_pad pad;
    struct eh_text line = {0};
    int64_t year = 0;
    int month = 0;
    int day = 0;
    eh_civil_date(kept->made_utc_s / 86400, &year, &month, &day);
    eh_text_printf(&line, "%s\n    %s%s, kept %04d-%02d-%02d\n    ", kept->port,
                   kept->player[0] ? "played by " : "a player without a name", kept->player,
                   (int)year, month, day);
    if (eh_pad_parse(&pad, kept->text, strlen(kept->text), NULL) == EH_OK) {
        eh_report_pad(&pad, (int64_t)time(NULL), &line);
    } else {
        eh_text_add(&line, "its text cannot be read");
    }
    puts(eh_text_string(&line));
    eh_text_deinit(&line);
}

static int load_kept(struct eh_store_pad_list *out_list, const char *db) {
    struct eh_store *store = NULL;
    struct eh_error error;
    eh_error_clear(&error);
    *out_list = (struct eh_store_pad_list){.count = 0};
    int result = history_open_if_any(&store, db);
    if (result == CLI_GOOD && store != NULL && eh_store_pads(store, out_list, &error) != EH_OK) {
        result = cli_complain_error("history", &error);
    }
    eh_store_close(store);
    return result;
}

static int list_kept(const struct pad_options *options) {
    struct eh_store_pad_list list;
    const int result = load_kept(&list, options->words.db);
    for (size_t i = 0; i < list.count; i++) {
        print_kept(&list.pads[i]);
    }
    if (result == CLI_GOOD && list.count == 0) {
        (void)cli_complain("no pad is kept yet; \"evenhand pad make\" makes one");
    }
    eh_store_pad_list_deinit(&list);
    return result;
}

/* ---- show, keep, delete ---- */

static int show(const struct pad_options *options) {
    const struct pad_wish wish = {.file = options->words.words[1],
                                  .port = options->port,
                                  .player = options->player,
                                  .db = options->words.db,
                                  .must = true};
    struct eh_pad pad;
    struct eh_text text = {0};
    const int result = pad_find(&pad, &wish);
    if (result == CLI_GOOD) {
        eh_pad_print(&pad, &text);
        (void)fputs(eh_text_string(&text), stdout);
    }
    eh_text_deinit(&text);
    return result;
}

/* The port is opened, so that the pad is kept under its full name; that of our own is known. */
static int keep(const struct pad_options *options) {
    const bool own = options->port != NULL && strcmp(options->port, "virtual") == 0;
    const struct pad_wish wish = {.file = options->words.words[1]};
    struct play_source source = {.midi = NULL};
    struct eh_pad pad;
    int result = pad_find(&pad, &wish);
    if (result == CLI_GOOD && !own) {
        result = play_source_open_pad(&source, options->port, false);
    }
    if (result == CLI_GOOD) {
        result = pad_keep(&pad, own ? options->port : play_source_name(&source), options->player,
                          options->words.db);
    }
    play_source_close(&source);
    return result;
}

static int delete_one(struct eh_store *store, const struct eh_store_pad *kept) {
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_store_pad_delete(store, kept->port, kept->player, &error) != EH_OK) {
        return cli_complain_error("history", &error);
    }
    printf("Deleted: %s%s%s\n", kept->port, kept->player[0] ? ", played by " : "", kept->player);
    return CLI_GOOD;
}

static int delete (const struct pad_options *options) {
    struct eh_store_pad_list list;
    const struct eh_store_pad *kept = NULL;
    struct eh_store *store = NULL;
    int result = load_kept(&list, options->words.db);
    if (result == CLI_GOOD) {
        result = pad_kept_choose(&list, options->port, options->player, &kept);
    }
    if (result == CLI_GOOD) {
        result = history_open(&store, options->words.db, EH_STORE_WRITE);
    }
    if (result == CLI_GOOD) {
        result = delete_one(store, kept);
    }
    eh_store_close(store);
    eh_store_pad_list_deinit(&list);
    return result;
}

static int make(const struct pad_options *options) {
    const struct pad_make_wish wish = {.file = options->words.words[1],
                                       .port = options->port,
                                       .player = options->player,
                                       .db = options->words.db,
                                       .controls = options->controls};
    return pad_make(&wish);
}

/* ---- The command ---- */

static const struct {
    const char *word;
    int least, most; /* words after it */
    int (*run)(const struct pad_options *options);
} subcommands[] = {
    {"make", 0, 1, make}, {"list", 0, 0, list_kept}, {"show", 0, 1, show},
    {"keep", 1, 1, keep}, {"delete", 0, 0, delete},
};

static int run_subcommand(const struct command_usage *usage, const struct pad_options *options) {
    const struct command_words *words = &options->words;
    for (size_t i = 0; i < sizeof subcommands / sizeof subcommands[0]; i++) {
        if (strcmp(words->words[0], subcommands[i].word) != 0) {
            continue;
        }
        const int after = words->count - 1;
        if (after < subcommands[i].least || after > subcommands[i].most) {
            return options_complain(usage, "say: evenhand pad %s%s", subcommands[i].word,
                                    subcommands[i].most == 0    ? ""
                                    : subcommands[i].least == 1 ? " FILE"
                                                                : " [FILE]");
        }
        return subcommands[i].run(options);
    }
    return options_complain(usage, "%s: no such word; say make, list, show, keep or delete",
                            words->words[0]);
}

int cli_pad(int argc, char **argv) {
    struct pad_options options = {.port = NULL};
    const struct option_row rows[] = {
        OPTION_ROW_TEXT("port", "TEXT", "the pad's port: number or part of a name, or virtual",
                        options.port),
        OPTION_ROW_PLAYER(options.player),
        OPTION_ROW_FLAG("controls", "make: asks for what is to mean again, next, stop",
                        options.controls),
    };
    const struct command_usage usage = {
        .name = "pad",
        .arguments = "make|list|show|keep|delete [FILE]",
        .about = "What is known of a pad: its notes, what it hides, its levels.\n"
                 "make    asks for each part of the pad in turn and learns its notes; hit what\n"
                 "        you are asked for. Kept for the port, or written into FILE.\n"
                 "list    the pads that are kept, with port and player\n"
                 "show    a kept pad, or FILE, as a complete pad file\n"
                 "keep    keeps FILE for a port\n"
                 "delete  takes a kept pad away",
        .more = "\"evenhand play\" takes --pad FILE, else the pad kept for its port and\n"
                "--player, else the default. docs/pads.md explains the file.\n"
                "\"evenhand calibrate\" measures levels, echoes and delay.",
        .options = rows,
        .option_count = sizeof rows / sizeof rows[0],
        .least = 1,
        .most = 2,
    };
    const enum options_answer answer = options_parse(&usage, argc, argv, &options.words);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    if (!pad_player_fits(&usage, options.player)) {
        return CLI_USAGE;
    }
    return run_subcommand(&usage, &options);
}
