/* The thin layer between the book's files and SQLite.  Internal to lib/book, the only
 * folder that includes sqlite3.h. */
#ifndef PB_BOOK_DB_H
#define PB_BOOK_DB_H

#include "base/err.h"
#include "book/additions.h"
#include "book/book.h"
#include "core/civil.h"
#include "core/record.h"

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/stat.h>

/* Names that SQLite gives to files beside a book; the last holds nothing. */
enum { PB_BESIDE_N = 3 };
extern const char *const pb_db_beside[PB_BESIDE_N];
/* What is said of a file that is none. */
extern const char pb_db_no_book[];

enum {
    PB_STATEMENTS = 96, /* prepared statements kept per book */
    PB_BUSY_MS = 5000   /* that a writer waits for another */
};

/* How a file is opened.  A handle is of one thread, so SQLite need not lock it at each step
 * and column. */
enum {
    PB_DB_READ = SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX,
    PB_DB_WRITE = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX
};

struct pb_book {
    sqlite3 *db;
    char *path; /* NULL: in memory, stands for a book that does not exist */
    char *
        before; /* where it lies as it was before it was brought to today's form; NULL */
    char *beside;    /* where the first act of a new book is written (first.h); NULL */
    bool only_reads; /* it was asked for to be read */
    bool writable;
    bool fresh; /* the file was empty when it was opened for writing */
    bool in_act;
    bool has_kept;    /* an act was kept since it was opened */
    bool checked;     /* nothing was planted in it (planted.c) */
    bool held;        /* one state is being read (pb_book_hold) */
    bool reading;     /* opened for reading, in a place that could be written */
    bool takes_in;    /* the running act receives records (revisions.h) */
    bool absent;      /* there is no such file: an empty book in memory stands for it */
    bool unlocked;    /* read as the file stands, with no lock that keeps others out */
    struct stat seen; /* what it was then */
    const char *place;   /* word for a disk where WAL is not safe (place.h); NULL */
    int64_t act;         /* number of the running act; 0: caches are written */
    uint32_t taken_back; /* how often what was written was rolled back */
    struct {
        const char *sql; /* the literal's address is the key */
        sqlite3_stmt *stmt;
    } kept[PB_STATEMENTS];
    size_t kept_n;
    struct pb_additions additions;
};

/* Turn SQLite's last error into ours, in a grower's words. */
enum pb_rc pb_db_fail(struct pb_book *b, struct pb_err *err);

/* Open a file in which nobody writes, or should: read as it stands, nothing is made beside
 * it. */
enum pb_rc pb_db_open_immutable(struct pb_book *b, const char *path,
                                struct pb_err *err);

/* Before the first write: triggers and views are those that podbook makes.  PB_EIO */
enum pb_rc pb_db_check_planted(struct pb_book *b, struct pb_err *err);
/* Inside the first transaction: make the tables, if no other process was faster. */
enum pb_rc pb_db_make_schema(struct pb_book *b, struct pb_err *err);
/* Release the statements and the connection. */
void pb_db_close(struct pb_book *b);
/* What another writer left beside a path would be taken for a part of the file that is put
 * there.  PB_ECONFLICT  something lies there: it is named */
enum pb_rc pb_db_check_beside(const char *path, struct pb_err *err);
/* Remove what SQLite may have left beside a file that is ours alone and closed. */
void pb_db_tidy(const char *path);
/* Does the path name another file than the one that is open, or none? */
bool pb_db_has_moved(const struct pb_book *b);

/* An empty book of today's form, in memory. */
enum pb_rc pb_book_open_empty(struct pb_book **out, struct pb_err *err);

/* Make the functions known that the schema calls (row.c). */
enum pb_rc pb_db_add_functions(struct pb_book *b, struct pb_err *err);

/* Run SQL text of one or more statements without results. */
enum pb_rc pb_db_exec(struct pb_book *b, const char *sql, struct pb_err *err);

/*
 * A statement ready to be bound: prepared once per book and literal, reset here.
 *   sql  a string literal (kept by address)
 * A statement must not be asked for again while its rows are being read.
 */
enum pb_rc pb_db_get(struct pb_book *b, const char *sql, sqlite3_stmt **stmt,
                     struct pb_err *err);

/* The same for SQL that was put together; the caller finalizes. */
enum pb_rc pb_db_prepare(struct pb_book *b, const char *sql, sqlite3_stmt **stmt,
                         struct pb_err *err);

/* Step: *row tells whether there is one. */
enum pb_rc pb_db_step(struct pb_book *b, sqlite3_stmt *stmt, bool *row,
                      struct pb_err *err);
