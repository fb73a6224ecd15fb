/*
 * Taking an act back.
 *
 * The change rows of an act, newest first, are put into reverse: a row that was new is
 * deleted, a row that was overwritten or deleted gets its old columns back.  Before that,
 * two things are looked for and named: later acts that stand and changed the same rows,
 * and later records that refer to rows that would go.  A record may name by its id or code
 * what is not in the book: one that did so before the act names it again after it.
 */
#include "book/history.h"

#include "base/buf.h"
#include "base/text.h"
#include "book/db.h"
#include "book/revisions.h"
#include "book/schema.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

/* Append the first column of every row to a list in words; stops at a dozen. */
static enum pb_rc name_rows(struct pb_book *b, sqlite3_stmt *s, struct pb_buf *names,
                            struct pb_err *err)
{
    enum { MOST = 12 };
    bool row = true;
    int n = 0;
    enum pb_rc rc = PB_OK;
    while (rc == PB_OK && n <= MOST) {
        rc = pb_db_step(b, s, &row, err);
        if (rc != PB_OK || !row)
            break;
        const char *text = (const char *)sqlite3_column_text(s, 0);
        pb_buf_adds(names, names->len > 0 ? ", " : "");
        pb_buf_adds(names, n == MOST ? "..." : text != NULL ? text : "?");
        n++;
    }
    (void)sqlite3_reset(s);
    return rc;
}

/* Later acts that stand and changed a row that act n changed. */
static enum pb_rc find_later(struct pb_book *b, int64_t n, struct pb_buf *names,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT DISTINCT a.command FROM change c JOIN change d"
        " ON d.tbl=c.tbl AND d.row=c.row AND d.act>c.act JOIN act a ON a.n=d.act"
        " WHERE c.act=?1 AND c.tbl<>'received'" /* a mark, of no row */
        " AND a.undoes IS NULL AND a.undone_by IS NULL ORDER BY a.n",
        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, n);
    return name_rows(b, s, names, err);
}

/* Did a later act that stands make the row, or write a name into it?  Acts that stand changed
 * a row in their order, so the first of them overwrote what the row was before it. */
#define LATER                                                                    \
    " FROM change d JOIN act a ON a.n=d.act WHERE d.act>?1 AND a.undoes IS NULL" \
    " AND a.undone_by IS NULL"
#define NAMES_CROSS_LATER                                          \
    "EXISTS(SELECT 1" LATER " AND d.tbl='plant' AND d.row=plant.n" \
    " AND json_extract(d.before,'$.from_id') IS NOT plant.from_id)"
#define NAMES_LOT_LATER                                                \
    "EXISTS(SELECT 1" LATER " AND d.tbl='pollen_parent' AND d.row=q.n" \
    " AND (json_extract(d.before,'$.lot') IS NOT q.lot"                \
    " OR json_extract(d.before,'$.plant') IS NOT q.plant))"

