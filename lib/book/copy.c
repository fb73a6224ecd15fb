/* Copies of the book.  See copy.h. */
#include "book/copy.h"

#include "base/text.h"
#include "book/db.h"
#include "book/intact.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static enum pb_rc conflict(const char *path, const char *text, struct pb_err *err)
{
    return pb_fail_at(err, PB_ECONFLICT, path, 0, "%s", text);
}

/* The first column of the first row, a number; 0: there is none. */
static enum pb_rc ask(struct pb_book *b, const char *sql, int64_t *n,
                      struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_prepare(b, sql, &s, err);
    if (rc == PB_OK)
        rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK)
        *n = row ? sqlite3_column_int64(s, 0) : 0;
    (void)sqlite3_finalize(s);
    return rc;
}

/* ---- may it stand there? ------------------------------------------------------------- */

static bool ends_in(const char *path, const char *end)
{
    size_t n = strlen(path), m = strlen(end);
    return n >= m && strcmp(path + n - m, end) == 0;
}

/* Which book the other is, and its newest act: not ours where it says nothing of that, an
 * error only where the disk refuses. */
static enum pb_rc ask_other(struct pb_book *other, sqlite3_stmt **s, bool *row,
                            struct pb_err *err)
{
    *row = false;
    if (pb_db_prepare(other,
                      "SELECT id,n,at,today,command FROM book LEFT JOIN act"
                      " ORDER BY n DESC LIMIT 1",
                      s, NULL) == PB_OK &&
        pb_db_step(other, *s, row, NULL) == PB_OK)
        return PB_OK;
    int code = sqlite3_errcode(other->db) & 0xff;
    return code == SQLITE_IOERR || code == SQLITE_CANTOPEN || code == SQLITE_NOMEM
               ? pb_db_fail(other, err)
               : PB_OK;
}

/* Is it this book, and its newest act one of ours? */
static enum pb_rc is_ours(struct pb_book *b, sqlite3_stmt *theirs, bool *ours,
                          struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b,
                              "SELECT 1 FROM book LEFT JOIN act ON n=?2 WHERE id=?1"
                              " AND at IS ?3 AND today IS ?4 AND command IS ?5",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    for (int i = 0; i < 5; i++)
        pb_db_bind_value(s, i + 1, sqlite3_column_value(theirs, i));
    rc = pb_db_step(b, s, ours, err);
    (void)sqlite3_reset(s);
    return rc;
}

static enum pb_rc is_older_copy(struct pb_book *b, const char *path, bool *older,
                                struct pb_err *err)
{
    struct pb_book other = {.path = pb_text_copy(path)};
    sqlite3_stmt *theirs = NULL;
    bool row = false;
    *older = false;
    enum pb_rc rc = other.path != NULL ? pb_db_open_immutable(&other, path, err)
                                       : pb_fail_memory(err);
    if (rc == PB_OK)
        rc = ask_other(&other, &theirs, &row, err);
    if (rc == PB_OK && row)
        rc = is_ours(b, theirs, older, err);
    (void)sqlite3_finalize(theirs);
    (void)sqlite3_close(other.db);
    free(other.path);
    return rc;
}

