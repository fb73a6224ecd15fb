/* Opening a book for reading.  See reading.h. */
#include "book/reading.h"

#include "book/connect.h"
#include "book/intact.h"
#include "book/schema.h"
#include "book/wal.h"

#include <limits.h>
#include <stdio.h>
#include <sys/stat.h>

/* Is anything there?  A file of no bytes is a book that does not exist yet. */
static bool has_content(const char *path)
{
    struct stat st;
    return stat(path, &st) == 0 && (!S_ISREG(st.st_mode) || st.st_size > 0);
}

/* A book of an older form, opened for reading. */
static enum pb_rc read_old(struct pb_book *b, int version, bool check,
                           struct pb_err *err)
{
    bool sound = true;
    enum pb_rc rc = check ? pb_intact(b, &sound, err) : PB_OK;
    if (rc != PB_OK)
        return rc;
    if (!sound)
        return pb_fail_at(
            err, PB_EIO, b->path, 0,
            "is damaged, and of an older form; keep a copy of the file as "
            "it is, and go back to a backup");
    if (check)
        return pb_fail_at(err, PB_EIO, b->path, 0,
                          "is of an older form, which any other command brings up to "
                          "date (podbook list plants); verify it then");
    if (!b->reading)
        return pb_fail_at(err, PB_EIO, b->path, 0,
                          "is of an older form and lies in a place that cannot be "
                          "written; copy it to one that can");
    return pb_migrate_old(b, version, err);
}

/* ---- reading where nothing may be written -------------------------------------------- */

/* The name of what SQLite keeps beside the book; one that is too long can be no file's. */
static const char *beside(const struct pb_book *b, size_t i, char name[PATH_MAX])
{
    (void)snprintf(name, PATH_MAX, "%s%s", b->path, pb_db_beside[i]);
    return name;
}

/* A book with WAL can be locked where its journal is there already; any other always. */
static bool can_be_locked(const struct pb_book *b)
{
    char name[PATH_MAX];
    struct stat st;
    return stat(beside(b, 0, name), &st) == 0 || !pb_wal_has(b->path);
}

static enum pb_rc open_unlocked(struct pb_book *b, struct pb_err *err)
{
    enum pb_rc rc = pb_db_open_immutable(b, b->path, err);
    b->unlocked = rc == PB_OK && stat(b->path, &b->seen) == 0;
    return rc;
}

/* Open the file; *usable: it can be written. */
static enum pb_rc open_file(struct pb_book *b, bool *usable, struct pb_err *err)
{
    int code = sqlite3_open_v2(b->path, &b->db, PB_DB_WRITE, NULL);
    if ((code & 0xff) == SQLITE_NOMEM)
        return pb_fail_memory(err);
    *usable = code == SQLITE_OK && sqlite3_db_readonly(b->db, "main") == 0;
    if (code == SQLITE_OK && (*usable || can_be_locked(b)))
        return PB_OK;
    (void)sqlite3_close(b->db);
    b->db = NULL;
    return open_unlocked(b, err);
}

static enum pb_rc look_into(struct pb_book *b, bool check, bool *empty,
                            struct pb_header *h, struct pb_err *err)
{
    enum pb_rc rc = pb_connect_set_up(b, err);
    if (rc == PB_OK && check)
        pb_wal_leave_to_others(b);
    return rc == PB_OK ? pb_connect_check(b, empty, h, err) : rc;
}

/* Did SQLite lack what it makes beside a book to lock it: a full disk, a folder that may
 * not be written? */
static bool lacks_room_beside(const struct pb_book *b)
{
    int code = sqlite3_extended_errcode(b->db);
    return (code & 0xff) == SQLITE_CANTOPEN || (code & 0xff) == SQLITE_READONLY ||
           code == SQLITE_IOERR_SHMOPEN || code == SQLITE_IOERR_SHMSIZE ||
           code == SQLITE_IOERR_SHMMAP;
}

/* Without the journal the file is a book as it was, or half of two. */
static enum pb_rc check_no_journal(const struct pb_book *b, struct pb_err *err)
{
    char name[PATH_MAX];
    for (size_t i = 0; i + 1 < PB_BESIDE_N; i++)
        if (has_content(beside(b, i, name)))
            return pb_fail_at(
                err, PB_EIO, name, 0,
                "holds what the last commands wrote, and can only be read "
                "where the disk has room and podbook may write to the "
                "book and its folder; bring the book and this file to "
                "such a place, or make this one such");
    return PB_OK;
}

/* The same without a lock, where no journal is left and so nobody has it open for writing. */
static enum pb_rc look_unlocked(struct pb_book *b, bool check, bool *empty,
                                struct pb_header *h, struct pb_err *err)
{
    enum pb_rc rc = check_no_journal(b, err);
    if (rc != PB_OK)
        return rc;
    pb_db_close(b);
    rc = open_unlocked(b, err);
    return rc == PB_OK ? look_into(b, check, empty, h, err) : rc;
}

enum pb_rc pb_reading_open(struct pb_book *b, bool check, struct pb_err *err)
{
    struct pb_header h;
    struct pb_err why = {0};
    bool empty = false, usable = false;
    if (!has_content(b->path))
        return pb_connect_memory(b, err);
    enum pb_rc rc = open_file(b, &usable, err);
    if (rc != PB_OK)
        return rc;
    if (usable && !check)
        pb_wal_leave(b);
    rc = look_into(b, check, &empty, &h, &why);
    if (rc == PB_EIO && !b->unlocked && lacks_room_beside(b)) {
        usable = false;
        rc = look_unlocked(b, check, &empty, &h, err);
    } else if (rc != PB_OK) {
        rc = pb_fail_at(err, rc, why.where, why.line, "%s", why.text);
    }
    b->reading = usable;
    if (rc == PB_OK && !empty && h.version < pb_form_n)
        rc = read_old(b, h.version, check, err);
    b->reading = usable && !check;
    if (rc != PB_OK || !empty)
        return rc == PB_OK ? pb_db_exec(b, "PRAGMA query_only=ON", err) : rc;
    b->reading = false;
    pb_db_close(b);
    return pb_connect_memory(b, err);
}
