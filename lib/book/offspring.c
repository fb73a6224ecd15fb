/* Plants by what they came from.  See offspring.h. */
#include "book/offspring.h"

#include "base/text.h"
#include "book/db.h"

#define COLUMNS \
    "SELECT n,id,code,origin,got,gone,gone_on,elsewhere FROM plant WHERE withdrawn=0"

/* ORDER OFFSPRING.  A plant may name a cross of another book, so that one goes by its id. */
static const char *const sql[] = {
    COLUMNS " AND source=?1 AND ?2 NOT NULL ORDER BY n",
    COLUMNS " AND out_of=?1 AND ?2 NOT NULL ORDER BY n",
    COLUMNS " AND from_id=?2 AND ?1 NOT NULL ORDER BY n",
};
_Static_assert(PB_ARRAY_LEN(sql) == PB_OFFSPRING_N, "ORDER OFFSPRING");

enum pb_rc pb_offspring_of(struct pb_book *b, enum pb_offspring_of of,
                           const struct pb_ref *record, pb_offspring_each *each,
                           void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(b, sql[of], &s, err);
    if (rc == PB_OK) {
        (void)sqlite3_bind_int64(s, 1, record->n);
        pb_db_bind_text(s, 2, record->id);
    }
    while (pb_db_next(b, s, &rc, err)) {
        struct pb_offspring o = {
            .origin = (enum pb_origin)pb_db_word(s, 3, pb_origin_names, PB_ORIGIN_N),
            .got = pb_db_day(s, 4),
            .gone = (enum pb_gone)pb_db_word(s, 5, pb_gone_names, PB_GONE_N),
            .gone_on = pb_db_day(s, 6),
            .elsewhere = pb_db_int(s, 7, 0) != 0,
        };
        pb_db_ref(s, 0, &o.plant);
        rc = each(ctx, &o, err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}
