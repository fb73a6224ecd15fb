/* Looks, harvests and seed lots in the book.  See crosses.h. */
#include "book/crosses.h"

#include "base/text.h"
#include "book/db.h"

#include <stdlib.h>
#include <string.h>

enum pb_rc pb_look_keep(struct pb_book *b, int64_t crossing, struct pb_look *look,
                        struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        look->n == 0
            ? pb_db_get(b,
                        "INSERT INTO look(id,crossing,number,day,found,count,note)"
                        " VALUES(?,?,?,?,?,?,?) RETURNING n",
                        &s, err)
            : pb_db_get(
                  b,
                  "UPDATE look SET id=?,crossing=?,number=?,day=?,found=?,count=?,"
                  "note=?,withdrawn=0 WHERE n=? RETURNING n",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, look->id);
    (void)sqlite3_bind_int64(s, 2, crossing);
    (void)sqlite3_bind_int(s, 3, look->number);
    pb_db_bind_day(s, 4, look->on);
    pb_db_bind_text(s, 5, pb_found_names[look->found]);
    (void)sqlite3_bind_int(s, 6, look->count);
    pb_db_bind_text(s, 7, look->note);
    if (look->n != 0)
        (void)sqlite3_bind_int64(s, 8, look->n);
    return pb_db_keep(b, s, &look->n, err);
}

enum pb_rc pb_harvest_keep(struct pb_book *b, int64_t crossing, struct pb_harvest *h,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        h->n == 0
            ? pb_db_get(b,
                        "INSERT INTO harvest(crossing,number,day,count,state,held_cold,"
                        "lot) VALUES(?,?,?,?,?,?,(SELECT n FROM seed_lot WHERE code=?))"
                        " RETURNING n",
                        &s, err)
            : pb_db_get(b,
                        "UPDATE harvest SET crossing=?,number=?,day=?,count=?,state=?,"
                        "held_cold=?,lot=(SELECT n FROM seed_lot WHERE code=?)"
                        " WHERE n=? RETURNING n",
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

static enum pb_rc run_on(struct pb_book *b, sqlite3_stmt *s, int64_t n,
                         struct pb_err *err)
{
    (void)sqlite3_bind_int64(s, 1, n);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_look_withdraw(struct pb_book *b, int64_t look, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, "UPDATE look SET withdrawn=1 WHERE n=?", &s, err);
    return rc == PB_OK ? run_on(b, s, look, err) : rc;
}

enum pb_rc pb_harvest_withdraw(struct pb_book *b, int64_t harvest, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, "UPDATE harvest SET withdrawn=1 WHERE n=?", &s, err);
    return rc == PB_OK ? run_on(b, s, harvest, err) : rc;
}

enum pb_rc pb_cross_numbers(struct pb_book *b, int64_t crossing, int *look,
                            int *harvest, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        pb_db_get(b,
                  "SELECT ifnull((SELECT max(number) FROM look WHERE crossing=?1),0)+1,"
                  "ifnull((SELECT max(number) FROM harvest WHERE crossing=?1),0)+1",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, crossing);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row) {
        *look = sqlite3_column_int(s, 0);
        *harvest = sqlite3_column_int(s, 1);
    }
    (void)sqlite3_reset(s);
    return rc;
}

void pb_seed_init(struct pb_seed *s)
{
    memset(s, 0, sizeof(*s));
    s->harvest.on = PB_DAY_NONE;
}

void pb_seed_clear(struct pb_seed *s)
{
    free(s->head.extra);
    free(s->taxon_seed);
    free(s->taxon_pollen);
    free(s->note);
    pb_seed_init(s);
}

static void bind_seed(sqlite3_stmt *s, const struct pb_seed *lot)
{
    pb_db_bind_head(s, &lot->head);
    (void)sqlite3_bind_int64(s, 8, lot->cross.n);
    pb_db_bind_text(s, 9, lot->note);
}

