/* Reading a whole file safely. */
#ifndef EVENHAND_CLI_READ_FILE_H
#define EVENHAND_CLI_READ_FILE_H

#include <stddef.h>

#include "evenhand/status.h"
#include "evenhand/text.h"

/* Reads the ordinary file at PATH into OUT (empty before). Folders, devices, pipes and sockets are
 * refused without waiting for them. Errors, each with words that say what to do: EH_NOT_FOUND,
 * EH_NO_ACCESS, EH_IO_FAILED (no ordinary file; the system refused), EH_TOO_LARGE (more than LIMIT
 * bytes), EH_EMPTY, EH_NO_MEMORY. */
EH_MUST_USE enum eh_status read_file(struct eh_text *out, const char *path, size_t limit,
                                     struct eh_error *error);

#endif
