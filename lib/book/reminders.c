/* What calendars were last told.  See reminders.h. */
#include "book/reminders.h"

#include "book/db.h"

#define COLUMNS "uid,code,hash,sequence,created,stamp,withdrawn_on"

static void read_row(sqlite3_stmt *s, struct pb_kept *k)
{
    pb_db_copy(s, 0, k->uid, sizeof(k->uid));
    pb_db_copy(s, 1, k->code, sizeof(k->code));
    pb_db_copy(s, 2, k->hash, sizeof(k->hash));
    k->sequence = sqlite3_column_int(s, 3);
    k->created = sqlite3_column_int64(s, 4);
    k->stamp = sqlite3_column_int64(s, 5);
    k->withdrawn_on = pb_db_day(s, 6);
    k->content = NULL;
}

enum pb_rc pb_reminder_find(struct pb_book *b, const char *uid, struct pb_kept *kept,
                            bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        pb_db_get(b, "SELECT " COLUMNS " FROM reminder WHERE uid=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, uid);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        read_row(s, kept);
    if (rc == PB_OK)
        *found = row;
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_reminders_each(struct pb_book *b, const char *code, pb_kept_each *each,
                             void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        code == NULL
            ? pb_db_get(b, "SELECT " COLUMNS ",content FROM reminder ORDER BY uid", &s,
                        err)
            : pb_db_get(b,
                        "SELECT " COLUMNS ",content FROM reminder WHERE code=?"
                        " ORDER BY uid",
                        &s, err);
    if (rc != PB_OK)
        return rc;
    if (code != NULL)
        pb_db_bind_text(s, 1, code);
    while ((rc = pb_db_step(b, s, &row, err)) == PB_OK && row) {
        struct pb_kept k;
        read_row(s, &k);
        k.content = (const char *)sqlite3_column_text(s, 7);
        rc = k.content != NULL ? each(ctx, &k, err) : pb_fail_memory(err);
        if (rc != PB_OK)
            break;
    }
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_reminder_keep(struct pb_book *b, const struct pb_kept *k,
                            struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b, "REPLACE INTO reminder(" COLUMNS ",content) VALUES(?,?,?,?,?,?,?,?)", &s,
        err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, k->uid);
    pb_db_bind_text(s, 2, k->code);
    pb_db_bind_text(s, 3, k->hash);
    (void)sqlite3_bind_int(s, 4, k->sequence);
    (void)sqlite3_bind_int64(s, 5, k->created);
    (void)sqlite3_bind_int64(s, 6, k->stamp);
    pb_db_bind_day(s, 7, k->withdrawn_on);
    pb_db_bind_text(s, 8, k->content);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_reminder_forget(struct pb_book *b, const char *uid, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, "DELETE FROM reminder WHERE uid=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, uid);
    return pb_db_run(b, s, err);
}
