/* Plants that a record names.  See named.h. */
#include "book/named.h"

#include "book/db.h"

enum pb_rc pb_plant_named(struct pb_book *b, const char *id, struct pb_named *named,
                          struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        pb_db_get(b,
                  "SELECT n,elsewhere,source IS NOT NULL OR from_id IS NOT NULL"
                  " OR out_of IS NOT NULL,got FROM plant WHERE id=?",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, id);
    rc = pb_db_step(b, s, &row, err);
    *named = (struct pb_named){.n = 0, .got = PB_DAY_NONE};
    if (rc == PB_OK && row) {
        named->n = sqlite3_column_int64(s, 0);
        named->only = sqlite3_column_int(s, 1) == PB_NAMED_ONLY;
        named->derived = sqlite3_column_int(s, 2) != 0;
        if (sqlite3_column_int(s, 1) == 0)
            named->got = pb_db_day(s, 3);
    }
    (void)sqlite3_reset(s);
    return rc;
}