/* For loops over all rows: steps while *rc is PB_OK; false at the end, and on an error,
 * which is then in *rc. */
bool pb_db_next(struct pb_book *b, sqlite3_stmt *stmt, enum pb_rc *rc,
                struct pb_err *err);
/* Run a query of one number, and reset it; n is left alone where it gives no row. */
enum pb_rc pb_db_number(struct pb_book *b, sqlite3_stmt *stmt, int64_t *n,
                        struct pb_err *err);
/* Run an INSERT where n is 0, which becomes the row's number, else the UPDATE of row n.
 * (RETURNING would set up a temporary table for each row.) */
enum pb_rc pb_db_keep(struct pb_book *b, sqlite3_stmt *stmt, int64_t *n,
                      struct pb_err *err);
/* Run a statement that gives no rows. */
enum pb_rc pb_db_run(struct pb_book *b, sqlite3_stmt *stmt, struct pb_err *err);

/* Text is borrowed until the statement is reset; NULL, an empty text and PB_DAY_NONE
 * bind NULL, and so does a number below `from`.  Where there is no memory for it the next
 * step of this thread is PB_ENOMEM. */
void pb_db_bind_text(sqlite3_stmt *stmt, int i, const char *text);
void pb_db_bind_value(sqlite3_stmt *stmt, int i, const sqlite3_value *value);
void pb_db_bind_day(sqlite3_stmt *stmt, int i, pb_day day);
void pb_db_bind_from(sqlite3_stmt *stmt, int i, int64_t value, int64_t from);
/* A row that is referred to; 0 binds NULL. */
void pb_db_bind_row(sqlite3_stmt *stmt, int i, int64_t row);
/* A real number; PB_REAL_NONE is NULL. */
void pb_db_bind_real(sqlite3_stmt *stmt, int i, double value);

/* A record's head: id, code, origin_code, revision, modified, withdrawn and extra as
 * parameters 1 to 7; as columns 1 to 7, the row's number in front of them as column 0.
 * *rc becomes PB_ENOMEM when a copy fails. */
void pb_db_bind_head(sqlite3_stmt *stmt, const struct pb_head *head);
void pb_db_read_head(sqlite3_stmt *stmt, struct pb_head *head, enum pb_rc *rc);

pb_day pb_db_day(sqlite3_stmt *stmt, int i);
/* The same of a day that is never absent; *rc becomes PB_EIO where a damaged book lacks it. */
pb_day pb_db_day_needed(sqlite3_stmt *stmt, int i, enum pb_rc *rc);
/* Tell what reading a row came to: PB_OK, PB_ENOMEM, or PB_EIO, no podbook wrote it.
 *   what  "cross", "look": what the row is */
enum pb_rc pb_db_read_end(enum pb_rc rc, const char *what, struct pb_err *err);
/* A copy that is yours, NULL for NULL; *rc becomes PB_ENOMEM when it fails. */
char *pb_db_text(sqlite3_stmt *stmt, int i, enum pb_rc *rc);
/* The same of a text that is never absent; where a damaged book lacks it, the empty text. */
char *pb_db_text_needed(sqlite3_stmt *stmt, int i, enum pb_rc *rc);
/* Copy into a fixed array of size bytes; NULL gives the empty text. */
void pb_db_copy(sqlite3_stmt *stmt, int i, char *to, size_t size);
/* Index of the column's word among n names; 0 for NULL (and for what no book of ours
 * can hold). */
int pb_db_word(sqlite3_stmt *stmt, int i, const char *const *names, size_t n);
/* The nearest that an int can be. */
int pb_db_int(sqlite3_stmt *stmt, int i, int absent);
int64_t pb_db_int64(sqlite3_stmt *stmt, int i, int64_t absent);
double pb_db_real(sqlite3_stmt *stmt, int i); /* PB_REAL_NONE for NULL */
/* Row number, id and code in three columns from i on. */
void pb_db_ref(sqlite3_stmt *stmt, int i, struct pb_ref *ref);
/* Grow an array by one zeroed element and give it; NULL when out of memory. */
void *pb_db_grow(void **array, size_t n, size_t size);

/* The codes in a column of all rows to come, in their order; resets the statement.
 *   codes  in: NULL, n 0; out: yours (free), on an error too */
enum pb_rc pb_db_codes(struct pb_book *b, sqlite3_stmt *stmt, int column,
                       char (**codes)[PB_MAX_CODE + 1], size_t *n, struct pb_err *err);

#endif
