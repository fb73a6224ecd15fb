/* Codes given in turn, and settings.  See book.h. */
#include "book/db.h"
#include "core/record.h"

enum pb_rc pb_book_next_code(struct pb_book *b, char letter, pb_day day, char *code,
                             struct pb_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int y = 0, m = 0, d = 0;
    const char name[2] = {letter, '\0'};
    bool row = false;
    pb_day_to_ymd(day, &y, &m, &d);
    enum pb_rc rc = pb_db_get(b,
                              "INSERT INTO counter(letter,year,last) VALUES(?,?,1)"
                              " ON CONFLICT DO UPDATE SET last=last+1 RETURNING last",
                              &stmt, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(stmt, 1, name);
    (void)sqlite3_bind_int(stmt, 2, y % 100);
    rc = pb_db_step(b, stmt, &row, err);
    if (rc == PB_OK)
        pb_own_code_format(letter, day, sqlite3_column_int64(stmt, 0), code);
    (void)sqlite3_reset(stmt);
    return rc;
}

enum pb_rc pb_book_setting(struct pb_book *b, const char *name, char **value,
                           struct pb_err *err)
{
    sqlite3_stmt *stmt = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b, "SELECT value FROM setting WHERE name=?", &stmt, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(stmt, 1, name);
    rc = pb_db_step(b, stmt, &row, err);
    if (rc == PB_OK && row) {
        *value = pb_db_text(stmt, 0, &rc);
        if (rc != PB_OK)
            (void)pb_fail_memory(err);
    }
    (void)sqlite3_reset(stmt);
    return rc;
}

enum pb_rc pb_book_setting_keep(struct pb_book *b, const char *name, const char *value,
                                struct pb_err *err)
{
    sqlite3_stmt *stmt = NULL;
    enum pb_rc rc =
        value == NULL
            ? pb_db_get(b, "DELETE FROM setting WHERE name=?", &stmt, err)
            : pb_db_get(b,
                        "INSERT INTO setting(name,value) VALUES(?,?)"
                        " ON CONFLICT(name) DO UPDATE SET value=excluded.value",
                        &stmt, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(stmt, 1, name);
    if (value != NULL)
        pb_db_bind_text(stmt, 2, value);
    return pb_db_run(b, stmt, err);
}
