/* Opening, codes, settings.  See book.h; migrate.c for books of an older form. */
#include "book/book.h"

#include "base/buf.h"
#include "base/text.h"
#include "book/db.h"
#include "book/first.h"
#include "book/migrate.h"
#include "book/place.h"
#include "book/reading.h"
#include "book/schema.h"
#include "book/wal.h"
#include "core/record.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { MAX_PATH = 65536 };

enum pb_rc pb_db_check_header(struct pb_book *b, bool *empty, struct pb_header *h,
                              struct pb_err *err)
{
    enum pb_rc rc = pb_header_read(b, h, err);
    if (rc != PB_OK)
        return rc;
    *empty = h->application == 0 && h->version == 0 && h->tables == 0;
    if (!*empty && h->application != PB_APPLICATION_ID)
        return pb_fail_at(
            err, PB_EIO, b->path, 0,
            "is a database of another program, not a book; name the right "
            "file with --book");
    if (h->version > pb_form_n)
        return pb_fail_at(
            err, PB_EIO, b->path, 0,
            "was written by a newer podbook (form %d, this one knows %d); "
            "install the newer program",
            h->version, pb_form_n);
    if (h->version < 0)
        return pb_fail_at(err, PB_EIO, b->path, 0,
                          "says that it is of form %d, which no podbook wrote; keep a "
                          "copy of the file as it is, and go back to a backup",
                          h->version);
    return PB_OK;
}

enum pb_rc pb_db_set_up(struct pb_book *b, struct pb_err *err)
{
    (void)sqlite3_extended_result_codes(b->db, 1);
    (void)sqlite3_busy_timeout(b->db, PB_BUSY_MS);
    static const int off[] = {SQLITE_DBCONFIG_DQS_DML, SQLITE_DBCONFIG_DQS_DDL,
                              SQLITE_DBCONFIG_TRUSTED_SCHEMA,
                              SQLITE_DBCONFIG_ENABLE_VIEW}; /* a book has none */
    for (size_t i = 0; i < PB_ARRAY_LEN(off); i++)
        (void)sqlite3_db_config(b->db, off[i], 0, NULL);
    (void)sqlite3_db_config(b->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    enum pb_rc rc = pb_db_add_functions(b, err);
    if (rc != PB_OK)
        return rc;
    /* What a statement would have to take back stays in memory: its triggers touch many
     * pages, and a file for them would be written anew for each row.  8 MiB of pages, so
     * that an act of many records does not write and read each page again and again. */
    return pb_db_exec(b,
                      "PRAGMA foreign_keys=ON; PRAGMA synchronous=FULL;"
                      "PRAGMA temp_store=MEMORY; PRAGMA cache_size=-8192",
                      err);
}

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

enum pb_rc pb_db_open_memory(struct pb_book *b, struct pb_err *err)
{
    b->absent = true;
    if (sqlite3_open_v2(":memory:", &b->db,
                        PB_DB_WRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_MEMORY,
                        NULL) != SQLITE_OK)
        return pb_db_fail(b, err);
    enum pb_rc rc = pb_db_set_up(b, err);
    return rc == PB_OK ? pb_migrate(b, 0, err) : rc;
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
    enum pb_rc rc = pb_db_set_up(b, err);
    if (rc == PB_OK)
        rc = pb_db_check_header(b, &b->fresh, &h, err);
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
    enum pb_rc rc = pb_db_open_memory(b, err);
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
    if (errno == ENOENT && lstat(path, &st) == 0)
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
    enum pb_rc rc = pb_db_check_header(b, &empty, &h, err);
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

enum pb_rc pb_book_next_code(struct pb_book *b, char letter, pb_day day, char *code,
                             struct pb_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int y = 0, m = 0, d = 0;
    const char name[2] = {letter, '\0'};
    bool row = false;
    pb_day_to_ymd(day, &y, &m, &d);
    enum pb_rc rc = pb_db_get(b,
                              "INSERT INTO counter(letter,year,last) VALUES(?,?,1)"
                              " ON CONFLICT DO UPDATE SET last=last+1 RETURNING last",
                              &stmt, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(stmt, 1, name);
    (void)sqlite3_bind_int(stmt, 2, y % 100);
    rc = pb_db_step(b, stmt, &row, err);
    if (rc == PB_OK)
        pb_own_code_format(letter, day, sqlite3_column_int64(stmt, 0), code);
    (void)sqlite3_reset(stmt);
    return rc;
}

enum pb_rc pb_book_setting(struct pb_book *b, const char *name, char **value,
                           struct pb_err *err)
{
    sqlite3_stmt *stmt = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b, "SELECT value FROM setting WHERE name=?", &stmt, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(stmt, 1, name);
    rc = pb_db_step(b, stmt, &row, err);
    if (rc == PB_OK && row) {
        *value = pb_db_text(stmt, 0, &rc);
        if (rc != PB_OK)
            (void)pb_fail_memory(err);
    }
    (void)sqlite3_reset(stmt);
    return rc;
}

enum pb_rc pb_book_setting_keep(struct pb_book *b, const char *name, const char *value,
                                struct pb_err *err)
{
    sqlite3_stmt *stmt = NULL;
    enum pb_rc rc =
        value == NULL
            ? pb_db_get(b, "DELETE FROM setting WHERE name=?", &stmt, err)
            : pb_db_get(b,
                        "INSERT INTO setting(name,value) VALUES(?,?)"
                        " ON CONFLICT(name) DO UPDATE SET value=excluded.value",
                        &stmt, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(stmt, 1, name);
    if (value != NULL)
        pb_db_bind_text(stmt, 2, value);
    return pb_db_run(b, stmt, err);
}
