/* Opening and closing.  See book.h; settings.c for its codes and settings. */
#include "book/book.h"

#include "base/buf.h"
#include "base/text.h"
#include "book/connect.h"
#include "book/first.h"
#include "book/place.h"
#include "book/reading.h"
#include "book/schema.h"
#include "book/wal.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { MAX_PATH = 65536 };

void pb_book_one_thread(void)
{
    (void)sqlite3_config(SQLITE_CONFIG_SINGLETHREAD);
    (void)sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

void pb_book_set_pages(struct pb_book *b, int kib)
{
    char sql[64];
    (void)snprintf(sql, sizeof(sql), "PRAGMA cache_size=-%d", kib);
    (void)sqlite3_exec(b->db, sql, NULL, NULL, NULL);
}

static enum pb_rc open_writing(struct pb_book *b, struct pb_err *err)
{
    struct stat st;
    struct pb_header h;
    if (strcmp(b->path, ":memory:") != 0 && stat(b->path, &st) != 0) {
        bool made = false;
        enum pb_rc rc = pb_first_open(b, &made, err);
        if (!made)
            return rc;
    }
    if (sqlite3_open_v2(b->path, &b->db, PB_DB_WRITE | SQLITE_OPEN_CREATE, NULL) !=
        SQLITE_OK)
        return pb_db_fail(b, err);
    if (sqlite3_db_readonly(b->db, "main") == 1)
        return pb_fail_at(
            err, PB_EIO, b->path, 0,
            "the book cannot be written; check its permissions, or choose "
            "another with --book");
    pb_wal_leave(b);
    enum pb_rc rc = pb_connect_set_up(b, err);
    if (rc == PB_OK)
        rc = pb_connect_check(b, &b->fresh, &h, err);
    if (rc == PB_OK && !b->fresh && h.version < pb_form_n)
        rc = pb_migrate_old(b, h.version, err);
    if (rc == PB_OK && !b->fresh)
        pb_wal_prefer(b);
    b->writable = rc == PB_OK;
    return rc;
}

enum pb_rc pb_book_open_empty(struct pb_book **out, struct pb_err *err)
{
    struct pb_book *b = calloc(1, sizeof(*b));
    if (b == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = pb_connect_memory(b, err);
    if (rc == PB_OK)
        *out = b;
    else
        pb_book_close(b);
    return rc;
}

/* A path that leads to nothing is an empty book.  One that cannot be followed, as through
 * a folder that may not be searched, may lead to a full one. */
static enum pb_rc check_place(const char *path, struct pb_err *err)
{
    struct stat st;
    char why[128] = "";
    if (stat(path, &st) == 0) {
        /* of one byte SQLite says that there is none, and writes over it */
        if (S_ISREG(st.st_mode) && st.st_size == 1)
            return pb_fail_at(err, PB_EIO, path, 0, "%s", pb_db_no_book);
        if (S_ISREG(st.st_mode))
            return PB_OK;
        return pb_fail_at(err, PB_EIO, path, 0, "is %s; name a file with --book",
                          S_ISDIR(st.st_mode) ? "a folder"
                                              : "no book but a device or the like");
    }
    /* what is no link was made by another process meanwhile */
    if (errno == ENOENT && lstat(path, &st) == 0 && S_ISLNK(st.st_mode))
        return pb_fail_at(
            err, PB_EIO, path, 0,
            "is a link that leads nowhere: is the disk there that the book lies on?  A "
            "book that is yet to be made needs a name of its own");
    if (errno == ENOENT)
        return PB_OK;
    (void)strerror_r(errno, why, sizeof(why));
    return pb_fail_at(err, PB_EIO, path, 0,
                      "cannot be reached: %s; check the folders of this path and your "
                      "rights in them, or name another file with --book",
                      why);
}

enum pb_rc pb_book_open(const char *path, enum pb_book_mode mode, struct pb_book **out,
                        struct pb_err *err)
{
    struct pb_book *b = calloc(1, sizeof(*b));
    if (b == NULL)
        return pb_fail_memory(err);
    /* to SQLite "file:..." is no name but an address */
    const char *here = strncmp(path, "file:", 5) == 0 ? "./" : "";
    struct pb_buf whole;
    pb_buf_init(&whole, MAX_PATH);
    pb_buf_printf(&whole, "%s%s", here, path);
    enum pb_rc rc = pb_buf_take(&whole, &b->path, err);
    pb_buf_clear(&whole);
    b->only_reads = mode != PB_BOOK_WRITE;
    if (rc == PB_OK)
        rc = check_place(path, err);
    if (rc == PB_OK)
        rc = pb_place_of(path, &b->place, err);
    if (rc == PB_OK)
        rc = mode == PB_BOOK_WRITE ? open_writing(b, err)
                                   : pb_reading_open(b, mode == PB_BOOK_CHECK, err);
    if (rc == PB_OK)
        *out = b;
    else
        pb_book_close(b);
    return rc;
}

void pb_book_close(struct pb_book *b)
{
    if (b == NULL)
        return;
    pb_db_close(b);
    pb_first_drop(b);
    free(b->before);
    free(b->path);
    free(b);
}

enum pb_rc pb_db_make_schema(struct pb_book *b, struct pb_err *err)
{
    struct pb_header h;
    bool empty = false;
    enum pb_rc rc = pb_connect_check(b, &empty, &h, err);
    return rc == PB_OK && empty ? pb_migrate(b, 0, err) : rc;
}

int64_t pb_book_act(const struct pb_book *b)
{
    return b->act;
}

bool pb_book_is_there(const struct pb_book *b)
{
    return !b->absent;
}

const char *pb_book_place(const struct pb_book *b)
{
    return b->place;
}

const char *pb_book_before(const struct pb_book *b)
{
    return b->before;
}

bool pb_book_is_writable(const struct pb_book *b)
{
    return b->writable;
}