/* Records that refer to rows made by act n, and were not made by it. */
static enum pb_rc find_referring(struct pb_book *b, int64_t n, struct pb_buf *names,
                                 struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "WITH touched(tbl,row,new) AS (SELECT tbl,row,before IS NULL FROM change WHERE "
        "act=?1),made(tbl,row) AS (SELECT tbl,row FROM touched WHERE new)"
        ",plants(n) AS (SELECT row FROM made WHERE tbl='plant')"
        ",crosses(n) AS (SELECT row FROM made WHERE tbl='crossing')"
        ",batches(n) AS (SELECT row FROM made WHERE tbl='batch')"
        "SELECT code FROM plant WHERE n NOT IN"
        " (SELECT row FROM touched WHERE tbl='plant') AND (source IN plants OR"
        " seed_parent IN plants OR pollen_parent IN plants OR out_of IN batches"
        " OR (from_id IN (SELECT id FROM crossing WHERE n IN crosses)"
        " AND " NAMES_CROSS_LATER "))"
        " UNION SELECT code FROM crossing WHERE n NOT IN"
        " (SELECT row FROM touched WHERE tbl='crossing') AND (seed_parent IN "
        "plants"
        " OR n IN (SELECT crossing FROM pollen_parent WHERE plant IN plants))"
        " UNION SELECT coalesce(x.code,b.code,p.code)||'/'||l.number FROM look l"
        " LEFT JOIN crossing x ON x.n=l.crossing LEFT JOIN batch b ON b.n=l.batch"
        " LEFT JOIN plant p ON p.n=l.plant WHERE (l.crossing IN crosses OR"
        " l.batch IN batches OR l.plant IN plants) AND l.n NOT IN"
        " (SELECT row FROM made WHERE tbl='look')"
        " UNION SELECT code FROM batch WHERE n NOT IN"
        " (SELECT row FROM touched WHERE tbl='batch') AND (crossing IN crosses"
        " OR plant IN plants OR source IN batches)"
        " UNION SELECT p.code||' in flower' FROM flowering f JOIN plant p ON "
        "p.n=f.plant"
        " WHERE f.plant IN plants AND f.n NOT IN"
        " (SELECT row FROM made WHERE tbl='flowering')"
        " UNION SELECT x.code FROM batch l JOIN pollen_parent q"
        " ON q.lot=l.code AND q.plant=l.plant JOIN crossing x ON x.n=q.crossing"
        " WHERE l.n IN batches AND x.n NOT IN crosses AND " NAMES_LOT_LATER,
        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, n);
    return name_rows(b, s, names, err);
}

static enum pb_rc check_rest(struct pb_book *b, int64_t n, const char *command,
                             struct pb_err *err)
{
    struct pb_buf names;
    pb_buf_init(&names, 4096);
    enum pb_rc rc = find_referring(b, n, &names, err);
    if (rc == PB_OK && names.len == 0)
        rc = find_later(b, n, &names, err);
    if (rc == PB_OK && names.len > 0)
        rc = pb_fail(err, PB_ECONFLICT,
                     "number %" PRId64 " (%s) cannot be taken back: later records rest "
                     "on it: %s; take those back first",
                     n, command, pb_buf_peek(&names));
    pb_buf_clear(&names);
    return rc;
}

/* Statement that puts a row back: the old columns come as one JSON object (?1), the row's
 * number as ?2. */
static void restore_sql(struct pb_buf *sql, const struct pb_logged *t, bool exists)
{
    pb_buf_printf(sql, exists ? "UPDATE %s SET " : "INSERT INTO %s(n", t->table);
    const char *const *lists[] = {t->content, t->derived};
    size_t used = exists ? 1 : 2;
    bool comma = !exists;
    for (size_t l = 0; l < used; l++)
        for (size_t i = 0; lists[l][i] != NULL; i++, comma = true)
            pb_buf_printf(sql, exists ? "%s%s=json_extract(?1,'$.%s')" : "%s%s",
                          comma ? "," : "", lists[l][i], lists[l][i]);
    if (exists) {
        pb_buf_adds(sql, " WHERE n=?2");
        return;
    }
    pb_buf_adds(sql, ") SELECT ?2");
    for (size_t l = 0; l < used; l++)
        for (size_t i = 0; lists[l][i] != NULL; i++)
            pb_buf_printf(sql, ",json_extract(?1,'$.%s')", lists[l][i]);
}

