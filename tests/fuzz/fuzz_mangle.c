/* Books that other hands have changed.  See fuzz_mangle.h. */
#include "fuzz_mangle.h"

#include <sqlite3.h>
#include <string.h>

enum { MOST_STEPS = 2000 }; /* of a statement, in thousands of SQLite's instructions */

const char *const fuzz_asks[FUZZ_ASKS] = {
    "list plants",
    "list crosses --all --json",
    "due --by 2026-12-31",
    "share",
    "history",
    "kin --json",
    "pedigree DM-1b",
    "calendar",
    "undo",
    "look X25-001 holding",
    "list seed --all",
    "pairs",
    "show DM-1",
    "chances X25-001",
    "list flasks --all",
    "list cuttings --all --json",
    "list pollen --all",
    "show X25-001",
    "show F26-001 --json",
    "share --as mcpd --with-notes",
    "share --as crossings",
    "plan DM-1 AR-1 --harvest 2026-06-01",
    "away",
    "setting",
    "amend X25-001 flowers=4",
    "harvest X25-001",
    "cross DM-1 AR-1",
};

static int enough(void *left)
{
    return --*(int *)left <= 0;
}

void fuzz_mangle(const char *sql)
{
    sqlite3 *db = NULL;
    int left = MOST_STEPS;
    /* no other file may come of it */
    if (strstr(sql, "TTACH") != NULL || strstr(sql, "ttach") != NULL ||
        strcasestr(sql, "vacuum") != NULL || strcasestr(sql, "journal") != NULL)
        return;
    if (sqlite3_open_v2("book.db", &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK) {
        (void)sqlite3_limit(db, SQLITE_LIMIT_LENGTH, 1 << 20);
        (void)sqlite3_limit(db, SQLITE_LIMIT_ATTACHED, 0);
        sqlite3_progress_handler(db, 1000, enough, &left);
        (void)sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
        (void)sqlite3_exec(db,
                           "PRAGMA writable_schema=ON;"
                           "PRAGMA ignore_check_constraints=ON",
                           NULL, NULL, NULL);
        (void)sqlite3_exec(db, sql, NULL, NULL, NULL);
    }
    (void)sqlite3_close(db);
}
