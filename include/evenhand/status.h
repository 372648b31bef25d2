/* What can go wrong, in one list, and how a failure is described.
 *
 * Every function of the library that can fail returns an enum eh_status. Functions that read
 * something a person wrote also fill a struct eh_error with the place and the words. The library
 * prints nothing and never exits: only the command line tool does. */
#ifndef EVENHAND_STATUS_H
#define EVENHAND_STATUS_H

#if defined(__GNUC__)
#define EH_MUST_USE __attribute__((warn_unused_result))
#define EH_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))
#else
#define EH_MUST_USE
#define EH_PRINTF(fmt, args)
#endif

enum eh_status {
    EH_OK = 0,
    EH_NO_MEMORY,     /* an allocation failed */
    EH_BAD_SYNTAX,    /* a text file breaks its grammar; line and column are set */
    EH_BAD_FORMAT,    /* a binary file breaks its format; offset is set */
    EH_OUT_OF_RANGE,  /* a number lies outside what is allowed */
    EH_TOO_LARGE,     /* a documented limit was exceeded */
    EH_NOT_FOUND,     /* the named thing does not exist */
    EH_NO_ACCESS,     /* permission denied */
    EH_IO_FAILED,     /* the system refused a read or a write */
    EH_BUSY,          /* somebody else holds it; trying again may help */
    EH_NEWER_VERSION, /* written by a newer evenhand */
    EH_DAMAGED,       /* a database or file is not what it says it is */
    EH_UNAVAILABLE,   /* no such device or server here */
    EH_GONE,          /* a device or server vanished while in use */
    EH_EMPTY,         /* there is nothing to work on (no hits, no strokes) */
    EH_NO_FIT         /* the take does not contain the exercise */
};

enum { EH_ERROR_TEXT = 480 };

/* A failure as a person should read it: what, where, what to do. Places that do not apply are 0
 * (line, column count from 1) or -1 (offset, counted from 0 in bytes). */
struct eh_error {
    enum eh_status status;
    int line;
    int column;
    long long offset;
    char text[EH_ERROR_TEXT]; /* one sentence, no newline, no file name */
};

/* A constant, lower-case phrase for a status. Any thread. */
const char *eh_status_text(enum eh_status status);

/* Clears ERROR (NULL is accepted). */
void eh_error_clear(struct eh_error *error);

/* Fills ERROR (NULL is accepted) and returns STATUS, so that callers can write
 * "return eh_fail(error, EH_OUT_OF_RANGE, ...)". line, column and offset are left as they are. */
enum eh_status eh_fail(struct eh_error *error, enum eh_status status, const char *format, ...)
    EH_PRINTF(3, 4);

/* The same with a place in a text (LINE and COLUMN from 1). */
enum eh_status eh_fail_at(struct eh_error *error, enum eh_status status, int line, int column,
                          const char *format, ...) EH_PRINTF(5, 6);

/* The same with a place in a binary file (OFFSET in bytes from 0). */
enum eh_status eh_fail_offset(struct eh_error *error, enum eh_status status, long long offset,
                              const char *format, ...) EH_PRINTF(4, 5);

#endif
