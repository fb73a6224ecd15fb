/*
 * What the triggers that keep history call; a row is a JSON object of its columns.
 *   book_act()                                        number of the running act
 *   book_row(TABLE, OLD.a, OLD.b ...)                 the row
 *   book_was(TABLE, OLD.a, NEW.a, OLD.b, NEW.b ...)   the row as it was; NULL: it still is
 * The columns are those of logged.def, in its order, without their names: SQLite takes the
 * triggers to pieces each time a book is opened, and that is half of what opening costs.
 * SQLite's own json_object may not be called from a trigger of a book whose schema is not
 * trusted, and a book that somebody sent us is not.
 */
#include "book/db.h"

#include "base/buf.h"
#include "book/schema.h"

#include <inttypes.h>
#include <string.h>

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

/* SQL's IS, but for the case of a code. */
static bool is_same(sqlite3_value *a, sqlite3_value *b)
{
    int type = sqlite3_value_type(a);
    if (type != sqlite3_value_type(b))
        return false;
    if (type == SQLITE_INTEGER)
        return sqlite3_value_int64(a) == sqlite3_value_int64(b);
    if (type == SQLITE_FLOAT) {
        double x = sqlite3_value_double(a), y = sqlite3_value_double(b);
        return !(x < y) && !(x > y);
    }
    if (type == SQLITE_NULL)
        return true;
    const char *x = (const char *)sqlite3_value_text(a);
    const char *y = (const char *)sqlite3_value_text(b);
    return x != NULL && y != NULL && strcmp(x, y) == 0;
}

static const struct pb_logged *table_of(sqlite3_value *name)
{
    const char *text = (const char *)sqlite3_value_text(name);
    for (size_t i = 0; i < PB_LOGGED_N; i++)
        if (text != NULL && strcmp(pb_logged_tables[i].table, text) == 0)
            return &pb_logged_tables[i];
    return NULL;
}

/* v: every step-th is a column of the table, the first of them v[0] */
static void give_row(sqlite3_context *ctx, const struct pb_logged *t, int step, int n,
                     sqlite3_value **v)
{
    const char *const *columns = t->content;
    struct pb_buf b;
    pb_buf_init(&b, MAX_ROW);
    for (int i = 0; i < n; i += step) {
        if (*columns == NULL)
            columns = t->derived;
        if (*columns == NULL)
            break;
        pb_buf_adds(&b, i > 0 ? ",\"" : "{\"");
        pb_buf_adds(&b, *columns++);
        pb_buf_adds(&b, "\":");
        add_value(&b, v[i]);
    }
    pb_buf_addc(&b, '}');
    if (pb_buf_status(&b, NULL) == PB_OK)
        sqlite3_result_text(ctx, pb_buf_peek(&b), (int)b.len, SQLITE_TRANSIENT);
    else
        sqlite3_result_error_nomem(ctx);
    pb_buf_clear(&b);
}

static void book_row(sqlite3_context *ctx, int n, sqlite3_value **v)
{
    const struct pb_logged *t = n > 1 ? table_of(v[0]) : NULL;
    if (t != NULL)
        give_row(ctx, t, 1, n - 1, v + 1);
    else
        sqlite3_result_error(ctx, "no table of facts", -1);
}

static void book_was(sqlite3_context *ctx, int n, sqlite3_value **v)
{
    const struct pb_logged *t = n > 2 ? table_of(v[0]) : NULL;
    bool same = true;
    for (int i = 1; i + 1 < n && same; i += 2)
        same = is_same(v[i], v[i + 1]);
    if (t == NULL)
        sqlite3_result_error(ctx, "no table of facts", -1);
    else if (!same)
        give_row(ctx, t, 2, n - 1, v + 1);
}

/* Whoever changes a fact outside an act is refused. */
static void book_act(sqlite3_context *ctx, int n, sqlite3_value **v)
{
    const struct pb_book *b = sqlite3_user_data(ctx);
    (void)n;
    (void)v;
    if (b->in_act && b->act > 0)
        sqlite3_result_int64(ctx, b->act);
    else
        sqlite3_result_error(ctx, "no act is running", -1);
}

static bool add(struct pb_book *b, const char *name, int flags,
                void (*run)(sqlite3_context *, int, sqlite3_value **))
{
    return sqlite3_create_function_v2(b->db, name, -1,
                                      flags | SQLITE_UTF8 | SQLITE_INNOCUOUS, b, run,
                                      NULL, NULL, NULL) == SQLITE_OK;
}

enum pb_rc pb_db_add_functions(struct pb_book *b, struct pb_err *err)
{
    return add(b, "book_act", 0, book_act) &&
                   add(b, "book_row", SQLITE_DETERMINISTIC, book_row) &&
                   add(b, "book_was", SQLITE_DETERMINISTIC, book_was)
               ? PB_OK
               : pb_db_fail(b, err);
}
