/* Prepared statements, binding, and SQLite's errors in a grower's words. */
#include "book/db.h"

#include "base/buf.h"
#include "base/text.h"

#include <assert.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

const char *const pb_db_beside[PB_BESIDE_N] = {"-wal", "-journal", "-shm"};
const char pb_db_no_book[] =
    "is not a book of podbook; name the right file with --book";

/* Something could not be bound for want of memory: the next step of any statement tells it,
 * which would run with NULL in its place. */
static _Thread_local bool unbound;

static void note_bound(int code)
{
    unbound = unbound || code == SQLITE_NOMEM;
}

enum pb_rc pb_db_fail(struct pb_book *b, struct pb_err *err)
{
    const char *path = b->path != NULL ? b->path : "the book";
    int code = sqlite3_extended_errcode(b->db);
    if ((code & 0xff) != SQLITE_NOMEM && pb_book_check_same(b, err) != PB_OK)
        return PB_EIO;
    switch (code & 0xff) {
    case SQLITE_NOMEM:
        return pb_fail_memory(err);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return pb_fail_at(err, PB_EIO, path, 0,
                          "another podbook is writing to the book; wait until it has "
                          "finished and say it again");
    case SQLITE_FULL:
        return pb_fail_at(err, PB_EIO, path, 0,
                          "the disk is full; nothing was written, make room and say it "
                          "again");
    case SQLITE_IOERR:
        return pb_fail_at(err, PB_EIO, path, 0,
                          "the disk refused (%s, %d)%s; is it full or failing?",
                          sqlite3_errmsg(b->db), code,
                          b->only_reads ? "" : " and nothing was written");
    case SQLITE_READONLY:
        return pb_fail_at(err, PB_EIO, path, 0,
                          "the book or its folder cannot be written; check its "
                          "permissions, or choose another with --book");
    case SQLITE_CANTOPEN:
        return pb_fail_at(err, PB_EIO, path, 0,
                          "cannot be opened; does the folder exist, and may you write "
                          "there?");
    case SQLITE_PERM:
    case SQLITE_AUTH:
        return pb_fail_at(err, PB_EIO, path, 0, "no permission");
    case SQLITE_NOTADB:
        return pb_fail_at(err, PB_EIO, path, 0, "%s", pb_db_no_book);
    case SQLITE_CORRUPT:
        return pb_fail_at(
            err, PB_EIO, path, 0,
            "the file is damaged (%s); keep a copy and go back to a backup",
            sqlite3_errmsg(b->db));
    case SQLITE_CONSTRAINT:
        return pb_fail_at(err, PB_ECONFLICT, path, 0, "the book refuses it: %s",
                          sqlite3_errmsg(b->db));
    default:
        return pb_fail_at(err, PB_EIO, path, 0, "%s (%d)", sqlite3_errmsg(b->db), code);
    }
}

enum pb_rc pb_db_open_immutable(struct pb_book *b, const char *path, struct pb_err *err)
{
    struct pb_buf uri;
    pb_buf_init(&uri, 65536);
    pb_buf_adds(&uri, "file:");
    for (const char *p = path; *p != '\0'; p++)
        if (*p == '?' || *p == '#' || *p == '%')
            pb_buf_printf(&uri, "%%%02X", (unsigned)*p);
        else
            pb_buf_addc(&uri, *p);
    pb_buf_adds(&uri, "?immutable=1");
    enum pb_rc rc = pb_buf_status(&uri, err);
    if (rc == PB_OK && sqlite3_open_v2(pb_buf_peek(&uri), &b->db,
                                       PB_DB_READ | SQLITE_OPEN_URI, NULL) != SQLITE_OK)
        rc = pb_db_fail(b, err);
    pb_buf_clear(&uri);
    return rc;
}

void pb_db_close(struct pb_book *b)
{
    for (size_t i = 0; i < b->kept_n; i++)
        (void)sqlite3_finalize(b->kept[i].stmt);
    b->kept_n = 0;
    pb_additions_close(b);
    (void)sqlite3_close(b->db);
    b->db = NULL;
}

