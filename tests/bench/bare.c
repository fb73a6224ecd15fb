/* What the bare programs have in common.  See bare.h. */
#include "bare.h"

#include <stdio.h>
#include <stdlib.h>

void bare_fail(sqlite3 *db)
{
    (void)fprintf(stderr, "bare: %s\n",
                  db != NULL ? sqlite3_errmsg(db) : "out of memory, or not a record");
    exit(1);
}

void bare_exec(sqlite3 *db, const char *sql)
{
    if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
        bare_fail(db);
}

sqlite3 *bare_open(const char *path)
{
    sqlite3 *db = NULL;
    (void)sqlite3_config(SQLITE_CONFIG_SINGLETHREAD);
    (void)sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) !=
        SQLITE_OK)
        bare_fail(db);
    bare_exec(db, "PRAGMA foreign_keys=ON; PRAGMA synchronous=FULL;"
                  "PRAGMA temp_store=MEMORY; PRAGMA cache_size=-8192");
    return db;
}

sqlite3_stmt *bare_prepare(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *s = NULL;
    if (sqlite3_prepare_v3(db, sql, -1, SQLITE_PREPARE_PERSISTENT, &s, NULL) !=
        SQLITE_OK)
        bare_fail(db);
    return s;
}
