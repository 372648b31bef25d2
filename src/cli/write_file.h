/* Writing a whole file, new or in the place of an old one. */
#ifndef EVENHAND_CLI_WRITE_FILE_H
#define EVENHAND_CLI_WRITE_FILE_H

#include <stddef.h>

#include "evenhand/status.h"

/* Writes a file that must not exist yet; what was begun and could not be finished is removed.
 * Errors: EH_NO_ACCESS (it exists, or no permission), EH_NOT_FOUND (no such folder),
 * EH_IO_FAILED. */
EH_MUST_USE enum eh_status write_new_file(const char *path, const void *bytes, size_t length,
                                          struct eh_error *error);

/* Writes a file in the place of one that may be there: beside it first, then moved over it, so that
 * whoever reads it sees the old one or the new one, whole. Errors: as above, but for the file that
 * exists. */
EH_MUST_USE enum eh_status write_over_file(const char *path, const void *bytes, size_t length,
                                           struct eh_error *error);

#endif