enum pb_rc pb_db_check_beside(const char *path, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < PB_BESIDE_N && rc == PB_OK; i++) {
        struct stat st;
        char *name = sqlite3_mprintf("%s%s", path, pb_db_beside[i]);
        if (name == NULL)
            return pb_fail_memory(err);
        if (stat(name, &st) == 0 && st.st_size > 0)
            rc = pb_fail_at(
                err, PB_ECONFLICT, name, 0,
                "belongs to a book that is open or was left in the middle of "
                "a command; read that book once with --book, or move this "
                "file away together with its book");
        sqlite3_free(name);
    }
    return rc;
}

/* Who writes to a book with WAL changes the file itself only when he puts the journal into
 * it: as long as the file is the same, what was read of it is of one state. */
static bool has_changed(const struct pb_book *b)
{
    struct stat now;
    const struct stat *was = &b->seen;
    return b->unlocked && (stat(b->path, &now) != 0 || now.st_ino != was->st_ino ||
                           now.st_dev != was->st_dev || now.st_size != was->st_size ||
                           now.st_mtim.tv_sec != was->st_mtim.tv_sec ||
                           now.st_mtim.tv_nsec != was->st_mtim.tv_nsec);
}

enum pb_rc pb_book_check_same(const struct pb_book *b, struct pb_err *err)
{
    return has_changed(b)
               ? pb_fail_at(err, PB_EIO, b->path, 0,
                            "changed while it was read, and could not be locked here; "
                            "say it again")
               : PB_OK;
}

/* Without memory, for it also tidies where there is none. */
void pb_db_tidy(const char *path)
{
    char name[PATH_MAX];
    for (size_t i = 0; i < PB_BESIDE_N; i++) {
        int n = snprintf(name, sizeof(name), "%s%s", path, pb_db_beside[i]);
        if (n > 0 && (size_t)n < sizeof(name))
            (void)unlink(name);
    }
}

bool pb_db_has_moved(const struct pb_book *b)
{
    int moved = 0;
    return sqlite3_file_control(b->db, "main", SQLITE_FCNTL_HAS_MOVED, &moved) ==
               SQLITE_OK &&
           moved != 0;
}

enum pb_rc pb_db_exec(struct pb_book *b, const char *sql, struct pb_err *err)
{
    return sqlite3_exec(b->db, sql, NULL, NULL, NULL) == SQLITE_OK ? PB_OK
                                                                   : pb_db_fail(b, err);
}

enum pb_rc pb_db_prepare(struct pb_book *b, const char *sql, sqlite3_stmt **stmt,
                         struct pb_err *err)
{
    int code =
        sqlite3_prepare_v3(b->db, sql, -1, SQLITE_PREPARE_PERSISTENT, stmt, NULL);
    if (pb_additions_refused(b, code))
        code =
            sqlite3_prepare_v3(b->db, sql, -1, SQLITE_PREPARE_PERSISTENT, stmt, NULL);
    return code == SQLITE_OK ? PB_OK : pb_db_fail(b, err);
}

enum pb_rc pb_db_get(struct pb_book *b, const char *sql, sqlite3_stmt **stmt,
                     struct pb_err *err)
{
    for (size_t i = 0; i < b->kept_n; i++)
        if (b->kept[i].sql == sql) {
            *stmt = b->kept[i].stmt;
            (void)sqlite3_reset(*stmt);
            (void)sqlite3_clear_bindings(*stmt);
            return PB_OK;
        }
    if (b->kept_n == PB_STATEMENTS)
        return pb_fail(err, PB_ELIMIT, "more than %d kinds of statement",
                       PB_STATEMENTS);
    enum pb_rc rc = pb_db_prepare(b, sql, stmt, err);
    if (rc == PB_OK) {
        b->kept[b->kept_n].sql = sql;
        b->kept[b->kept_n++].stmt = *stmt;
    }
    return rc;
}

enum pb_rc pb_db_step(struct pb_book *b, sqlite3_stmt *stmt, bool *row,
                      struct pb_err *err)
{
    if (unbound) {
        unbound = false;
        return pb_fail_memory(err);
    }
    int code = sqlite3_step(stmt);
    if (pb_additions_refused(b, code)) {
        (void)sqlite3_reset(stmt);
        code = sqlite3_step(stmt);
    }
    if (code == SQLITE_ROW || code == SQLITE_DONE) {
        *row = code == SQLITE_ROW;
        if (!*row)
            (void)sqlite3_reset(stmt);
        return pb_additions_note(b, err);
    }
    enum pb_rc rc = pb_db_fail(b, err);
    (void)sqlite3_reset(stmt);
    b->additions.added = 0;
    return rc;
}

