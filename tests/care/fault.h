/*
 * A disk that fails: under SQLite a VFS of our own, under our own files the calls of the C
 * library, wrapped by the linker.  The n-th call of a kind fails, alone or with all after it.
 */
#ifndef PB_TESTS_FAULT_H
#define PB_TESTS_FAULT_H

#include <stdbool.h>

/* ORDER FAULT: fault_names */
enum fault_kind {
    FAULT_OPEN, /* SQLite's: */
    FAULT_READ,
    FAULT_WRITE,       /* half of it is written, then the disk is full */
    FAULT_WRITE_ERROR, /* nothing is */
    FAULT_TRUNCATE,
    FAULT_SYNC,
    FAULT_DELETE,
    FAULT_SHARE,     /* memory shared with other processes */
    FAULT_FILE_OPEN, /* our own: */
    FAULT_FILE_READ,
    FAULT_FILE_WRITE, /* half of it; standard output, too */
    FAULT_FILE_SYNC,
    FAULT_FILE_CLOSE,
    FAULT_FILE_NAME, /* rename, link and a new folder */
    FAULT_N
};
extern const char *const fault_names[FAULT_N];

/* Make the VFS the default; once, before any book is opened. */
void fault_install(void);

/* From now on call `at` of the kind fails, from 1; onward: and all after it. */
void fault_set(enum fault_kind kind, long at, bool onward);
/* None fails any more.  Returns how many calls of the kind there were; each is counted. */
long fault_clear(void);
extern long fault_calls[FAULT_N];

#endif
