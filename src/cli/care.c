/* evenhand care */
#include <stdio.h>

#include "command.h"
#include "evenhand/report_care.h"
#include "look.h"
#include "options.h"
#include "say.h"

static const struct command_usage usage = {
    .name = "care",
    .arguments = "",
    .about = "Prints the usual cautions for hands and ears, with their sources. No medical\n"
             "advice.",
    .more = "The commands that you practise with say the shortest of it once a day, and when\n"
            "25 minutes have gone by without a pause of five.",
};

int cli_care(int argc, char **argv) {
    struct command_words words;
    const enum options_answer answer = options_parse(&usage, argc, argv, &words);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    const struct eh_report_look look = cli_look();
    struct eh_text text = {0};
    eh_report_care_page(&look, &text);
    const bool good = eh_text_status(&text) == EH_OK;
    if (good) {
        const char *page = eh_text_string(&text);
        (void)fputs(page + (page[0] == '\n'), stdout); /* a heading has a blank line before it */
    }
    eh_text_deinit(&text);
    return good ? CLI_GOOD : cli_complain("no memory for a page");
}
