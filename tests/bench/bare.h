/* What the bare programs have in common. */
#ifndef BENCH_BARE_H
#define BENCH_BARE_H

#include <sqlite3.h>

/* Say what SQLite says, if it says anything, and end. */
_Noreturn void bare_fail(sqlite3 *db);

/* Open a book as podbook does: for one thread, with 8 MiB of pages, synced in full. */
sqlite3 *bare_open(const char *path);
void bare_exec(sqlite3 *db, const char *sql);
sqlite3_stmt *bare_prepare(sqlite3 *db, const char *sql);

#endif