bool pb_db_next(struct pb_book *b, sqlite3_stmt *stmt, enum pb_rc *rc,
                struct pb_err *err)
{
    bool row = false;
    if (*rc == PB_OK)
        *rc = pb_db_step(b, stmt, &row, err);
    return *rc == PB_OK && row;
}

enum pb_rc pb_db_number(struct pb_book *b, sqlite3_stmt *stmt, int64_t *n,
                        struct pb_err *err)
{
    bool row = false;
    enum pb_rc rc = pb_db_step(b, stmt, &row, err);
    if (rc == PB_OK && row)
        *n = sqlite3_column_int64(stmt, 0);
    (void)sqlite3_reset(stmt);
    return rc;
}

enum pb_rc pb_db_run(struct pb_book *b, sqlite3_stmt *stmt, struct pb_err *err)
{
    bool row = false;
    enum pb_rc rc = pb_db_step(b, stmt, &row, err);
    if (rc == PB_OK && row)
        (void)sqlite3_reset(stmt);
    return rc;
}

enum pb_rc pb_db_keep(struct pb_book *b, sqlite3_stmt *stmt, int64_t *n,
                      struct pb_err *err)
{
    enum pb_rc rc = pb_db_run(b, stmt, err);
    if (rc == PB_OK && *n == 0)
        *n = sqlite3_last_insert_rowid(b->db);
    return rc;
}

void pb_db_bind_text(sqlite3_stmt *stmt, int i, const char *text)
{
    if (text == NULL || text[0] == '\0')
        (void)sqlite3_bind_null(stmt, i);
    else
        note_bound(sqlite3_bind_text(stmt, i, text, -1, SQLITE_STATIC));
}

void pb_db_bind_value(sqlite3_stmt *stmt, int i, const sqlite3_value *value)
{
    note_bound(sqlite3_bind_value(stmt, i, value));
}

void pb_db_bind_day(sqlite3_stmt *stmt, int i, pb_day day)
{
    char text[PB_DAY_TEXT];
    if (day == PB_DAY_NONE)
        (void)sqlite3_bind_null(stmt, i);
    else
        note_bound(sqlite3_bind_text(stmt, i, pb_day_format(day, text), PB_DAY_TEXT - 1,
                                     SQLITE_TRANSIENT));
}

void pb_db_bind_from(sqlite3_stmt *stmt, int i, int64_t value, int64_t from)
{
    if (value < from)
        (void)sqlite3_bind_null(stmt, i);
    else
        (void)sqlite3_bind_int64(stmt, i, value);
}

void pb_db_bind_row(sqlite3_stmt *stmt, int i, int64_t row)
{
    pb_db_bind_from(stmt, i, row, 1);
}

void pb_db_bind_real(sqlite3_stmt *stmt, int i, double value)
{
    if (value <= PB_REAL_NONE)
        (void)sqlite3_bind_null(stmt, i);
    else
        (void)sqlite3_bind_double(stmt, i, value);
}

void pb_db_bind_head(sqlite3_stmt *stmt, const struct pb_head *head)
{
    pb_db_bind_text(stmt, 1, head->id);
    pb_db_bind_text(stmt, 2, head->code);
    pb_db_bind_text(stmt, 3, head->origin_code);
    (void)sqlite3_bind_int64(stmt, 4, head->revision);
    (void)sqlite3_bind_int64(stmt, 5, head->modified);
    (void)sqlite3_bind_int(stmt, 6, head->withdrawn);
    pb_db_bind_text(stmt, 7, head->extra);
}

void pb_db_read_head(sqlite3_stmt *stmt, struct pb_head *head, enum pb_rc *rc)
{
    head->n = sqlite3_column_int64(stmt, 0);
    pb_db_copy(stmt, 1, head->id, sizeof(head->id));
    pb_db_copy(stmt, 2, head->code, sizeof(head->code));
    pb_db_copy(stmt, 3, head->origin_code, sizeof(head->origin_code));
    head->revision = sqlite3_column_int64(stmt, 4);
    head->modified = sqlite3_column_int64(stmt, 5);
    head->withdrawn = sqlite3_column_int(stmt, 6) != 0;
    head->extra = pb_db_text(stmt, 7, rc);
}

