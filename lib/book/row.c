/*
 * book_row('a', OLD.a, 'b', OLD.b ...): a row as a JSON object, for the triggers that keep
 * history.  SQLite's own json_object may not be called from a trigger of a book whose
 * schema is not trusted, and a book that somebody sent us is not.
 */
#include "book/db.h"

#include "base/buf.h"

#include <inttypes.h>

enum { MAX_ROW = 1 << 20 };

/* Source: RFC 8259, section 7. */
static void add_string(struct pb_buf *b, const char *text)
{
    pb_buf_addc(b, '"');
    for (const char *p = text; *p != '\0'; p++)
        if (*p == '"' || *p == '\\')
            pb_buf_printf(b, "\\%c", *p);
        else if ((unsigned char)*p < 0x20U)
            pb_buf_printf(b, "\\u%04x", (unsigned)(unsigned char)*p);
        else
            pb_buf_addc(b, *p);
    pb_buf_addc(b, '"');
}

/* 17 digits give every double back; SQLite's own printf knows no locale. */
static void add_real(struct pb_buf *b, double real)
{
    char text[40];
    pb_buf_adds(b, sqlite3_snprintf(sizeof(text), text, "%!.17g", real));
}

static void add_value(struct pb_buf *b, sqlite3_value *v)
{
    switch (sqlite3_value_type(v)) {
    case SQLITE_NULL:
        pb_buf_adds(b, "null");
        break;
    case SQLITE_INTEGER:
        pb_buf_printf(b, "%" PRId64, (int64_t)sqlite3_value_int64(v));
        break;
    case SQLITE_FLOAT:
        add_real(b, sqlite3_value_double(v));
        break;
    default:
        add_string(b, (const char *)sqlite3_value_text(v));
        break;
    }
}

static void book_row(sqlite3_context *ctx, int n, sqlite3_value **v)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_ROW);
    pb_buf_addc(&b, '{');
    for (int i = 0; i + 1 < n; i += 2) {
        if (i > 0)
            pb_buf_addc(&b, ',');
        add_string(&b, (const char *)sqlite3_value_text(v[i]));
        pb_buf_addc(&b, ':');
        add_value(&b, v[i + 1]);
    }
    pb_buf_addc(&b, '}');
    if (pb_buf_status(&b, NULL) == PB_OK)
        sqlite3_result_text(ctx, pb_buf_peek(&b), (int)b.len, SQLITE_TRANSIENT);
    else
        sqlite3_result_error_nomem(ctx);
    pb_buf_clear(&b);
}

enum pb_rc pb_db_add_functions(struct pb_book *b, struct pb_err *err)
{
    return sqlite3_create_function_v2(b->db, "book_row", -1,
                                      SQLITE_UTF8 | SQLITE_DETERMINISTIC |
                                          SQLITE_INNOCUOUS,
                                      NULL, book_row, NULL, NULL, NULL) == SQLITE_OK
               ? PB_OK
               : pb_db_fail(b, err);
}
