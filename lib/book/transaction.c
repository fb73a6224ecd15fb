/* Acts: the write lock, one transaction each; and reading of one state.  See book.h. */
#include "book/db.h"
#include "book/first.h"
#include "book/wal.h"

/* After a write to the caches of a book that is open for reading. */
static void back_to_reading(struct pb_book *b)
{
    if (!b->reading)
        return;
    (void)sqlite3_exec(b->db, "PRAGMA query_only=ON", NULL, NULL, NULL);
    (void)sqlite3_busy_timeout(b->db, PB_BUSY_MS);
}

enum pb_rc pb_book_hold(struct pb_book *b, struct pb_err *err)
{
    if (b->held || b->in_act)
        return PB_OK;
    enum pb_rc rc = pb_db_exec(b, "BEGIN; SELECT 1 FROM sqlite_schema LIMIT 1", err);
    b->held = rc == PB_OK;
    if (rc != PB_OK)
        (void)sqlite3_exec(b->db, "ROLLBACK", NULL, NULL, NULL);
    return rc;
}

static void let_go(struct pb_book *b)
{
    if (b->held)
        (void)sqlite3_exec(b->db, "COMMIT", NULL, NULL, NULL);
    b->held = false;
}

/* The write lock, on the file that the path names: one that another was put in the place of
 * would swallow what is written. */
static enum pb_rc lock(struct pb_book *b, struct pb_err *err)
{
    enum pb_rc rc = pb_db_exec(b, "BEGIN IMMEDIATE", err);
    if (rc != PB_OK || !pb_db_has_moved(b))
        return rc;
    (void)sqlite3_exec(b->db, "ROLLBACK", NULL, NULL, NULL);
    return pb_fail_at(
        err, PB_EIO, b->path, 0,
        "another file was put in the place of the book meanwhile; nothing "
        "was written, say it again");
}

enum pb_rc pb_book_begin_cache(struct pb_book *b, struct pb_err *err)
{
    if ((!b->writable && !b->reading) || b->in_act)
        return pb_fail_at(err, PB_EIO, b->path, 0, "the book is open for reading only");
    let_go(b);
    if (b->reading) {
        (void)sqlite3_busy_timeout(b->db, 0);
        (void)sqlite3_exec(b->db, "PRAGMA query_only=OFF", NULL, NULL, NULL);
    }
    enum pb_rc rc = lock(b, err);
    b->in_act = rc == PB_OK;
    b->act = 0;
    if (rc == PB_OK && b->fresh)
        rc = pb_db_make_schema(b, err);
    if (rc == PB_OK && !b->checked)
        rc = pb_db_check_planted(b, err);
    b->checked = rc == PB_OK;
    if (rc != PB_OK)
        pb_book_drop(b);
    return rc;
}

enum pb_rc pb_book_begin(struct pb_book *b, const char *command, pb_day today,
                         int64_t now, struct pb_err *err)
{
    sqlite3_stmt *stmt = NULL;
    enum pb_rc rc = pb_book_begin_cache(b, err);
    if (rc == PB_OK)
        rc =
            pb_db_get(b, "INSERT INTO act(at,today,command) VALUES(?,?,?)", &stmt, err);
    if (rc == PB_OK) {
        (void)sqlite3_bind_int64(stmt, 1, now);
        pb_db_bind_day(stmt, 2, today);
        pb_db_bind_text(stmt, 3, command);
        rc = pb_db_run(b, stmt, err);
    }
    b->act = sqlite3_last_insert_rowid(b->db);
    return rc == PB_OK || !b->in_act ? rc : pb_book_end(b, rc, err);
}

/* SQLite counts the commits of all, and the changes of this connection. */
struct pb_book_stamp pb_book_stamp(struct pb_book *b)
{
    struct pb_book_stamp stamp = {0, b->taken_back, sqlite3_total_changes64(b->db)};
    (void)sqlite3_file_control(b->db, "main", SQLITE_FCNTL_DATA_VERSION,
                               &stamp.version);
    return stamp;
}

bool pb_book_stamp_is(const struct pb_book_stamp *a, const struct pb_book_stamp *b)
{
    return a->version == b->version && a->taken_back == b->taken_back &&
           a->changes == b->changes;
}

void pb_book_drop(struct pb_book *b)
{
    b->taken_back++;
    /* a new book that could not be opened under its name has no connection any more */
    if (b->db != NULL && sqlite3_get_autocommit(b->db) == 0)
        (void)sqlite3_exec(b->db, "ROLLBACK", NULL, NULL, NULL);
    pb_additions_end(b);
    b->in_act = false;
    b->takes_in = false;
    back_to_reading(b);
}

enum pb_rc pb_book_end(struct pb_book *b, enum pb_rc rc, struct pb_err *err)
{
    if (rc == PB_OK)
        rc = pb_db_exec(b, "COMMIT", err);
    if (rc == PB_OK && b->fresh) {
        b->fresh = false;
        rc = pb_first_place(b, err);
        pb_wal_prefer(b);
    }
    b->has_kept = b->has_kept || (rc == PB_OK && b->act != 0);
    pb_book_drop(b); /* what was not committed */
    return rc;
}

bool pb_book_has_kept(const struct pb_book *b)
{
    return b->has_kept;
}