pb_day pb_db_day(sqlite3_stmt *stmt, int i)
{
    const char *text = (const char *)sqlite3_column_text(stmt, i);
    pb_day day = PB_DAY_NONE;
    if (text != NULL && pb_day_parse_iso("day", text, &day, NULL) != PB_OK)
        day = PB_DAY_NONE;
    return day;
}

pb_day pb_db_day_needed(sqlite3_stmt *stmt, int i, enum pb_rc *rc)
{
    pb_day day = pb_db_day(stmt, i);
    if (day == PB_DAY_NONE && *rc == PB_OK)
        *rc = PB_EIO;
    return day;
}

enum pb_rc pb_db_read_end(enum pb_rc rc, const char *what, struct pb_err *err)
{
    if (rc == PB_OK)
        return PB_OK;
    return rc == PB_ENOMEM ? pb_fail_memory(err)
                           : pb_fail(err, PB_EIO,
                                     "the book holds a %s that no podbook wrote; "
                                     "see podbook history",
                                     what);
}

char *pb_db_text(sqlite3_stmt *stmt, int i, enum pb_rc *rc)
{
    const char *text = (const char *)sqlite3_column_text(stmt, i);
    if (text == NULL && sqlite3_column_type(stmt, i) == SQLITE_NULL)
        return NULL;
    char *copy = text != NULL ? pb_text_copy(text) : NULL;
    if (copy == NULL)
        *rc = PB_ENOMEM;
    return copy;
}

char *pb_db_text_needed(sqlite3_stmt *stmt, int i, enum pb_rc *rc)
{
    char *text = pb_db_text(stmt, i, rc);
    if (text == NULL && *rc == PB_OK && (text = pb_text_copy("")) == NULL)
        *rc = PB_ENOMEM;
    return text;
}

void pb_db_copy(sqlite3_stmt *stmt, int i, char *to, size_t size)
{
    const char *text = (const char *)sqlite3_column_text(stmt, i);
    size_t n = text != NULL ? strlen(text) : 0;
    assert(size > 0);
    if (n >= size)
        n = size - 1;
    if (n > 0)
        memcpy(to, text, n);
    to[n] = '\0';
}

int pb_db_int(sqlite3_stmt *stmt, int i, int absent)
{
    int64_t v = pb_db_int64(stmt, i, absent);
    return v < INT_MIN ? INT_MIN : v > INT_MAX ? INT_MAX : (int)v;
}

int64_t pb_db_int64(sqlite3_stmt *stmt, int i, int64_t absent)
{
    return sqlite3_column_type(stmt, i) == SQLITE_NULL ? absent
                                                       : sqlite3_column_int64(stmt, i);
}

double pb_db_real(sqlite3_stmt *stmt, int i)
{
    return sqlite3_column_type(stmt, i) == SQLITE_NULL ? PB_REAL_NONE
                                                       : sqlite3_column_double(stmt, i);
}

void pb_db_ref(sqlite3_stmt *stmt, int i, struct pb_ref *ref)
{
    ref->n = sqlite3_column_int64(stmt, i);
    pb_db_copy(stmt, i + 1, ref->id, sizeof(ref->id));
    pb_db_copy(stmt, i + 2, ref->code, sizeof(ref->code));
}

void *pb_db_grow(void **array, size_t n, size_t size)
{
    if (n == 0 || (n & (n - 1)) == 0) { /* full at each power of two */
        void *more = realloc(*array, (n == 0 ? 1 : n * 2) * size);
        if (more == NULL)
            return NULL;
        *array = more;
    }
    void *at = (char *)*array + n * size;
    memset(at, 0, size);
    return at;
}

int pb_db_word(sqlite3_stmt *stmt, int i, const char *const *names, size_t n)
{
    const char *text = (const char *)sqlite3_column_text(stmt, i);
    int found = text != NULL ? pb_name_find(names, n, text) : -1;
    return found < 0 ? 0 : found;
}

enum pb_rc pb_db_codes(struct pb_book *b, sqlite3_stmt *stmt, int column,
                       char (**codes)[PB_MAX_CODE + 1], size_t *n, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    while (pb_db_next(b, stmt, &rc, err)) {
        void *array = *codes;
        char *code = pb_db_grow(&array, *n, sizeof(**codes));
        *codes = array;
        if (code == NULL) {
            rc = pb_fail_memory(err);
            break;
        }
        pb_db_copy(stmt, column, code, sizeof(**codes));
        ++*n;
    }
    (void)sqlite3_reset(stmt);
    return rc;
}
