/* Stored pollen in the book.  See pollens.h. */
#include "book/pollens.h"

#include "base/text.h"
#include "book/db.h"
#include "book/plants.h"

#define COLUMNS                                                                       \
    "SELECT l.n,l.id,l.code,l.origin_code,l.revision,l.modified,l.withdrawn,l.extra," \
    "l.day,l.kept,l.dried,l.used_up,l.note,p.n,p.id,p.code,p.taxon,p.ploidy,p.source" \
    " FROM pollen_lot l JOIN plant p ON p.n=l.plant "

static enum pb_rc fill(struct pb_book *b, sqlite3_stmt *s, struct pb_pollen_lot *lot,
                       struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    pb_db_read_head(s, &lot->head, &rc);
    lot->on = pb_db_day(s, 8);
    lot->kept = (enum pb_pollen_kept)pb_db_word(s, 9, pb_kept_names, PB_KEPT_N);
    lot->dried = sqlite3_column_int(s, 10) != 0;
    lot->used_up = pb_db_day(s, 11);
    lot->note = pb_db_text(s, 12, &rc);
    lot->plant.n = sqlite3_column_int64(s, 13);
    pb_db_copy(s, 14, lot->plant.id, sizeof(lot->plant.id));
    pb_db_copy(s, 15, lot->plant.code, sizeof(lot->plant.code));
    lot->taxon = pb_db_text(s, 16, &rc);
    lot->ploidy = sqlite3_column_int(s, 17);
    lot->genet = lot->plant;
    if (rc != PB_OK)
        return pb_fail_memory(err);
    if (sqlite3_column_type(s, 18) != SQLITE_NULL)
        rc = pb_genet_of(b, lot->plant.n, &lot->genet, err);
    return rc;
}

enum pb_rc pb_pollen_find(struct pb_book *b, const char *code,
                          struct pb_pollen_lot *lot, bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b, COLUMNS "WHERE l.code=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, code);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        rc = fill(b, s, lot, err);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *found = row;
    return rc;
}

static void bind(sqlite3_stmt *s, const struct pb_pollen_lot *lot)
{
    pb_db_bind_head(s, &lot->head);
    (void)sqlite3_bind_int64(s, 8, lot->plant.n);
    pb_db_bind_day(s, 9, lot->on);
    pb_db_bind_text(s, 10, pb_kept_names[lot->kept]);
    (void)sqlite3_bind_int(s, 11, lot->dried);
    pb_db_bind_day(s, 12, lot->used_up);
    pb_db_bind_text(s, 13, lot->note);
}

enum pb_rc pb_pollen_insert(struct pb_book *b, struct pb_pollen_lot *lot,
                            struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "INSERT INTO pollen_lot(id,code,origin_code,revision,modified,withdrawn,extra,"
        "plant,day,kept,dried,used_up,note) VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?)"
        " RETURNING n",
        &s, err);
    if (rc != PB_OK)
        return rc;
    bind(s, lot);
    return pb_db_keep(b, s, &lot->head.n, err);
}

enum pb_rc pb_pollen_update(struct pb_book *b, const struct pb_pollen_lot *lot,
                            struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "UPDATE pollen_lot SET id=?,code=?,origin_code=?,revision=?,modified=?,"
        "withdrawn=?,extra=?,plant=?,day=?,kept=?,dried=?,used_up=?,note=? WHERE n=?",
        &s, err);
    if (rc != PB_OK)
        return rc;
    bind(s, lot);
    (void)sqlite3_bind_int64(s, 14, lot->head.n);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_pollens_each(struct pb_book *b, enum pb_pollen_set set, int64_t plant,
                           pb_pollen_each *each, void *ctx, struct pb_err *err)
{
    /* ORDER POLLEN_SET */
    static const char *const sql[] = {
        COLUMNS "WHERE l.withdrawn=0 AND l.used_up IS NULL ORDER BY l.n",
        COLUMNS "ORDER BY l.n",
        COLUMNS "WHERE l.withdrawn=0 AND l.plant=?1 ORDER BY l.n",
    };
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(b, sql[set], &s, err);
    if (rc == PB_OK && set == PB_POLLEN_OF)
        (void)sqlite3_bind_int64(s, 1, plant);
    while (pb_db_next(b, s, &rc, err)) {
        struct pb_pollen_lot lot;
        pb_pollen_lot_init(&lot);
        rc = fill(b, s, &lot, err);
        if (rc == PB_OK)
            rc = each(ctx, &lot, err);
        pb_pollen_lot_clear(&lot);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

enum pb_rc pb_pollen_is_used(struct pb_book *b, const struct pb_pollen_lot *lot,
                             bool *used, char who[PB_MAX_CODE + 1], struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT x.code FROM pollen_parent q JOIN crossing x ON x.n=q.crossing"
        " WHERE x.withdrawn=0 AND q.plant=?1 AND q.lot=?2 COLLATE NOCASE LIMIT 1",
        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, lot->plant.n);
    pb_db_bind_text(s, 2, lot->head.code);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        pb_db_copy(s, 0, who, PB_MAX_CODE + 1);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *used = row;
    return rc;
}
