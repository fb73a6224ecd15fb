/*
 * Books of an older form.  See migrate.h.
 *
 * The write lock is taken first, then the copy is made through a connection of its own, which
 * may read beside the lock.  A migration may rebuild tables, so foreign keys are looked at
 * only at its end (SQLite, "ALTER TABLE", 7); what it changes is nobody's act, and a trigger
 * that somebody planted is not to act: none does meanwhile.  Those of the history are made
 * anew behind it.
 */
#include "book/migrate.h"

#include "base/text.h"
#include "book/beside.h"
#include "book/copy.h"
#include "book/intact.h"
#include "book/schema.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { COPIES_MAX = 1000 };

enum pb_rc pb_header_read(struct pb_book *b, struct pb_header *h, struct pb_err *err)
{
    static const char *const sql[] = {"PRAGMA application_id", "PRAGMA user_version",
                                      "SELECT count(*) FROM sqlite_schema"};
    memset(h, 0, sizeof(*h));
    int *const to[] = {&h->application, &h->version, &h->tables};
    for (size_t i = 0; i < PB_ARRAY_LEN(sql); i++) {
        sqlite3_stmt *stmt = NULL;
        bool row = false;
        enum pb_rc rc = pb_db_prepare(b, sql[i], &stmt, err);
        if (rc == PB_OK)
            rc = pb_db_step(b, stmt, &row, err);
        if (rc == PB_OK && row)
            *to[i] = sqlite3_column_int(stmt, 0);
        (void)sqlite3_finalize(stmt);
        if (rc != PB_OK)
            return rc;
    }
    return PB_OK;
}

/* ---- the change ------------------------------------------------------------------------- */

/* Those of the old form are known by what they write to. */
static enum pb_rc drop_history(struct pb_book *b, struct pb_err *err)
{
    static const char find[] =
        "SELECT 'DROP TRIGGER \"'||name||'\"' FROM sqlite_schema"
        " WHERE type='trigger' AND sql LIKE '%INSERT INTO change %' LIMIT 1";
    enum pb_rc rc = PB_OK;
    for (bool more = true; more && rc == PB_OK;) {
        sqlite3_stmt *stmt = NULL;
        char *drop = NULL;
        rc = pb_db_prepare(b, find, &stmt, err);
        if (rc == PB_OK)
            rc = pb_db_step(b, stmt, &more, err);
        if (rc == PB_OK && more)
            drop = pb_db_text(stmt, 0, &rc);
        if (rc == PB_ENOMEM)
            (void)pb_fail_memory(err);
        (void)sqlite3_finalize(stmt);
        if (rc == PB_OK && more)
            rc = pb_db_exec(b, drop, err);
        free(drop);
    }
    return rc;
}

enum pb_rc pb_migrate(struct pb_book *b, int from, struct pb_err *err)
{
    char *triggers = NULL, pragma[96];
    enum pb_rc rc = drop_history(b, err);
    for (int v = from; v < pb_form_n && rc == PB_OK; v++)
        for (const char *const *sql = pb_forms[v]; *sql != NULL && rc == PB_OK; sql++)
            rc = pb_db_exec(b, *sql, err);
    if (rc == PB_OK)
        rc = pb_schema_triggers(&triggers, err);
    if (rc == PB_OK)
        rc = pb_db_exec(b, triggers, err);
    (void)snprintf(pragma, sizeof(pragma),
                   "PRAGMA application_id=%d; PRAGMA user_version=%d",
                   PB_APPLICATION_ID, pb_form_n);
    if (rc == PB_OK)
        rc = pb_db_exec(b, pragma, err);
    free(triggers);
    return rc;
}

