/* Plants in the book: entering and changing.  See plants.h. */
#include "book/plants.h"

#include "book/db.h"
#include "book/named.h"
#include "book/revisions.h"
#include "core/taxon.h"

/* Bind everything that insert and update share, from parameter 1 on.  The key is the
 * caller's until the statement has run. */
static enum pb_rc bind(sqlite3_stmt *s, const struct pb_plant *p, struct pb_buf *key,
                       struct pb_err *err)
{
    pb_buf_init(key, PB_MAX_NAME);
    pb_taxon_key(p->taxon, key);
    pb_db_bind_head(s, &p->head);
    pb_db_bind_text(s, 8, p->taxon);
    pb_db_bind_text(s, 9, p->clone_name);
    (void)sqlite3_bind_int(s, 10, p->ploidy);
    pb_db_bind_text(s, 11, pb_origin_names[p->origin]);
    pb_db_bind_row(s, 12, p->source.n);
    pb_db_bind_text(s, 13, p->origin == PB_ORIGIN_CROSS ? p->from_cross.id : NULL);
    pb_db_bind_text(s, 14, p->origin == PB_ORIGIN_CROSS ? p->from_cross.code : NULL);
    pb_db_bind_row(s, 15, p->seed_parent.n);
    pb_db_bind_row(s, 16, p->pollen_parent.n);
    pb_db_bind_day(s, 17, p->got);
    pb_db_bind_text(s, 18, p->source_text);
    pb_db_bind_text(s, 19, p->papers);
    pb_db_bind_text(s, 20, p->place);
    pb_db_bind_text(s, 21, p->note);
    (void)sqlite3_bind_int(s, 22, p->named_only ? PB_NAMED_ONLY : p->elsewhere);
    pb_db_bind_text(s, 23, pb_gone_names[p->gone]);
    pb_db_bind_day(s, 24, p->gone_on);
    pb_db_bind_text(s, 25, pb_buf_peek(key));
    pb_db_bind_row(s, 26, p->out_of.n);
    pb_db_bind_text(s, 27, p->doubtful);
    bool away = p->out_of.n == 0 && p->out_of.id[0] != '\0';
    pb_db_bind_text(s, 28, away ? p->out_of.id : NULL);
    pb_db_bind_text(s, 29, away ? p->out_of.code : NULL);
    return pb_buf_status(key, err);
}

enum pb_rc pb_plant_insert(struct pb_book *b, struct pb_plant *p, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "INSERT INTO plant(id,code,origin_code,revision,modified,withdrawn,extra,taxon,"
        "clone_name,ploidy,origin,source,from_id,from_code,seed_parent,pollen_parent,"
        "got,source_text,papers,place,note,elsewhere,gone,gone_on,taxon_key,out_of,"
        "doubtful,out_of_id,out_of_code) "
        "VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,"
        "?,?,?,?,?,?,?,?)",
        &s, err);
    struct pb_buf key;
    if (rc != PB_OK)
        return rc;
    p->head.n = 0;
    rc = bind(s, p, &key, err);
    if (rc == PB_OK)
        rc = pb_db_keep(b, s, &p->head.n, err);
    pb_buf_clear(&key);
    return rc;
}

enum pb_rc pb_plant_update(struct pb_book *b, const struct pb_plant *p,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_revision_note(b, "plant", &p->head, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_db_get(
        b,
        "UPDATE plant SET id=?,code=?,origin_code=?,revision=?,modified=?,withdrawn=?,"
        "extra=?,taxon=?,clone_name=?,ploidy=?,origin=?,source=?,from_id=?,from_code=?,"
        "seed_parent=?,pollen_parent=?,got=?,source_text=?,papers=?,place=?,note=?,"
        "elsewhere=?,gone=?,gone_on=?,taxon_key=?,out_of=?,doubtful=?,"
        "out_of_id=?,out_of_code=? WHERE n=?",
        &s, err);
    struct pb_buf key;
    if (rc != PB_OK)
        return rc;
    rc = bind(s, p, &key, err);
    (void)sqlite3_bind_int64(s, 30, p->head.n);
    if (rc == PB_OK)
        rc = pb_db_run(b, s, err);
    pb_buf_clear(&key);
    return rc;
}
