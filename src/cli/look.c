#include "look.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "columns.h"

bool cli_is_terminal(void) {
    return isatty(STDOUT_FILENO) == 1;
}

struct eh_report_look cli_look(void) {
    const char *none = getenv("NO_COLOR");
    const char *terminal = getenv("TERM");
    const bool wanted = none == NULL || none[0] == '\0';
    const bool able = terminal != NULL && strcmp(terminal, "dumb") != 0;
    const int columns = cli_columns(STDOUT_FILENO, EH_REPORT_WIDTH);
    return (struct eh_report_look){.width = columns < EH_REPORT_WIDTH ? columns : EH_REPORT_WIDTH,
                                   .colour = wanted && able && cli_is_terminal()};
}
