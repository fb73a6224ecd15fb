/* What acts by itself in a book: our triggers, and nothing that somebody planted. */
#include "book/db.h"
#include "book/schema.h"

#include <stdlib.h>
#include <string.h>

enum { TRIGGERS_OF_A_TABLE = 3 };

/* Is it one that keeps the history, word for word?  all: the text that makes them.  *at:
 * where the one before was found, for they stand in the book in the order of the text. */
static bool keeps_history(const char *all, const char **at, const char *sql)
{
    const char *found = strstr(*at, sql);
    if (found == NULL)
        found = strstr(all, sql);
    if (found == NULL || found[strlen(sql)] != ';')
        return false;
    *at = found + strlen(sql);
    return true;
}

/* Is it one that a migration made, and nobody since? */
static bool was_migrated(const char *sql)
{
    for (int v = 0; v < pb_form_n; v++)
        for (const char *const *made = pb_forms[v]; *made != NULL; made++)
            if (strcmp(*made, sql) == 0)
                return true;
    return false;
}

/* SQLite goes by the text of an element, whatever its row calls it. */
enum pb_rc pb_db_check_planted(struct pb_book *b, struct pb_err *err)
{
    char *all = NULL;
    sqlite3_stmt *s = NULL;
    size_t n = 0;
    enum pb_rc rc = pb_schema_triggers(&all, err);
    if (rc == PB_OK)
        rc = pb_db_prepare(b,
                           "SELECT name,sql FROM sqlite_schema WHERE sql IS NOT NULL"
                           " AND sql NOT GLOB 'CREATE TABLE *'"
                           " AND sql NOT GLOB 'CREATE INDEX *' ORDER BY rowid",
                           &s, err);
    for (const char *at = all; pb_db_next(b, s, &rc, err);) {
        const char *name = (const char *)sqlite3_column_text(s, 0),
                   *sql = (const char *)sqlite3_column_text(s, 1);
        bool of_trigger = sql != NULL && strncmp(sql, "CREATE TRIGGER ", 15) == 0;
        if (sql == NULL)
            rc = pb_fail_memory(err);
        else if (of_trigger && keeps_history(all, &at, sql))
            n++;
        else if (!of_trigger || !was_migrated(sql))
            rc = pb_fail_at(
                err, PB_EIO, b->path, 0,
                "holds \"%s\", which podbook did not make and which might act when "
                "the book is written to; podbook verify tells more, share takes the "
                "records out of it, receive into another book",
                name != NULL ? name : "");
    }
    if (rc == PB_OK && n != (size_t)TRIGGERS_OF_A_TABLE * PB_LOGGED_N)
        rc = pb_fail_at(err, PB_EIO, b->path, 0,
                        "lacks what keeps the history of each change; podbook verify "
                        "tells more, share takes the records out of it, receive into "
                        "another book");
    (void)sqlite3_finalize(s);
    free(all);
    return rc;
}
