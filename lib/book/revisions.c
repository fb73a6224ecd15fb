/* Revisions when an act is taken back.  See revisions.h. */
#include "book/revisions.h"

#include "base/text.h"
#include "book/arrive.h"
#include "book/db.h"

#include <string.h>

enum { TABLES = 3 };

/* Did a later act that stands change the record of the table's row?  ?1: the act that is taken
 * back, ?3: the running one */
#define LATER(table)                                                             \
    " EXISTS(SELECT 1 FROM change d JOIN act a ON a.n=d.act WHERE d.code=" table \
    ".code AND d.act>?1 AND d.act<?3 AND a.undoes IS NULL AND a.undone_by IS NULL)"

#define NOTE(table)                                                                 \
    "INSERT INTO change(act,tbl,row,code,before) SELECT ?1,'" table ".revision',n," \
    "code,json_object('revision',revision,'modified',modified) FROM " table         \
    " WHERE n=?2 AND (revision<>?3 OR modified<>?4)"

/* The oldest note of a record has what was before the act. */
#define GIVE_BACK(table)                                                         \
    "UPDATE " table " SET (revision,modified)=(SELECT "                          \
    "json_extract(before,'$.revision'),json_extract(before,'$.modified')"        \
    " FROM change WHERE act=?1 AND tbl='" table ".revision' AND row=" table ".n" \
    " ORDER BY n LIMIT 1) WHERE n IN (SELECT row FROM change WHERE act=?1 AND "  \
    "tbl='" table ".revision') AND NOT" LATER(table)

#define COUNT_UP(table)                                                      \
    "UPDATE " table " SET revision=revision+1,modified=?2"                   \
    " WHERE code IN (SELECT code FROM change WHERE act=?1) AND (NOT EXISTS(" \
    "SELECT 1 FROM change WHERE act=?1 AND tbl='received') OR" LATER(table) ")"

#define ROW(table)                                            \
    {                                                         \
        table, NOTE(table), GIVE_BACK(table), COUNT_UP(table) \
    }

static const struct {
    const char *table, *note, *give_back, *count_up;
} rows[TABLES] = {ROW("plant"), ROW("crossing"), ROW("batch")};

enum pb_rc pb_book_take_in(struct pb_book *b, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b, "INSERT INTO change(act,tbl,row) VALUES(?,'received',0)", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, b->act);
    rc = pb_db_run(b, s, err);
    b->takes_in = rc == PB_OK;
    return rc;
}

enum pb_rc pb_revision_note(struct pb_book *b, const char *table,
                            const struct pb_head *to, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    size_t i = 0;
    if (!b->takes_in)
        return PB_OK;
    while (i < TABLES - 1 && strcmp(rows[i].table, table) != 0)
        i++;
    enum pb_rc rc = pb_db_get(b, rows[i].note, &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, b->act);
    (void)sqlite3_bind_int64(s, 2, to->n);
    (void)sqlite3_bind_int64(s, 3, to->revision);
    (void)sqlite3_bind_int64(s, 4, to->modified);
    return pb_db_run(b, s, err);
}

static enum pb_rc run(struct pb_book *b, const char *sql, int64_t n, int64_t now,
                      struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, sql, &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, n);
    (void)sqlite3_bind_int64(s, 2, now);
    (void)sqlite3_bind_int64(s, 3, b->act);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_revisions_undo(struct pb_book *b, int64_t n, int64_t now,
                             struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < TABLES && rc == PB_OK; i++) {
        rc = run(b, rows[i].give_back, n, now, err);
        if (rc == PB_OK)
            rc = run(b, rows[i].count_up, n, now, err);
    }
    return rc;
}
