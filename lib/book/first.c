/* The first act of a new book.  See first.h. */
#include "book/first.h"

#include "book/beside.h"
#include "book/connect.h"

#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static enum pb_rc open_at(struct pb_book *b, const char *path, struct pb_err *err)
{
    return sqlite3_open_v2(path, &b->db, PB_DB_WRITE, NULL) == SQLITE_OK
               ? pb_connect_set_up(b, err)
               : pb_db_fail(b, err);
}

enum pb_rc pb_first_open(struct pb_book *b, bool *made, struct pb_err *err)
{
    struct stat st;
    struct pb_err why = {0};
    enum pb_rc rc = pb_db_check_beside(b->path, &why);
    *made = rc == PB_ECONFLICT && stat(b->path, &st) == 0;
    if (*made)
        return PB_OK; /* what lies there is the journal of a book */
    if (rc != PB_OK)
        return pb_fail_at(err, rc, why.where, why.line, "%s", why.text);
    rc = pb_beside_make(b->path, &b->beside, err);
    if (rc == PB_OK)
        rc = open_at(b, b->beside, err);
    b->fresh = true;
    b->writable = rc == PB_OK;
    return rc;
}

enum pb_rc pb_first_place(struct pb_book *b, struct pb_err *err)
{
    struct stat st;
    enum pb_rc rc = PB_OK;
    if (b->beside == NULL)
        return PB_OK;
    pb_db_close(b);
    if (pb_beside_take(b->beside, b->path))
        pb_beside_settle(b->path);
    else if (stat(b->path, &st) == 0)
        rc = pb_fail_at(err, PB_ECONFLICT, b->path, 0,
                        "another podbook made the book meanwhile; nothing was written, "
                        "say it again");
    else
        rc = pb_fail_at(err, PB_EIO, b->path, 0,
                        "the new book cannot be given its name, nothing was written");
    pb_first_drop(b);
    enum pb_rc opened = open_at(b, b->path, rc == PB_OK ? err : NULL);
    return rc == PB_OK ? opened : rc;
}

void pb_first_drop(struct pb_book *b)
{
    if (b->beside != NULL) {
        (void)unlink(b->beside);
        pb_db_tidy(b->beside);
    }
    free(b->beside);
    b->beside = NULL;
}
