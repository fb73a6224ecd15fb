/* What calendars were last told.  See reminders.h. */
#include "book/reminders.h"

#include "base/text.h"
#include "book/db.h"

#include <string.h>

#define HEAD "uid,code,hash,sequence,created,stamp,withdrawn_on,done_on"
#define SAID \
    "summary,description,category,first,last,status,guess,alarm_first,alarm_last"
enum { OF_HEAD = 8 }; /* columns */

static void read_head(sqlite3_stmt *s, struct pb_kept *k)
{
    memset(k, 0, sizeof(*k));
    pb_db_copy(s, 0, k->said.uid, sizeof(k->said.uid));
    pb_db_copy(s, 1, k->code, sizeof(k->code));
    pb_db_copy(s, 2, k->hash, sizeof(k->hash));
    k->said.sequence = sqlite3_column_int(s, 3);
    k->said.created = sqlite3_column_int64(s, 4);
    k->said.stamp = sqlite3_column_int64(s, 5);
    k->withdrawn_on = pb_db_day(s, 6);
    k->said.done_on = pb_db_day(s, 7);
}

/* A text of the row, borrowed from the statement; NULL for NULL. */
static const char *text(sqlite3_stmt *s, int i, enum pb_rc *rc)
{
    const char *text = (const char *)sqlite3_column_text(s, i);
    if (text == NULL && sqlite3_column_type(s, i) != SQLITE_NULL)
        *rc = PB_ENOMEM;
    return text;
}

static enum pb_rc read_said(sqlite3_stmt *s, struct pb_reminder *r, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    int i = OF_HEAD;
    r->summary = text(s, i++, &rc);
    r->description = text(s, i++, &rc);
    r->category = text(s, i++, &rc);
    r->span.first = pb_db_day(s, i++);
    r->span.last = pb_db_day(s, i++);
    r->status = (enum pb_reminder_status)pb_db_word(s, i++, pb_reminder_statuses,
                                                    PB_REMINDER_STATUS_N);
    r->guess = sqlite3_column_int(s, i++) != 0;
    r->alarm_first = sqlite3_column_int(s, i++) != 0;
    r->alarm_last = sqlite3_column_int(s, i++) != 0;
    return rc == PB_OK ? rc : pb_fail_memory(err);
}

/* Let the texts of r be hold's own. */
static enum pb_rc hold_texts(struct pb_reminder *r, struct pb_buf *hold,
                             struct pb_err *err)
{
    const char **const texts[] = {&r->summary, &r->description, &r->category};
    size_t at[PB_ARRAY_LEN(texts)];
    pb_buf_reset(hold);
    for (size_t i = 0; i < PB_ARRAY_LEN(texts); i++) {
        at[i] = hold->len;
        if (*texts[i] != NULL)
            pb_buf_add(hold, *texts[i], strlen(*texts[i]) + 1);
    }
    enum pb_rc rc = pb_buf_status(hold, err);
    for (size_t i = 0; rc == PB_OK && i < PB_ARRAY_LEN(texts); i++)
        if (*texts[i] != NULL)
            *texts[i] = hold->data + at[i];
    return rc;
}

enum pb_rc pb_reminder_find(struct pb_book *b, const char *uid, struct pb_kept *kept,
                            struct pb_buf *hold, bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        hold == NULL
            ? pb_db_get(b, "SELECT " HEAD " FROM reminder WHERE uid=?", &s, err)
            : pb_db_get(b, "SELECT " HEAD "," SAID " FROM reminder WHERE uid=?", &s,
                        err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, uid);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        read_head(s, kept);
    if (rc == PB_OK && row && hold != NULL)
        rc = read_said(s, &kept->said, err);
    if (rc == PB_OK && row && hold != NULL)
        rc = hold_texts(&kept->said, hold, err);
    if (rc == PB_OK)
        *found = row;
    (void)sqlite3_reset(s);
    return rc;
}

/* The statement that reads the rows of one code or all. */
static enum pb_rc rows_of(struct pb_book *b, const char *code, enum pb_kept_part part,
                          sqlite3_stmt **s, struct pb_err *err)
{
    if (code == NULL && part == PB_KEPT_HEAD)
        return pb_db_get(b, "SELECT " HEAD " FROM reminder ORDER BY uid", s, err);
    if (code == NULL)
        return pb_db_get(b, "SELECT " HEAD "," SAID " FROM reminder ORDER BY uid", s,
                         err);
    enum pb_rc rc =
        part == PB_KEPT_HEAD
            ? pb_db_get(b, "SELECT " HEAD " FROM reminder WHERE code=? ORDER BY uid", s,
                        err)
            : pb_db_get(b,
                        "SELECT " HEAD "," SAID " FROM reminder WHERE code=?"
                        " ORDER BY uid",
                        s, err);
    if (rc == PB_OK)
        pb_db_bind_text(*s, 1, code);
    return rc;
}

enum pb_rc pb_reminders_each(struct pb_book *b, const char *code,
                             enum pb_kept_part part, pb_kept_each *each, void *ctx,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = rows_of(b, code, part, &s, err);
    if (rc != PB_OK)
        return rc;
    while ((rc = pb_db_step(b, s, &row, err)) == PB_OK && row) {
        struct pb_kept k;
        read_head(s, &k);
        if (part == PB_KEPT_WHOLE)
            rc = read_said(s, &k.said, err);
        if (rc == PB_OK)
            rc = each(ctx, &k, err);
        if (rc != PB_OK)
            break;
    }
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_reminder_keep(struct pb_book *b, const struct pb_kept *k,
                            struct pb_err *err)
{
    const struct pb_reminder *r = &k->said;
    sqlite3_stmt *s = NULL;
    int i = 1;
    enum pb_rc rc = pb_db_get(b,
                              "REPLACE INTO reminder(" HEAD "," SAID ")"
                              " VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, i++, r->uid);
    pb_db_bind_text(s, i++, k->code);
    pb_db_bind_text(s, i++, k->hash);
    (void)sqlite3_bind_int(s, i++, r->sequence);
    (void)sqlite3_bind_int64(s, i++, r->created);
    (void)sqlite3_bind_int64(s, i++, r->stamp);
    pb_db_bind_day(s, i++, k->withdrawn_on);
    pb_db_bind_day(s, i++, r->done_on);
    pb_db_bind_text(s, i++, r->summary);
    pb_db_bind_text(s, i++, r->description);
    pb_db_bind_text(s, i++, r->category);
    pb_db_bind_day(s, i++, r->span.first);
    pb_db_bind_day(s, i++, r->span.last);
    pb_db_bind_text(s, i++, pb_reminder_statuses[r->status]);
    (void)sqlite3_bind_int(s, i++, r->guess);
    (void)sqlite3_bind_int(s, i++, r->alarm_first);
    (void)sqlite3_bind_int(s, i, r->alarm_last);
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
