/* How text is to look on standard output. */
#ifndef EVENHAND_CLI_LOOK_H
#define EVENHAND_CLI_LOOK_H

#include <stdbool.h>

#include "evenhand/report.h"

/* 80 columns, or a narrower terminal's; colour only on a terminal that has it, and never when
 * NO_COLOR is set and not empty (the informal standard of no-color.org). */
struct eh_report_look cli_look(void);

/* Standard output is a terminal. */
bool cli_is_terminal(void);

#endif
