/* Who descends from whom.  See descent.h.  UNION drops what was reached before, so that a
 * ring ends. */
#include "book/descent.h"

#include "book/db.h"

#define SELF(where)                                                              \
    "WITH RECURSIVE up(n,start) AS (SELECT n,1 FROM plant WHERE " where          \
    " UNION SELECT p.source,0 FROM up JOIN plant p ON p.n=up.n"                  \
    " WHERE p.source IS NOT NULL"                                                \
    " UNION SELECT p.seed_parent,0 FROM up JOIN plant p ON p.n=up.n"             \
    " WHERE p.seed_parent IS NOT NULL"                                           \
    " UNION SELECT p.pollen_parent,0 FROM up JOIN plant p ON p.n=up.n"           \
    " WHERE p.pollen_parent IS NOT NULL"                                         \
    " UNION SELECT x.seed_parent,0 FROM up JOIN plant p ON p.n=up.n"             \
    " JOIN crossing x ON x.id=p.from_id"                                         \
    " UNION SELECT q.plant,0 FROM up JOIN plant p ON p.n=up.n"                   \
    " JOIN crossing x ON x.id=p.from_id JOIN pollen_parent q ON q.crossing=x.n)" \
    " SELECT EXISTS(SELECT 1 FROM up a JOIN up b ON b.n=a.n"                     \
    " WHERE a.start=1 AND b.start=0)"

enum pb_rc pb_descends_from_itself(struct pb_book *b, enum pb_kind kind, int64_t row,
                                   bool *does, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool found = false;
    enum pb_rc rc = pb_db_get(b,
                              kind == PB_CROSS
                                  ? SELF("from_id=(SELECT id FROM crossing WHERE n=?1)")
                                  : SELF("n=?1"),
                              &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, row);
    rc = pb_db_step(b, s, &found, err);
    if (rc == PB_OK)
        *does = found && sqlite3_column_int(s, 0) != 0;
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_clone_below(struct pb_book *b, int64_t plant,
                          char (**codes)[PB_MAX_CODE + 1], size_t *n,
                          struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b,
                  "WITH RECURSIVE down(n) AS (SELECT n FROM plant WHERE source=?1"
                  " UNION SELECT p.n FROM down JOIN plant p ON p.source=down.n)"
                  " SELECT p.code FROM down JOIN plant p ON p.n=down.n ORDER BY p.n",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    return pb_db_codes(b, s, 0, codes, n, err);
}
