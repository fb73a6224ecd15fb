/* Reading the history.  See history.h; taking back is in undo.c. */
#include "book/history.h"

#include "base/buf.h"
#include "base/text.h"
#include "book/db.h"
#include "book/revisions.h"
#include "book/schema.h"

#include <string.h>

/*
 * What the plant of a code was called, and in which acts: a code that was amended belongs to
 * the plant until it got the next one.  Other records keep their codes.
 */
#define HAD                                                                      \
    "was(code,first) AS (SELECT code,min(act) FROM change WHERE tbl='plant'"     \
    " AND row=(SELECT n FROM plant WHERE code=:code) GROUP BY code),"            \
    "had(code,first,next) AS (SELECT code,first,(SELECT min(w.first) FROM was w" \
    " WHERE w.first>was.first) FROM was) "
#define IS_HAD                                                        \
    "(c.code=:code AND c.act>=ifnull((SELECT max(first) FROM had),0)" \
    " OR EXISTS(SELECT 1 FROM had h WHERE h.code=c.code"              \
    " AND c.act>=h.first AND (h.next IS NULL OR c.act<h.next)))"

enum pb_rc pb_history_each_act(struct pb_book *b, const char *code,
                               pb_history_each *each, void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(
        b,
        code == NULL
            ? "SELECT n,at,today,command,ifnull(undoes,0),ifnull(undone_by,0) FROM act"
              " ORDER BY n"
            : "WITH " HAD
              "SELECT n,at,today,command,ifnull(undoes,0),ifnull(undone_by,0) FROM act"
              " WHERE n IN (SELECT c.act FROM change c WHERE c.code IN"
              " (SELECT :code UNION SELECT code FROM had) AND " IS_HAD ") ORDER BY n",
        &s, err);
    if (rc == PB_OK && code != NULL)
        pb_db_bind_text(s, 1, code);
    while (pb_db_next(b, s, &rc, err)) {
        const struct pb_history h = {
            sqlite3_column_int64(s, 0),
            sqlite3_column_int64(s, 1),
            pb_db_day(s, 2),
            (const char *)sqlite3_column_text(s, 3),
            sqlite3_column_int64(s, 4),
            sqlite3_column_int64(s, 5),
        };
        rc = each(ctx, &h, err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

/* "'a',a,'b',b" of a table's content columns. */
static void add_columns(struct pb_buf *sql, const struct pb_logged *t)
{
    for (size_t i = 0; t->content[i] != NULL; i++)
        pb_buf_printf(sql, "%s'%s',%s", i > 0 ? "," : "", t->content[i], t->content[i]);
}

/* A value for a reader: rows of plants by their codes. */
static void add_value(struct pb_buf *sql, const char *value)
{
    pb_buf_printf(sql,
                  "CASE WHEN e.key IN ('source','out_of') AND"
                  " (c.tbl='batch' OR e.key='out_of')"
                  " THEN (SELECT code FROM batch WHERE n=%s)"
                  " WHEN e.key IN ('source','seed_parent','pollen_parent','plant')"
                  " THEN (SELECT code FROM plant WHERE n=%s)"
                  " WHEN e.key='crossing' THEN (SELECT code FROM crossing WHERE n=%s)"
                  " ELSE %s END",
                  value, value, value, value);
}

/*
 * Field by field what the rows of an act were and became.  A row after a change is what
 * the next change of it overwrote, else what it is now.
 */
static enum pb_rc changes_sql(struct pb_buf *sql, struct pb_err *err)
{
    pb_buf_adds(
        sql, "WITH " HAD
             ", c AS (SELECT n,tbl,code,before,CASE WHEN EXISTS(SELECT 1 FROM change d"
             " WHERE d.tbl=c.tbl AND d.row=c.row AND d.n>c.n) THEN (SELECT d.before"
             " FROM change d WHERE d.tbl=c.tbl AND d.row=c.row AND d.n>c.n"
             " ORDER BY d.n LIMIT 1) ELSE CASE c.tbl ");
    for (size_t i = 0; i < PB_LOGGED_N; i++) {
        const struct pb_logged *t = &pb_logged_tables[i];
        pb_buf_printf(sql, "WHEN '%s' THEN (SELECT json_object(", t->table);
        add_columns(sql, t);
        pb_buf_printf(sql, ") FROM %s WHERE n=c.row) ", t->table);
    }
    pb_buf_adds(sql, "END END AS after FROM change c"
                     " WHERE c.act=:act AND c.tbl NOT IN (" PB_REVISION_ROWS ")"
                     " AND (:code IS NULL OR " IS_HAD "))"
                     " SELECT c.tbl,c.code,"
                     "ifnull(json_extract(ifnull(c.before,c.after),'$.number'),0),"
                     "CASE WHEN c.after IS NOT NULL THEN e.key END,c.after IS NULL,");
    add_value(sql, "e.value");
    pb_buf_addc(sql, ',');
    add_value(sql, "json_extract(c.after,'$.'||e.key)");
    pb_buf_adds(sql, " FROM c LEFT JOIN json_each(c.before) e"
                     " WHERE ifnull(e.key,'')<>'taxon_key' AND (c.before IS NULL"
                     " OR (c.after IS NULL AND e.key='code') OR (c.after IS NULL AND"
                     " e.key='number') OR (c.after IS NOT NULL AND e.value IS NOT"
                     " json_extract(c.after,'$.'||e.key))) ORDER BY c.n");
    return pb_buf_status(sql, err);
}

enum pb_rc pb_history_changes(struct pb_book *b, int64_t act, const char *code,
                              pb_change_each *each, void *ctx, struct pb_err *err)
{
    struct pb_buf sql;
    sqlite3_stmt *s = NULL;
    pb_buf_init(&sql, 65536);
    enum pb_rc rc = changes_sql(&sql, err);
    if (rc == PB_OK)
        rc = pb_db_prepare(b, pb_buf_peek(&sql), &s, err);
    if (rc == PB_OK) {
        pb_db_bind_text(s, 1, code);
        (void)sqlite3_bind_int64(s, 2, act);
    }
    while (pb_db_next(b, s, &rc, err)) {
        const struct pb_change c = {
            (const char *)sqlite3_column_text(s, 0),
            (const char *)sqlite3_column_text(s, 1),
            sqlite3_column_int(s, 2),
            (const char *)sqlite3_column_text(s, 3),
            sqlite3_column_int(s, 4) != 0,
            (const char *)sqlite3_column_text(s, 5),
            (const char *)sqlite3_column_text(s, 6),
        };
        rc = each(ctx, &c, err);
    }
    (void)sqlite3_finalize(s);
    pb_buf_clear(&sql);
    return rc;
}

enum pb_rc pb_history_changed(struct pb_book *b, bool *changed, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, "SELECT 1 FROM change WHERE act=? LIMIT 1", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, b->act);
    rc = pb_db_step(b, s, changed, err);
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_history_newest(struct pb_book *b, int64_t *n, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT n FROM act WHERE undoes IS NULL AND undone_by IS NULL AND n<>?"
        " ORDER BY n DESC LIMIT 1",
        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, b->in_act ? b->act : 0);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK)
        *n = row ? sqlite3_column_int64(s, 0) : 0;
    (void)sqlite3_reset(s);
    return rc;
}

/* Call for the code that each row of a statement is; ?1 is the act. */
static enum pb_rc each_code(struct pb_book *b, const char *sql, int64_t act,
                            pb_code_each *each, void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(b, sql, &s, err);
    if (rc == PB_OK)
        (void)sqlite3_bind_int64(s, 1, act);
    while (pb_db_next(b, s, &rc, err)) {
        rc = each(ctx, (const char *)sqlite3_column_text(s, 0), err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

enum pb_rc pb_history_codes(struct pb_book *b, int64_t act, pb_code_each *each,
                            void *ctx, struct pb_err *err)
{
    return each_code(b,
                     "SELECT code FROM change WHERE act=? AND code IS NOT NULL"
                     " GROUP BY code ORDER BY min(n)",
                     act, each, ctx, err);
}

enum pb_rc pb_history_touched(struct pb_book *b, int64_t act, pb_code_each *each,
                              void *ctx, struct pb_err *err)
{
    return each_code(b,
                     "SELECT code FROM (SELECT 0 AS k,n,code FROM crossing"
                     " UNION ALL SELECT 1,n,code FROM batch"
                     " UNION ALL SELECT 2,n,code FROM plant) WHERE code IN"
                     " (SELECT code FROM change WHERE act=?) ORDER BY k,n",
                     act, each, ctx, err);
}