enum pb_rc pb_seed_insert(struct pb_book *b, struct pb_seed *lot, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b,
                  "INSERT INTO seed_lot(id,code,origin_code,revision,modified,"
                  "withdrawn,extra,crossing,note) VALUES(?,?,?,?,?,?,?,?,?)"
                  " RETURNING n",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    bind_seed(s, lot);
    return pb_db_keep(b, s, &lot->head.n, err);
}

enum pb_rc pb_seed_update(struct pb_book *b, const struct pb_seed *lot,
                          struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b,
                  "UPDATE seed_lot SET id=?,code=?,origin_code=?,revision=?,"
                  "modified=?,withdrawn=?,extra=?,crossing=?,note=? WHERE n=?",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    bind_seed(s, lot);
    (void)sqlite3_bind_int64(s, 10, lot->head.n);
    return pb_db_run(b, s, err);
}

#define SEED_COLUMNS                                                                  \
    "SELECT l.n,l.id,l.code,l.origin_code,l.revision,l.modified,l.withdrawn,l.extra," \
    "x.n,x.id,x.code,l.note,h.n,h.number,h.day,h.count,h.state,h.held_cold,"          \
    "a.taxon,(SELECT group_concat(taxon,' + ') FROM (SELECT q.taxon FROM "            \
    "pollen_parent"                                                                   \
    " pp JOIN plant q ON q.n=pp.plant WHERE pp.crossing=x.n ORDER BY pp.place))"      \
    " FROM seed_lot l JOIN crossing x ON x.n=l.crossing"                              \
    " JOIN plant a ON a.n=x.seed_parent LEFT JOIN harvest h ON h.lot=l.n "

static enum pb_rc fill_seed(sqlite3_stmt *s, struct pb_seed *lot, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    pb_db_read_head(s, &lot->head, &rc);
    lot->cross.n = sqlite3_column_int64(s, 8);
    pb_db_copy(s, 9, lot->cross.id, sizeof(lot->cross.id));
    pb_db_copy(s, 10, lot->cross.code, sizeof(lot->cross.code));
    lot->note = pb_db_text(s, 11, &rc);
    lot->harvest.n = sqlite3_column_int64(s, 12);
    lot->harvest.number = sqlite3_column_int(s, 13);
    lot->harvest.on = pb_db_day(s, 14);
    lot->harvest.count = sqlite3_column_int(s, 15);
    lot->harvest.as = (enum pb_as)pb_db_word(s, 16, pb_as_names, PB_AS_N);
    lot->harvest.held_cold = sqlite3_column_int(s, 17) != 0;
    memcpy(lot->harvest.lot, lot->head.code, sizeof(lot->harvest.lot));
    lot->taxon_seed = pb_db_text(s, 18, &rc);
    lot->taxon_pollen = pb_db_text(s, 19, &rc);
    return rc == PB_OK ? rc : pb_fail_memory(err);
}

enum pb_rc pb_seed_find(struct pb_book *b, const char *code, struct pb_seed *lot,
                        bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b, SEED_COLUMNS "WHERE l.code=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, code);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        rc = fill_seed(s, lot, err);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *found = row;
    return rc;
}

enum pb_rc pb_seeds_each(struct pb_book *b, bool all, pb_seed_each *each, void *ctx,
                         struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(
        b, SEED_COLUMNS "WHERE ?1 OR l.withdrawn=0 ORDER BY l.n", &s, err);
    if (rc == PB_OK)
        (void)sqlite3_bind_int(s, 1, all);
    while (pb_db_next(b, s, &rc, err)) {
        struct pb_seed lot;
        pb_seed_init(&lot);
        rc = fill_seed(s, &lot, err);
        if (rc == PB_OK)
            rc = each(ctx, &lot, err);
        pb_seed_clear(&lot);
    }
    (void)sqlite3_finalize(s);
    return rc;
}
