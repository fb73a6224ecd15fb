/* Flowerings in the book.  See flowerings.h. */
#include "book/flowerings.h"

#include "book/db.h"

#define COLUMNS "SELECT f.n,f.plant,f.number,f.spike,f.open,f.over,f.dying_back"

static void fill(sqlite3_stmt *s, struct pb_flowering *f)
{
    f->n = sqlite3_column_int64(s, 0);
    f->plant = sqlite3_column_int64(s, 1);
    f->number = sqlite3_column_int(s, 2);
    for (int i = 0; i < PB_BLOOM_N; i++)
        f->on[i] = pb_db_day(s, 3 + i);
}

enum pb_rc pb_flowering_newest(struct pb_book *b, int64_t plant, struct pb_flowering *f,
                               struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(
        b, COLUMNS " FROM flowering f WHERE f.plant=? ORDER BY f.number DESC LIMIT 1",
        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK) {
        pb_flowering_init(f);
        f->plant = plant;
    }
    if (rc == PB_OK && row)
        fill(s, f);
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_flowering_keep(struct pb_book *b, struct pb_flowering *f,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        f->n == 0
            ? pb_db_get(b,
                        "INSERT INTO flowering(plant,number,spike,open,over,dying_back)"
                        " VALUES(?,?,?,?,?,?)",
                        &s, err)
            : pb_db_get(b,
                        "UPDATE flowering SET plant=?,number=?,spike=?,open=?,over=?,"
                        "dying_back=? WHERE n=?",
                        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, f->plant);
    (void)sqlite3_bind_int(s, 2, f->number);
    for (int i = 0; i < PB_BLOOM_N; i++)
        pb_db_bind_day(s, 3 + i, f->on[i]);
    if (f->n != 0)
        (void)sqlite3_bind_int64(s, 7, f->n);
    return pb_db_keep(b, s, &f->n, err);
}

static enum pb_rc each_row(struct pb_book *b, sqlite3_stmt *s, pb_flowering_each *each,
                           void *ctx, struct pb_err *err)
{
    bool row = true;
    enum pb_rc rc = PB_OK;
    while (rc == PB_OK) {
        struct pb_flowering f;
        rc = pb_db_step(b, s, &row, err);
        if (rc != PB_OK || !row)
            break;
        fill(s, &f);
        rc = each(ctx, &f, err);
    }
    return rc;
}

enum pb_rc pb_flowerings_open(struct pb_book *b, pb_day today, pb_flowering_each *each,
                              void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(
        b,
        COLUMNS " FROM flowering f JOIN plant p ON p.n=f.plant"
                " WHERE f.open IS NOT NULL AND f.open<=?1"
                " AND (f.over IS NULL OR f.over>?1)"
                " AND p.withdrawn=0 AND p.elsewhere=0 AND p.gone IS NULL"
                " AND f.number=(SELECT max(number) FROM flowering WHERE plant=p.n)"
                " ORDER BY p.code",
        &s, err);
    if (rc == PB_OK) {
        pb_db_bind_day(s, 1, today);
        rc = each_row(b, s, each, ctx, err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

enum pb_rc pb_flowerings_of(struct pb_book *b, int64_t plant, pb_flowering_each *each,
                            void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(
        b, COLUMNS " FROM flowering f WHERE f.plant=? ORDER BY f.number", &s, err);
    if (rc == PB_OK) {
        (void)sqlite3_bind_int64(s, 1, plant);
        rc = each_row(b, s, each, ctx, err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

enum pb_rc pb_flowerings_ended(struct pb_book *b, pb_day since,
                               char (**codes)[PB_MAX_CODE + 1], size_t *n,
                               struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT DISTINCT p.n,p.code FROM flowering f JOIN plant p ON p.n=f.plant"
        " WHERE coalesce(f.over,f.dying_back)>=? AND p.withdrawn=0 AND p.elsewhere=0"
        " AND p.gone IS NULL ORDER BY p.n",
        &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_day(s, 1, since);
    return pb_db_codes(b, s, 1, codes, n, err);
}

enum pb_rc pb_plant_partings(struct pb_book *b, int64_t plant, struct pb_parting **v,
                             size_t *n, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT day,0 FROM batch WHERE plant=?1 AND kind='cutting' AND withdrawn=0"
        " UNION ALL SELECT coalesce(p.got,(SELECT a.today FROM change c"
        "  JOIN act a ON a.n=c.act WHERE c.row=p.n AND c.tbl='plant'"
        "  AND c.before IS NULL LIMIT 1)),1 FROM plant p WHERE p.source=?1"
        "  AND p.withdrawn=0 AND p.elsewhere=0 AND p.origin IN ('pup','division')"
        " ORDER BY 1,2",
        &s, err);
    if (rc == PB_OK)
        (void)sqlite3_bind_int64(s, 1, plant);
    while (pb_db_next(b, s, &rc, err)) {
        void *array = *v;
        struct pb_parting *p = pb_db_grow(&array, *n, sizeof(*p));
        *v = array;
        if (p == NULL) {
            rc = pb_fail_memory(err);
            break;
        }
        *p = (struct pb_parting){pb_db_day(s, 0), sqlite3_column_int(s, 1) != 0};
        ++*n;
    }
    (void)sqlite3_reset(s);
    return rc;
}

/* What was done on the plant, and when it flowered. */
#define DONE                                                                          \
    "SELECT spike AS day,'it is booked as spike' AS what FROM flowering WHERE "       \
    "plant=?1"                                                                        \
    " UNION ALL SELECT open,'it is booked as open' FROM flowering WHERE plant=?1"     \
    " UNION ALL SELECT over,'it is booked as over' FROM flowering WHERE plant=?1"     \
    " UNION ALL SELECT dying_back,'it is booked as dying-back' FROM flowering WHERE " \
    "plant=?1"                                                                        \
    " UNION ALL SELECT day,code||' was taken from it' FROM batch"                     \
    "  WHERE plant=?1 AND withdrawn=0"                                                \
    " UNION ALL SELECT day,'it was looked at' FROM look"                              \
    "  WHERE plant=?1 AND withdrawn=0"                                                \
    " UNION ALL SELECT pollinated,code||' was made on it' FROM crossing"              \
    "  WHERE seed_parent=?1 AND withdrawn=0"

/* The first row of a statement with a day and what it is of. */
static enum pb_rc read_day(struct pb_book *b, const char *sql, int64_t plant,
                           struct pb_plant_day *day, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b, sql, &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    rc = pb_db_step(b, s, &row, err);
    *day = (struct pb_plant_day){PB_DAY_NONE, ""};
    if (rc == PB_OK && row) {
        day->on = pb_db_day(s, 0);
        pb_db_copy(s, 1, day->what, sizeof(day->what));
    }
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_plant_days(struct pb_book *b, int64_t plant, struct pb_plant_day *first,
                         struct pb_plant_day *last, struct pb_err *err)
{
    enum pb_rc rc =
        read_day(b,
                 "SELECT day,what FROM (" DONE " UNION ALL SELECT x.pollinated AS day,"
                 "'it gave pollen for '||x.code FROM pollen_parent p"
                 " JOIN crossing x ON x.n=p.crossing"
                 " WHERE p.plant=?1 AND p.lot IS NULL AND x.withdrawn=0)"
                 " WHERE day IS NOT NULL ORDER BY day LIMIT 1",
                 plant, first, err);
    if (rc == PB_OK)
        rc = read_day(b,
                      "SELECT day,what FROM (" DONE
                      ") WHERE day IS NOT NULL ORDER BY day DESC LIMIT 1",
                      plant, last, err);
    return rc;
}
