#include "evenhand/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char *eh_status_text(enum eh_status status) {
    switch (status) {
    case EH_OK:
        return "ok";
    case EH_NO_MEMORY:
        return "out of memory";
    case EH_BAD_SYNTAX:
        return "cannot be read as written";
    case EH_BAD_FORMAT:
        return "not in the expected format";
    case EH_OUT_OF_RANGE:
        return "out of range";
    case EH_TOO_LARGE:
        return "too large";
    case EH_NOT_FOUND:
        return "not found";
    case EH_NO_ACCESS:
        return "permission denied";
    case EH_IO_FAILED:
        return "reading or writing failed";
    case EH_BUSY:
        return "in use by somebody else";
    case EH_NEWER_VERSION:
        return "written by a newer version";
    case EH_DAMAGED:
        return "damaged";
    case EH_UNAVAILABLE:
        return "not available here";
    case EH_GONE:
        return "vanished while in use";
    case EH_EMPTY:
        return "empty";
    case EH_NO_FIT:
        return "does not fit";
    }
    return "unknown status";
}

void eh_error_clear(struct eh_error *error) {
    if (error != NULL) {
        *error = (struct eh_error){.status = EH_OK, .offset = -1};
    }
}

static void fill(struct eh_error *error, enum eh_status status, const char *format, va_list args)
    EH_PRINTF(3, 0);

static void fill(struct eh_error *error, enum eh_status status, const char *format, va_list args) {
    error->status = status;
    (void)vsnprintf(error->text, sizeof error->text, format, args);
}

enum eh_status eh_fail(struct eh_error *error, enum eh_status status, const char *format, ...) {
    if (error != NULL) {
        va_list args;
        va_start(args, format);
        fill(error, status, format, args);
        va_end(args);
    }
    return status;
}

enum eh_status eh_fail_at(struct eh_error *error, enum eh_status status, int line, int column,
                          const char *format, ...) {
    if (error != NULL) {
        va_list args;
        va_start(args, format);
        fill(error, status, format, args);
        va_end(args);
        error->line = line;
        error->column = column;
    }
    return status;
}

enum eh_status eh_fail_offset(struct eh_error *error, enum eh_status status, long long offset,
                              const char *format, ...) {
    if (error != NULL) {
        va_list args;
        va_start(args, format);
        fill(error, status, format, args);
        va_end(args);
        error->offset = offset;
    }
    return status;
}
