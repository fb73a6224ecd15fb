/* Absences in the book.  See absences.h. */
#include "book/absences.h"

#include "book/db.h"

#include <stdlib.h>

enum pb_rc pb_absence_insert(struct pb_book *b, struct pb_absence *absence,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b, "INSERT INTO absence(id,first,last) VALUES(?,?,?)", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, absence->id);
    pb_db_bind_day(s, 2, absence->span.first);
    pb_db_bind_day(s, 3, absence->span.last);
    return pb_db_keep(b, s, &absence->n, err);
}

enum pb_rc pb_absence_remove(struct pb_book *b, struct pb_span span, bool *gone,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b, "DELETE FROM absence WHERE first=? AND last=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_day(s, 1, span.first);
    pb_db_bind_day(s, 2, span.last);
    rc = pb_db_run(b, s, err);
    if (rc == PB_OK)
        *gone = sqlite3_changes(b->db) > 0;
    return rc;
}

enum pb_rc pb_absences_from(struct pb_book *b, pb_day day, struct pb_absence **list,
                            size_t *n, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    struct pb_absence *v = NULL;
    size_t count = 0;
    enum pb_rc rc = pb_db_get(
        b, "SELECT n,id,first,last FROM absence WHERE last>=? ORDER BY first,last", &s,
        err);
    if (rc == PB_OK)
        pb_db_bind_day(s, 1, day);
    while (pb_db_next(b, s, &rc, err)) {
        struct pb_absence *more = realloc(v, (count + 1) * sizeof(*v));
        if (more == NULL) {
            rc = pb_fail_memory(err);
            break;
        }
        v = more;
        v[count].n = sqlite3_column_int64(s, 0);
        pb_db_copy(s, 1, v[count].id, sizeof(v[count].id));
        v[count].span =
            (struct pb_span){pb_db_day_needed(s, 2, &rc), pb_db_day_needed(s, 3, &rc)};
        rc = pb_db_read_end(rc, "day away", err);
        count++;
    }
    if (rc != PB_OK) {
        free(v);
        return rc;
    }
    *list = v;
    *n = count;
    return PB_OK;
}
