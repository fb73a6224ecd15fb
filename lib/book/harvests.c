/* Harvests in the book.  See crosses.h. */
#include "book/crosses.h"

#include "book/db.h"

enum pb_rc pb_harvest_keep(struct pb_book *b, int64_t crossing, struct pb_harvest *h,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        h->n == 0
            ? pb_db_get(b,
                        "INSERT INTO harvest(crossing,number,day,count,state,held_cold,"
                        "lot) VALUES(?,?,?,?,?,?,(SELECT n FROM batch WHERE code=?))",
                        &s, err)
            : pb_db_get(b,
                        "UPDATE harvest SET crossing=?,number=?,day=?,count=?,state=?,"
                        "held_cold=?,lot=(SELECT n FROM batch WHERE code=?)"
                        " WHERE n=?",
                        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, crossing);
    (void)sqlite3_bind_int(s, 2, h->number);
    pb_db_bind_day(s, 3, h->on);
    (void)sqlite3_bind_int(s, 4, h->count);
    pb_db_bind_text(s, 5, pb_as_names[h->as]);
    (void)sqlite3_bind_int(s, 6, h->held_cold);
    pb_db_bind_text(s, 7, h->lot);
    if (h->n != 0)
        (void)sqlite3_bind_int64(s, 8, h->n);
    return pb_db_keep(b, s, &h->n, err);
}

enum pb_rc pb_harvest_withdraw(struct pb_book *b, int64_t harvest, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, "UPDATE harvest SET withdrawn=1 WHERE n=?", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, harvest);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_harvest_next(struct pb_book *b, int64_t crossing, int *number,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    int64_t next = 0;
    enum pb_rc rc = pb_db_get(
        b, "SELECT ifnull(max(number),0)+1 FROM harvest WHERE crossing=?", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, crossing);
    rc = pb_db_number(b, s, &next, err);
    if (rc == PB_OK)
        *number = (int)next;
    return rc;
}
