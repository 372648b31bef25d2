/* What the program says outside its results: complaints on standard error, the version. */
#ifndef EVENHAND_CLI_SAY_H
#define EVENHAND_CLI_SAY_H

#include <stddef.h>

#include "command.h"
#include "evenhand/status.h"

/* "evenhand: ..." and a newline on standard error; returns CLI_FAILED. */
int cli_complain(const char *format, ...) EH_PRINTF(1, 2);

/* Complains about a file or device: "evenhand: WHERE:LINE:COLUMN: TEXT" with the places that are
 * set in ERROR ("at byte N" for an offset); returns CLI_FAILED. */
int cli_complain_error(const char *where, const struct eh_error *error);

/* The same with the line of the text file under it and a caret under the column. */
int cli_complain_text(const char *where, const struct eh_error *error, const char *text,
                      size_t length);

void cli_print_version(void);

/* Flushes and closes standard output; complains and returns CLI_FAILED if anything that was
 * written did not arrive, else STATUS. */
int cli_close_output(int status);

#endif
