/* How wide a terminal is. */
#ifndef EVENHAND_CLI_COLUMNS_H
#define EVENHAND_CLI_COLUMNS_H

/* The columns of the terminal that FILE (a descriptor) is; OTHERWISE where it is none or does not
 * say. */
int cli_columns(int file, int otherwise);

#endif
