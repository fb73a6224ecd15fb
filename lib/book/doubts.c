/* Doubtful parents in the book.  See doubts.h.  UNION drops what was reached before, so
 * that a ring ends. */
#include "book/doubts.h"

#include "book/db.h"

#include <stdlib.h>

/* A node is a plant (k 0) or a cross (k 1). */
static const char sql_above[] =
    "WITH RECURSIVE up(k,n) AS (SELECT ?1,?2 WHERE ?3=0"
    " UNION SELECT 0,plant FROM batch WHERE n=?3 AND plant IS NOT NULL"
    " UNION SELECT 1,crossing FROM batch WHERE n=?3 AND crossing IS NOT NULL"
    " UNION SELECT 0,p.source FROM up JOIN plant p ON up.k=0 AND p.n=up.n"
    " WHERE p.source IS NOT NULL"
    " UNION SELECT 0,p.seed_parent FROM up JOIN plant p ON up.k=0 AND p.n=up.n"
    " WHERE p.seed_parent IS NOT NULL"
    " UNION SELECT 0,p.pollen_parent FROM up JOIN plant p ON up.k=0 AND p.n=up.n"
    " WHERE p.pollen_parent IS NOT NULL"
    " UNION SELECT 1,x.n FROM up JOIN plant p ON up.k=0 AND p.n=up.n"
    " JOIN crossing x ON x.id=p.from_id"
    " UNION SELECT 0,x.seed_parent FROM up JOIN crossing x ON up.k=1 AND x.n=up.n"
    " UNION SELECT 0,q.plant FROM up JOIN pollen_parent q ON up.k=1 AND"
    " q.crossing=up.n)"
    " SELECT up.k=?1 AND up.n=?2,up.k,up.n,p.code,p.doubtful FROM up"
    " JOIN plant p ON up.k=0 AND p.n=up.n WHERE p.doubtful IS NOT NULL"
    " UNION ALL SELECT up.k=?1 AND up.n=?2,up.k,up.n,x.code,x.doubtful FROM up"
    " JOIN crossing x ON up.k=1 AND x.n=up.n WHERE x.doubtful IS NOT NULL"
    " ORDER BY 1 DESC,2,3";

static const char sql_below[] =
    "WITH RECURSIVE down(n) AS (SELECT n FROM plant WHERE doubtful IS NOT NULL"
    " UNION SELECT p.n FROM crossing x JOIN plant p ON p.from_id=x.id"
    " WHERE x.doubtful IS NOT NULL"
    " UNION SELECT p.n FROM down JOIN plant p ON p.source=down.n"
    " UNION SELECT p.n FROM down JOIN plant p ON p.seed_parent=down.n"
    " UNION SELECT p.n FROM down JOIN plant p ON p.pollen_parent=down.n"
    " UNION SELECT p.n FROM down JOIN crossing x ON x.seed_parent=down.n"
    " JOIN plant p ON p.from_id=x.id"
    " UNION SELECT p.n FROM down JOIN pollen_parent q ON q.plant=down.n"
    " JOIN crossing x ON x.n=q.crossing JOIN plant p ON p.from_id=x.id)"
    " SELECT n FROM down ORDER BY n";

/* In most books nobody is marked: there nobody's family is walked. */
static enum pb_rc is_any_marked(struct pb_book *b, bool *is_any, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT 1 WHERE EXISTS(SELECT 1 FROM plant WHERE doubtful IS NOT NULL)"
        " OR EXISTS(SELECT 1 FROM crossing WHERE doubtful IS NOT NULL)",
        &s, err);
    if (rc == PB_OK)
        rc = pb_db_step(b, s, is_any, err);
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_doubts_load(struct pb_book *b, enum pb_kind kind, int64_t row,
                          struct pb_doubts *doubts, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool is_batch = kind != PB_PLANT && kind != PB_CROSS, is_any = false;
    enum pb_rc rc = is_any_marked(b, &is_any, err);
    if (rc != PB_OK || !is_any)
        return rc;
    rc = pb_db_get(b, sql_above, &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int(s, 1, kind == PB_CROSS);
    (void)sqlite3_bind_int64(s, 2, is_batch ? 0 : row);
    (void)sqlite3_bind_int64(s, 3, is_batch ? row : 0);
    while (pb_db_next(b, s, &rc, err)) {
        void *array = doubts->v;
        struct pb_doubt *d = pb_db_grow(&array, doubts->n, sizeof(*d));
        doubts->v = array;
        if (d == NULL) {
            rc = pb_fail_memory(err);
            break;
        }
        doubts->n++;
        d->own = sqlite3_column_int(s, 0) != 0;
        pb_db_copy(s, 3, d->code, sizeof(d->code));
        d->why = pb_db_text(s, 4, &rc);
        if (rc != PB_OK)
            (void)pb_fail_memory(err);
    }
    (void)sqlite3_reset(s);
    if (rc != PB_OK)
        pb_doubts_clear(doubts);
    return rc;
}

enum pb_rc pb_doubted_plants(struct pb_book *b, int64_t **rows, size_t *n,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    void *array = NULL;
    size_t count = 0;
    bool is_any = false;
    enum pb_rc rc = is_any_marked(b, &is_any, err);
    if (rc != PB_OK || !is_any)
        return rc;
    rc = pb_db_get(b, sql_below, &s, err);
    if (rc != PB_OK)
        return rc;
    while (pb_db_next(b, s, &rc, err)) {
        int64_t *row = pb_db_grow(&array, count, sizeof(*row));
        if (row == NULL) {
            rc = pb_fail_memory(err);
            break;
        }
        count++;
        *row = sqlite3_column_int64(s, 0);
    }
    (void)sqlite3_reset(s);
    if (rc != PB_OK) {
        free(array);
        return rc;
    }
    *rows = array;
    *n = count;
    return PB_OK;
}