static enum pb_rc run_restore(struct pb_book *b, const struct pb_buf *sql,
                              const char *before, int64_t row, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_buf_status(sql, err);
    if (rc == PB_OK)
        rc = pb_db_prepare(b, pb_buf_peek(sql), &s, err);
    if (rc == PB_OK) {
        pb_db_bind_text(s, 1, before);
        (void)sqlite3_bind_int64(s, 2, row);
        rc = pb_db_run(b, s, err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

/* Is the row there? */
static enum pb_rc row_exists(struct pb_book *b, const char *table, int64_t row,
                             bool *exists, struct pb_err *err)
{
    char *sql = sqlite3_mprintf("SELECT 1 FROM %s WHERE n=?", table);
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = sql != NULL ? pb_db_prepare(b, sql, &s, err) : pb_fail_memory(err);
    if (rc == PB_OK) {
        (void)sqlite3_bind_int64(s, 1, row);
        rc = pb_db_step(b, s, exists, err);
    }
    (void)sqlite3_finalize(s);
    sqlite3_free(sql);
    return rc;
}

static enum pb_rc reverse(struct pb_book *b, const struct pb_logged *t, int64_t row,
                          const char *before, struct pb_err *err)
{
    struct pb_buf sql;
    bool exists = false;
    pb_buf_init(&sql, 16384);
    enum pb_rc rc = row_exists(b, t->table, row, &exists, err);
    if (before == NULL)
        pb_buf_printf(&sql, "DELETE FROM %s WHERE ?1 IS NULL AND n=?2", t->table);
    else
        restore_sql(&sql, t, exists);
    if (rc == PB_OK)
        rc = run_restore(b, &sql, before, row, err);
    pb_buf_clear(&sql);
    return rc;
}

static const struct pb_logged *logged(const char *table)
{
    for (size_t i = 0; i < PB_LOGGED_N; i++)
        if (strcmp(pb_logged_tables[i].table, table) == 0)
            return &pb_logged_tables[i];
    return NULL;
}

static enum pb_rc reverse_all(struct pb_book *b, int64_t n, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_prepare(b,
                      "SELECT tbl,row,before FROM change WHERE act=? AND tbl NOT IN"
                      " (" PB_REVISION_ROWS ") ORDER BY n DESC",
                      &s, err);
    if (rc == PB_OK)
        (void)sqlite3_bind_int64(s, 1, n);
    while (pb_db_next(b, s, &rc, err)) {
        const struct pb_logged *t = logged((const char *)sqlite3_column_text(s, 0));
        rc = t == NULL ? pb_fail(err, PB_EIO, "the history names an unknown table")
                       : reverse(b, t, sqlite3_column_int64(s, 1),
                                 (const char *)sqlite3_column_text(s, 2), err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

/* The act's words, and whether it can be taken back at all. */
static enum pb_rc find_act(struct pb_book *b, int64_t n, char **command,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        pb_db_get(b, "SELECT command,undoes,undone_by FROM act WHERE n=?", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, n);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && (!row || n == b->act)) /* the running act is no history yet */
        rc = pb_fail(err, PB_ENOTFOUND,
                     "the history has no number %" PRId64 "; see podbook history", n);
    else if (rc == PB_OK && sqlite3_column_type(s, 1) != SQLITE_NULL)
        rc = pb_fail(err, PB_EINVALID,
                     "number %" PRId64 " took something back; enter that again instead",
                     n);
    else if (rc == PB_OK && sqlite3_column_type(s, 2) != SQLITE_NULL)
        rc = pb_fail(err, PB_EINVALID, "number %" PRId64 " was taken back already", n);
    if (rc == PB_OK) {
        *command = pb_db_text(s, 0, &rc);
        if (rc != PB_OK)
            (void)pb_fail_memory(err);
    }
    (void)sqlite3_reset(s);
    return rc;
}

static enum pb_rc mark(struct pb_book *b, int64_t n, struct pb_err *err)
{
    static const char *const sql[] = {"UPDATE act SET undone_by=?2 WHERE n=?1",
                                      "UPDATE act SET undoes=?1 WHERE n=?2"};
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < PB_ARRAY_LEN(sql) && rc == PB_OK; i++) {
        sqlite3_stmt *s = NULL;
        rc = pb_db_get(b, sql[i], &s, err);
        if (rc != PB_OK)
            break;
        (void)sqlite3_bind_int64(s, 1, n);
        (void)sqlite3_bind_int64(s, 2, b->act);
        rc = pb_db_run(b, s, err);
    }
    return rc;
}

enum pb_rc pb_history_undo(struct pb_book *b, int64_t n, int64_t now, char **command,
                           struct pb_err *err)
{
    char *words = NULL;
    enum pb_rc rc = find_act(b, n, &words, err);
    if (rc == PB_OK)
        rc = check_rest(b, n, words, err);
    if (rc == PB_OK)
        rc = reverse_all(b, n, err);
    if (rc == PB_OK)
        rc = pb_revisions_undo(b, n, now, err);
    if (rc == PB_OK)
        rc = mark(b, n, err);
    if (rc == PB_OK)
        *command = words;
    else
        free(words);
    return rc;
}