enum pb_rc pb_book_copy_check(struct pb_book *b, const char *path, struct pb_err *err)
{
    struct stat ours, st;
    if (b->absent)
        return pb_fail_at(err, PB_ENOTFOUND, b->path, 0,
                          "there is no book yet; the first record makes it");
    for (size_t i = 0; i < PB_BESIDE_N; i++)
        if (ends_in(path, pb_db_beside[i]))
            return pb_fail_at(err, PB_ECONFLICT, path, 0,
                              "names that end in %s are SQLite's own; choose another",
                              pb_db_beside[i]);
    bool there = stat(path, &st) == 0;
    if (there && stat(b->path, &ours) == 0 && ours.st_dev == st.st_dev &&
        ours.st_ino == st.st_ino)
        return conflict(path, "is the book itself; name another file", err);
    if (there && !S_ISREG(st.st_mode))
        return PB_OK; /* whoever writes it says why that cannot be */
    char *full = there ? realpath(path, NULL) : pb_text_copy(path);
    if (full == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = pb_db_check_beside(full, err);
    bool older = true;
    if (rc == PB_OK && there)
        rc = is_older_copy(b, full, &older, err);
    free(full);
    if (rc == PB_OK && !older)
        rc = conflict(path,
                      "is in the way: it is no older copy of this book; move it away, "
                      "or name another file",
                      err);
    return rc;
}

/* ---- the copy ------------------------------------------------------------------------ */

/* All pages at once: one state of the book, and no other writer makes it begin anew.  The
 * copy is a file by itself, whatever the journal of the book is. */
static enum pb_rc copy_pages(struct pb_book *b, struct pb_book *to, struct pb_err *err)
{
    if (sqlite3_exec(to->db, "PRAGMA journal_mode=MEMORY", NULL, NULL, NULL) !=
        SQLITE_OK)
        return pb_db_fail(to, err);
    sqlite3_backup *backup = sqlite3_backup_init(to->db, "main", b->db, "main");
    if (backup == NULL)
        return pb_db_fail(to, err);
    int code = sqlite3_backup_step(backup, -1);
    if (sqlite3_backup_finish(backup) != SQLITE_OK || code != SQLITE_DONE)
        return code == SQLITE_BUSY || code == SQLITE_LOCKED ? pb_db_fail(b, err)
                                                            : pb_db_fail(to, err);
    return pb_db_exec(to, "PRAGMA journal_mode=DELETE", err);
}

/* Whoever may not read the book may not read its copy either. */
static enum pb_rc keep_private(const struct pb_book *b, const char *into,
                               const char *shown, struct pb_err *err)
{
    struct stat ours, st;
    if (stat(b->path, &ours) != 0)
        return PB_OK; /* it is in memory */
    if (stat(into, &st) == 0 &&
        chmod(into, st.st_mode & (ours.st_mode | S_IRUSR | S_IWUSR) & 07777) == 0)
        return PB_OK;
    return pb_fail_at(err, PB_EIO, shown, 0, "cannot be given the permissions of %s",
                      b->path);
}

static enum pb_rc write_copy(struct pb_book *b, const char *into, struct pb_book *to,
                             struct pb_err *err)
{
    enum pb_rc rc = sqlite3_open_v2(into, &to->db, PB_DB_WRITE, NULL) == SQLITE_OK
                        ? PB_OK
                        : pb_db_fail(to, err);
    if (rc == PB_OK)
        (void)sqlite3_extended_result_codes(to->db, 1);
    if (rc == PB_OK)
        rc = copy_pages(b, to, err);
    if (rc == PB_OK)
        rc = pb_book_check_same(b, err);
    (void)sqlite3_close(to->db);
    to->db = NULL;
    pb_db_tidy(into); /* as a failing disk leaves it */
    return rc;
}

/* Read again what was written, from the file. */
static enum pb_rc check_copy(const char *into, struct pb_book *to,
                             struct pb_copied *made, struct pb_err *err)
{
    int64_t pages = 0, size = 0;
    bool sound = false;
    enum pb_rc rc = pb_db_open_immutable(to, into, err);
    if (rc == PB_OK)
        rc = pb_intact(to, &sound, err);
    if (rc == PB_OK && !sound)
        rc = pb_fail_at(err, PB_EIO, to->path, 0,
                        "the copy does not check and was thrown away; podbook verify "
                        "tells whether the book is sound, else the disk is failing");
    if (rc == PB_OK && made != NULL)
        rc = ask(to, "SELECT count(*) FROM act", &made->acts, err);
    if (rc == PB_OK && made != NULL)
        rc = ask(to, "PRAGMA page_count", &pages, err);
    if (rc == PB_OK && made != NULL)
        rc = ask(to, "PRAGMA page_size", &size, err);
    if (made != NULL)
        made->bytes = pages * size;
    (void)sqlite3_close(to->db);
    to->db = NULL;
    return rc;
}

enum pb_rc pb_book_copy(struct pb_book *b, const char *into, const char *shown,
                        struct pb_copied *made, struct pb_err *err)
{
    struct pb_book to = {.path = pb_text_copy(shown)};
    struct pb_copied copied = {0, 0};
    enum pb_rc rc = to.path != NULL ? PB_OK : pb_fail_memory(err);
    if (rc == PB_OK)
        rc = keep_private(b, into, shown, err);
    if (rc == PB_OK)
        rc = write_copy(b, into, &to, err);
    if (rc == PB_OK)
        rc = check_copy(into, &to, made != NULL ? &copied : NULL, err);
    free(to.path);
    if (rc == PB_OK && made != NULL)
        *made = copied;
    return rc;
}
