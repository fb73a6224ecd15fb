/* Is the file whole?  See intact.h. */
#include "book/intact.h"

#include "book/db.h"

#include <stdlib.h>
#include <string.h>

const char pb_intact_remedy[] =
    "keep a copy of the file as it is, and go back to a backup";

/* A walk over the faults of a file. */
struct run {
    struct pb_book *b;
    pb_fault_each *each;
    void *ctx;
    bool damaged;
};

static enum pb_rc tell(struct run *run, const char *what, struct pb_err *err)
{
    const struct pb_fault f = {PB_CHECK_FILE, NULL, what, pb_intact_remedy};
    return run->each(run->ctx, &f, err);
}

/* A value that its column may not hold: the file can be read all the same. */
static bool is_of_value(const char *line)
{
    return strncmp(line, "CHECK constraint", 16) == 0 ||
           strstr(line, " value in ") != NULL;
}

enum { UNCLEAR = -1 }; /* no code of SQLite's */

/*
 * A page that SQLite could not get says nothing of the file, where memory or the disk failed.
 * Returns its code for that; SQLITE_OK: the line is of the file; UNCLEAR: it does not
 * say which of the two.
 * Source of the words: SQLite 3.40, btree.c, checkTreePage ("error code=7", "error code 266")
 * and checkList, which names no code.
 */
static int code_of_machine(const char *line)
{
    static const char words[] = "error code";
    const char *at = strstr(line, words);
    long code = at != NULL ? strtol(at + sizeof(words), NULL, 10) & 0xff : SQLITE_OK;
    if (code == SQLITE_NOMEM || code == SQLITE_IOERR)
        return (int)code;
    return strstr(line, "failed to get page") != NULL ? UNCLEAR : SQLITE_OK;
}

static enum pb_rc fail_of_machine(const struct run *run, int code, struct pb_err *err)
{
    if (code == SQLITE_NOMEM)
        return pb_fail_memory(err);
    return pb_fail_at(
        err, PB_EIO, run->b->path, 0,
        "a page of it could not be read; is the disk failing, or is there "
        "no memory left?");
}

/*
 * What SQLite says of the file, a line each; "ok" where nothing is wrong with it.
 *   lines  in: so many were told already; out: of which that is true now
 *   code   out: UNCLEAR where a page could not be had and it does not say why
 */
static enum pb_rc check_lines(struct run *run, size_t *lines, int *code,
                              struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    size_t n = 0;
    enum pb_rc rc = PB_OK;
    *code = sqlite3_prepare_v2(run->b->db, "PRAGMA integrity_check", -1, &s, NULL);
    while (rc == PB_OK && *code == SQLITE_OK &&
           (*code = sqlite3_step(s)) == SQLITE_ROW) {
        const char *line = (const char *)sqlite3_column_text(s, 0);
        *code = line != NULL ? SQLITE_OK : SQLITE_NOMEM;
        if (line == NULL || strcmp(line, "ok") == 0)
            continue;
        *code = code_of_machine(line);
        if (*code == SQLITE_OK && n++ >= *lines) {
            run->damaged = run->damaged || !is_of_value(line);
            rc = tell(run, line, err);
        }
    }
    *lines = n > *lines ? n : *lines;
    if (rc == PB_OK && (*code & 0xff) == SQLITE_CORRUPT) {
        run->damaged = true;
        rc = tell(run, sqlite3_errmsg(run->b->db), err);
    } else if (rc == PB_OK && (*code == SQLITE_NOMEM || *code == SQLITE_IOERR)) {
        rc = fail_of_machine(run, *code, err);
    } else if (rc == PB_OK && *code != SQLITE_DONE && *code != UNCLEAR) {
        rc = pb_db_fail(run->b, err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

/* A page that could not be had is asked for once more: what was the matter for a moment
 * only, most of all memory, is no matter then, and what stays may say what it is. */
enum pb_rc pb_intact_file(struct pb_book *b, pb_fault_each *each, void *ctx,
                          bool *damaged, struct pb_err *err)
{
    struct run run = {b, each, ctx, false};
    size_t lines = 0;
    int code = SQLITE_OK;
    enum pb_rc rc = check_lines(&run, &lines, &code, err);
    if (rc == PB_OK && code == UNCLEAR)
        rc = check_lines(&run, &lines, &code, err);
    if (rc == PB_OK && code == UNCLEAR)
        rc = fail_of_machine(&run, code, err);
    *damaged = run.damaged;
    return rc;
}

enum pb_rc pb_intact_ask(struct pb_book *b, const struct pb_question *q,
                         pb_fault_each *each, void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(b, q->sql, &s, err);
    while (pb_db_next(b, s, &rc, err)) {
        const struct pb_fault f = {q->check, (const char *)sqlite3_column_text(s, 0),
                                   (const char *)sqlite3_column_text(s, 1), q->remedy};
        rc = f.what != NULL ? each(ctx, &f, err) : pb_fail_memory(err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

enum pb_rc pb_intact_links(struct pb_book *b, pb_fault_each *each, void *ctx,
                           struct pb_err *err)
{
    static const struct pb_question links = {
        PB_CHECK_LINK,
        "SELECT NULL,printf('row %s of %s refers to a row of %s that is not there',"
        "rowid,\"table\",parent) FROM pragma_foreign_key_check",
        pb_intact_remedy};
    return pb_intact_ask(b, &links, each, ctx, err);
}

static enum pb_rc count_fault(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    int *n = ctx;
    (void)f;
    (void)err;
    ++*n;
    return PB_OK;
}

enum pb_rc pb_intact(struct pb_book *b, bool *is, struct pb_err *err)
{
    int faults = 0;
    bool damaged = false;
    enum pb_rc rc = pb_intact_file(b, count_fault, &faults, &damaged, err);
    if (rc == PB_OK && !damaged)
        rc = pb_intact_links(b, count_fault, &faults, err);
    *is = faults == 0;
    return rc;
}
