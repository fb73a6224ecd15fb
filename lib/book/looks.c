/* Looks in the book.  See looks.h. */
#include "book/looks.h"

#include "book/db.h"

#include <stdio.h>

#define COLUMNS \
    "SELECT n,id,number,day,found,count,amount,sample,scale,method,note FROM look"
#define INSERT "(id,number,day,found,count,amount,sample,scale,method,note,"
#define VALUES ") VALUES(?,?,?,?,?,?,?,?,?,?,?)"

static enum pb_rc fill(sqlite3_stmt *s, const struct pb_course *course,
                       struct pb_look *l, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    char what[32];
    l->n = sqlite3_column_int64(s, 0);
    pb_db_copy(s, 1, l->id, sizeof(l->id));
    l->number = sqlite3_column_int(s, 2);
    l->on = pb_db_day_needed(s, 3, &rc);
    const char *word = (const char *)sqlite3_column_text(s, 4);
    l->found = word != NULL ? pb_finding_find(course, word) : -1;
    l->count = sqlite3_column_int(s, 5);
    l->amount = pb_db_int64(s, 6, -1);
    l->sample = pb_db_int64(s, 7, -1);
    l->scale = pb_db_text(s, 8, &rc);
    l->method = pb_db_text(s, 9, &rc);
    l->note = pb_db_text(s, 10, &rc);
    if (l->found < 0 && rc == PB_OK)
        rc = PB_EIO;
    if (rc == PB_OK)
        return PB_OK;
    (void)snprintf(what, sizeof(what), "look at a %s", course->noun);
    return pb_db_read_end(rc, what, err);
}

enum pb_rc pb_looks_load(struct pb_book *b, struct pb_looked of, struct pb_look **v,
                         size_t *n, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        of.kind == PB_CROSS
            ? pb_db_get(b, COLUMNS " WHERE crossing=? AND withdrawn=0 ORDER BY number",
                        &s, err)
        : of.kind != PB_PLANT
            ? pb_db_get(b, COLUMNS " WHERE batch=? AND withdrawn=0 ORDER BY number", &s,
                        err)
            : pb_db_get(b, COLUMNS " WHERE plant=? AND withdrawn=0 ORDER BY number", &s,
                        err);
    if (rc == PB_OK)
        (void)sqlite3_bind_int64(s, 1, of.row);
    while (pb_db_next(b, s, &rc, err)) {
        void *array = *v;
        struct pb_look *l = pb_db_grow(&array, *n, sizeof(*l));
        *v = array;
        if (l == NULL) {
            rc = pb_fail_memory(err);
            break;
        }
        pb_look_init(l);
        ++*n;
        rc = fill(s, &pb_courses[of.kind], l, err);
    }
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_look_keep(struct pb_book *b, struct pb_looked of, struct pb_look *look,
                        struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        look->n != 0
            ? pb_db_get(b,
                        "UPDATE look SET id=?,number=?,day=?,found=?,count=?,amount=?,"
                        "sample=?,scale=?,method=?,note=?,withdrawn=0 WHERE n=?",
                        &s, err)
        : of.kind == PB_CROSS
            ? pb_db_get(b, "INSERT INTO look" INSERT "crossing" VALUES, &s, err)
        : of.kind != PB_PLANT
            ? pb_db_get(b, "INSERT INTO look" INSERT "batch" VALUES, &s, err)
            : pb_db_get(b, "INSERT INTO look" INSERT "plant" VALUES, &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, look->id);
    (void)sqlite3_bind_int(s, 2, look->number);
    pb_db_bind_day(s, 3, look->on);
    pb_db_bind_text(s, 4, pb_courses[of.kind].findings[look->found].word);
    (void)sqlite3_bind_int(s, 5, look->count);
    pb_db_bind_from(s, 6, look->amount, 0);
    pb_db_bind_from(s, 7, look->sample, 1);
    pb_db_bind_text(s, 8, look->scale);
    pb_db_bind_text(s, 9, look->method);
    pb_db_bind_text(s, 10, look->note);
    (void)sqlite3_bind_int64(s, 11, look->n != 0 ? look->n : of.row);
    return pb_db_keep(b, s, &look->n, err);
}

enum pb_rc pb_look_withdraw(struct pb_book *b, int64_t look, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, "UPDATE look SET withdrawn=1 WHERE n=?", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, look);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_look_next(struct pb_book *b, struct pb_looked of, int *number,
                        struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    int64_t next = 0;
    enum pb_rc rc =
        of.kind == PB_CROSS
            ? pb_db_get(b, "SELECT ifnull(max(number),0)+1 FROM look WHERE crossing=?",
                        &s, err)
        : of.kind != PB_PLANT
            ? pb_db_get(b, "SELECT ifnull(max(number),0)+1 FROM look WHERE batch=?", &s,
                        err)
            : pb_db_get(b, "SELECT ifnull(max(number),0)+1 FROM look WHERE plant=?", &s,
                        err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, of.row);
    rc = pb_db_number(b, s, &next, err);
    if (rc == PB_OK)
        *number = (int)next;
    return rc;
}
