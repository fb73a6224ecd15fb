/* Books that other hands have changed, for what asks podbook about them afterwards. */
#ifndef PB_TESTS_FUZZ_MANGLE_H
#define PB_TESTS_FUZZ_MANGLE_H

#include "fuzz.h"

/* Run SQL on book.db of the folder (fuzz_command.h) without podbook's guards: its triggers and
 * its checks sleep, and its tables may be written anew.  What SQLite refuses is left. */
void fuzz_mangle(const char *sql);

/* Commands that between them read every kind of record, and some that write. */
enum { FUZZ_ASKS = 27 };
extern const char *const fuzz_asks[FUZZ_ASKS];

#endif