static enum pb_rc change(struct pb_book *b, int version, struct pb_err *err)
{
    bool sound = false;
    (void)sqlite3_db_config(b->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    enum pb_rc rc = pb_migrate(b, version, err);
    (void)sqlite3_db_config(b->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 1, NULL);
    if (rc == PB_OK)
        rc = pb_intact(b, &sound, err);
    if (rc == PB_OK && !sound)
        rc = pb_fail_at(
            err, PB_EIO, b->path, 0,
            "cannot be brought from form %d to form %d: what comes of it does "
            "not check; it is as it was",
            version, pb_form_n);
    return rc;
}

/* ---- the copy --------------------------------------------------------------------------- */

/* All that the book holds, into a file beside it; as private as the book is. */
static enum pb_rc write_copy(struct pb_book *b, const char *beside, const char *shown,
                             struct pb_err *err)
{
    struct pb_book from = {.path = b->path};
    struct stat st;
    enum pb_rc rc = PB_OK;
    if (stat(b->path, &st) != 0 || chmod(beside, st.st_mode & 0777) != 0)
        return pb_fail_at(err, PB_EIO, shown, 0, "cannot be given its permissions");
    if (sqlite3_open_v2(b->path, &from.db, PB_DB_WRITE, NULL) != SQLITE_OK)
        rc = pb_db_fail(&from, err);
    if (rc == PB_OK)
        rc = pb_book_copy(&from, beside, shown, NULL, err);
    pb_db_close(&from);
    return rc;
}

/* BOOK.form1, and BOOK.form1-2 where something has that name; never over anything. */
static enum pb_rc name_copy(struct pb_book *b, const char *beside, int version,
                            struct pb_err *err)
{
    for (int i = 1; i <= COPIES_MAX; i++) {
        struct stat st;
        char more[16] = "";
        if (i > 1)
            (void)snprintf(more, sizeof(more), "-%d", i);
        char *made = sqlite3_mprintf("%s.form%d%s", b->path, version, more);
        char *name = made != NULL ? pb_text_copy(made) : NULL;
        sqlite3_free(made);
        if (name == NULL)
            return pb_fail_memory(err);
        if (pb_beside_take(beside, name)) {
            pb_beside_settle(name);
            b->before = name;
            return PB_OK;
        }
        bool taken = lstat(name, &st) == 0;
        free(name);
        if (!taken)
            break;
    }
    return pb_fail_at(err, PB_EIO, b->path, 0,
                      "is of an older form, and the copy that is made before it is "
                      "changed cannot be given a name beside it; nothing was changed");
}

static enum pb_rc copy_old(struct pb_book *b, int version, struct pb_err *err)
{
    char *beside = NULL;
    enum pb_rc rc = pb_beside_make(b->path, &beside, err);
    if (rc == PB_OK)
        rc = write_copy(b, beside, b->path, err);
    if (rc == PB_OK)
        rc = name_copy(b, beside, version, err);
    if (rc != PB_OK && beside != NULL) {
        (void)unlink(beside);
        pb_db_tidy(beside);
    }
    free(beside);
    return rc;
}

/* Nothing came of the change: the book is what its copy is. */
static void drop_copy(struct pb_book *b)
{
    if (b->before != NULL)
        (void)unlink(b->before);
    free(b->before);
    b->before = NULL;
}

enum pb_rc pb_migrate_old(struct pb_book *b, int version, struct pb_err *err)
{
    struct pb_header h = {0, 0, 0};
    enum pb_rc rc = pb_db_exec(b, "PRAGMA foreign_keys=OFF; BEGIN IMMEDIATE", err);
    if (rc == PB_OK)
        rc = pb_header_read(b, &h, err);
    bool ours = h.version == version; /* or another process was faster */
    if (rc == PB_OK && !ours && h.version != pb_form_n)
        rc = pb_fail_at(err, PB_EIO, b->path, 0,
                        "another podbook changed its form meanwhile; say it again");
    if (rc == PB_OK && ours)
        rc = copy_old(b, version, err);
    if (rc == PB_OK && ours)
        rc = change(b, version, err);
    if (rc != PB_OK) {
        (void)sqlite3_exec(b->db, "ROLLBACK", NULL, NULL, NULL);
        drop_copy(b);
        return rc;
    }
    /* from here on the copy stays: what a disk made of a failing COMMIT is not known */
    rc = pb_db_exec(b, "COMMIT", err);
    if (rc != PB_OK)
        (void)sqlite3_exec(b->db, "ROLLBACK", NULL, NULL, NULL);
    return rc == PB_OK ? pb_db_exec(b, "PRAGMA foreign_keys=ON", err) : rc;
}
