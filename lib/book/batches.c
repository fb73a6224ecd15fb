/* Batches in the book.  See batches.h. */
#include "book/batches.h"

#include "base/text.h"
#include "book/db.h"
#include "book/plants.h"
#include "book/revisions.h"

#define COLUMNS                                                                       \
    "SELECT b.n,b.id,b.code,b.origin_code,b.revision,b.modified,b.withdrawn,b.extra," \
    "b.kind,b.day,b.units,b.amount,x.n,x.id,x.code,p.n,p.id,p.code,s.n,"              \
    "ifnull(s.id,b.source_id),ifnull(s.code,b.source_code),"                          \
    "ifnull(s.kind,b.source_kind),p.taxon,p.ploidy,p.source,a.taxon,(SELECT "         \
    "group_concat(taxon,' + ') FROM"                                                  \
    " (SELECT q.taxon FROM pollen_parent pp JOIN plant q ON q.n=pp.plant"             \
    " WHERE pp.crossing=x.n ORDER BY "                                                \
    "pp.place)),b.capsules,b.form,b.celsius,b.ke,b.cw,"                               \
    "b.ch,b.cq,b.viability,b.moisture,b.constants,b.medium,b.agent,b.chlorine,"       \
    "b.minutes,b.light,b.nodes,b.kept,b.dried,b.cap_removed,b.place,b.note,b.below,"  \
    "a.n,x.profile,b.began,b.elsewhere"                                               \
    " FROM batch b LEFT JOIN crossing x ON x.n=b.crossing"                            \
    " LEFT JOIN plant a ON a.n=x.seed_parent LEFT JOIN plant p ON p.n=b.plant"        \
    " LEFT JOIN batch s ON s.n=b.source "

static void fill_fields(sqlite3_stmt *s, struct pb_batch *b, enum pb_rc *rc)
{
    struct pb_seed_constants *c = &b->constants;
    b->capsules = pb_db_int(s, 27, 0);
    b->form = (enum pb_seed_form)pb_db_word(s, 28, pb_form_names, PB_FORM_N);
    b->celsius = pb_db_real(s, 29);
    c->ke = pb_db_real(s, 30);
    c->cw = pb_db_real(s, 31);
    c->ch = pb_db_real(s, 32);
    c->cq = pb_db_real(s, 33);
    c->viability = pb_db_real(s, 34);
    c->moisture = pb_db_real(s, 35);
    c->source = pb_db_text(s, 36, rc);
    b->medium = pb_db_text(s, 37, rc);
    b->agent = pb_db_text(s, 38, rc);
    b->chlorine = pb_db_real(s, 39);
    b->minutes = pb_db_int(s, 40, -1);
    b->light = (enum pb_light)pb_db_word(s, 41, pb_light_names, PB_LIGHT_N);
    b->nodes = pb_db_int(s, 42, 0);
    b->kept = (enum pb_pollen_kept)pb_db_word(s, 43, pb_kept_names, PB_KEPT_N);
    b->dried = sqlite3_column_int(s, 44) != 0;
    b->cap_removed = sqlite3_column_int(s, 45) != 0;
    b->place = pb_db_text(s, 46, rc);
    b->note = pb_db_text(s, 47, rc);
    c->below = pb_db_real(s, 48);
    b->carrier = pb_db_int64(s, 49, 0);
    b->profile = pb_db_text(s, 50, rc);
    b->began = pb_db_day(s, 51);
    b->elsewhere = sqlite3_column_int(s, 52) != 0;
}
/* The first sowing of a flask's line.  A damaged book may hold a ring; the walk ends after
 * so many steps. */
static enum pb_rc load_began(struct pb_book *b, struct pb_batch *batch,
                             struct pb_err *err)
{
    enum { MOST = 1000 };
    sqlite3_stmt *s = NULL;
    bool row = true;
    int64_t n = batch->source_kind == PB_FLASK ? batch->source.n : 0;
    enum pb_rc rc = PB_OK;
    if (batch->began == PB_DAY_NONE)
        batch->began = batch->on;
    for (int i = 0; i < MOST && n != 0 && rc == PB_OK; i++) {
        rc = pb_db_get(b,
                       "SELECT ifnull(f.began,f.day),s.n FROM batch f LEFT JOIN batch "
                       "s ON s.n=f.source"
                       " AND s.kind='flask' WHERE f.n=?",
                       &s, err);
        if (rc != PB_OK)
            return rc;
        (void)sqlite3_bind_int64(s, 1, n);
        rc = pb_db_step(b, s, &row, err);
        n = 0;
        if (rc == PB_OK && row) {
            batch->began = pb_db_day_needed(s, 0, &rc);
            n = sqlite3_column_int64(s, 1);
            rc = pb_db_read_end(rc, "flask", err);
        }
        (void)sqlite3_reset(s);
    }
    return rc;
}

static enum pb_rc fill(struct pb_book *b, sqlite3_stmt *s, struct pb_batch *batch,
                       struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    pb_db_read_head(s, &batch->head, &rc);
    batch->kind = (enum pb_kind)pb_db_word(s, 8, pb_kind_names, PB_KIND_N);
    batch->on = pb_db_day_needed(s, 9, &rc);
    batch->units = sqlite3_column_int(s, 10);
    batch->amount = pb_db_int64(s, 11, -1);
    pb_db_ref(s, 12, &batch->cross);
    pb_db_ref(s, 15, &batch->plant);
    pb_db_ref(s, 18, &batch->source);
    batch->source_kind = (enum pb_kind)pb_db_word(s, 21, pb_kind_names, PB_KIND_N);
    batch->ploidy = sqlite3_column_int(s, 23);
    batch->genet = batch->plant;
    bool is_clone = sqlite3_column_type(s, 24) != SQLITE_NULL;
    bool of_plant = batch->plant.n != 0;
    batch->taxon = pb_db_text_needed(s, of_plant ? 22 : 25, &rc);
    batch->taxon_seed = pb_db_text(s, 25, &rc);
    batch->taxon_pollen = pb_db_text(s, 26, &rc);
    fill_fields(s, batch, &rc);
    rc = pb_db_read_end(rc, pb_kind_names[batch->kind], err);
    if (rc == PB_OK && is_clone)
        rc = pb_genet_of(b, batch->plant.n, &batch->genet, err);
    if (rc == PB_OK)
        rc = load_began(b, batch, err);
    if (rc == PB_OK)
        rc = pb_looks_load(b, (struct pb_looked){batch->kind, batch->head.n},
                           &batch->looks, &batch->look_n, err);
    return rc;
}

enum pb_rc pb_batch_find(struct pb_book *b, enum pb_batch_by by, const char *key,
                         struct pb_batch *batch, bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = by == PB_BATCH_BY_CODE
                        ? pb_db_get(b, COLUMNS "WHERE b.code=?", &s, err)
                        : pb_db_get(b, COLUMNS "WHERE b.id=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, key);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        rc = fill(b, s, batch, err);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *found = row;
    return rc;
}

static void bind(sqlite3_stmt *s, const struct pb_batch *b, bool open)
{
    const struct pb_seed_constants *c = &b->constants;
    pb_db_bind_head(s, &b->head);
    pb_db_bind_text(s, 8, pb_kind_names[b->kind]);
    pb_db_bind_day(s, 9, b->on);
    (void)sqlite3_bind_int(s, 10, b->units);
    pb_db_bind_from(s, 11, b->amount, 0);
    pb_db_bind_row(s, 12, b->cross.n);
    pb_db_bind_row(s, 13, b->plant.n);
    pb_db_bind_row(s, 14, b->source.n);
    pb_db_bind_from(s, 15, b->capsules, 1);
    pb_db_bind_text(s, 16, pb_form_names[b->form]);
    pb_db_bind_real(s, 17, b->celsius);
    pb_db_bind_real(s, 18, c->ke);
    pb_db_bind_real(s, 19, c->cw);
    pb_db_bind_real(s, 20, c->ch);
    pb_db_bind_real(s, 21, c->cq);
    pb_db_bind_real(s, 22, c->viability);
    pb_db_bind_real(s, 23, c->moisture);
    pb_db_bind_text(s, 24, c->source);
    pb_db_bind_text(s, 25, b->medium);
    pb_db_bind_text(s, 26, b->agent);
    pb_db_bind_real(s, 27, b->chlorine);
    pb_db_bind_from(s, 28, b->minutes, 0);
    pb_db_bind_text(s, 29, pb_light_names[b->light]);
    pb_db_bind_from(s, 30, b->nodes, 1);
    pb_db_bind_text(s, 31, pb_kept_names[b->kept]);
    (void)sqlite3_bind_int(s, 32, b->dried);
    (void)sqlite3_bind_int(s, 33, b->cap_removed);
    pb_db_bind_text(s, 34, b->place);
    pb_db_bind_text(s, 35, b->note);
    pb_db_bind_real(s, 36, c->below);
    (void)sqlite3_bind_int(s, 37, open && !b->head.withdrawn && !b->elsewhere);
    bool away = b->source.n == 0 && b->source.id[0] != '\0';
    pb_db_bind_text(s, 38, away ? b->source.id : NULL);
    pb_db_bind_text(s, 39, away ? b->source.code : NULL);
    pb_db_bind_text(s, 40, away ? pb_kind_names[b->source_kind] : NULL);
    pb_db_bind_day(s, 41, away ? b->began : PB_DAY_NONE);
    (void)sqlite3_bind_int(s, 42, b->elsewhere);
}

enum pb_rc pb_batch_insert(struct pb_book *b, struct pb_batch *batch, bool open,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "INSERT INTO batch(id,code,origin_code,revision,modified,withdrawn,extra,kind,"
        "day,units,amount,crossing,plant,source,capsules,form,celsius,ke,cw,ch,cq,"
        "viability,moisture,constants,medium,agent,chlorine,minutes,light,nodes,kept,"
        "dried,cap_removed,place,note,below,open,source_id,source_code,source_kind,"
        "began,elsewhere) "
        "VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,"
        "?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        &s, err);
    if (rc != PB_OK)
        return rc;
    bind(s, batch, open);
    batch->head.n = 0;
    rc = pb_db_keep(b, s, &batch->head.n, err);
    for (size_t i = 0; i < batch->look_n && rc == PB_OK; i++)
        rc = pb_look_keep(b, (struct pb_looked){batch->kind, batch->head.n},
                          &batch->looks[i], err);
    return rc;
}

enum pb_rc pb_batch_update(struct pb_book *b, const struct pb_batch *batch, bool open,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_revision_note(b, "batch", &batch->head, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_db_get(
        b,
        "UPDATE batch SET id=?,code=?,origin_code=?,revision=?,modified=?,withdrawn=?,"
        "extra=?,kind=?,day=?,units=?,amount=?,crossing=?,plant=?,source=?,capsules=?,"
        "form=?,celsius=?,ke=?,cw=?,ch=?,cq=?,viability=?,moisture=?,constants=?,"
        "medium=?,agent=?,chlorine=?,minutes=?,light=?,nodes=?,kept=?,dried=?,"
        "cap_removed=?,place=?,note=?,below=?,open=?,source_id=?,"
        "source_code=?,source_kind=?,began=?,elsewhere=? WHERE n=?",
        &s, err);
    if (rc != PB_OK)
        return rc;
    bind(s, batch, open);
    (void)sqlite3_bind_int64(s, 43, batch->head.n);
    return pb_db_run(b, s, err);
}

/* Whom to tell of each. */
struct asking {
    pb_batch_each *each;
    void *ctx;
};

/* Tell of every row of a statement and release it; rc is how its making went. */
static enum pb_rc each_row(struct pb_book *b, sqlite3_stmt *s, enum pb_rc rc,
                           struct asking asking, struct pb_err *err)
{
    while (pb_db_next(b, s, &rc, err)) {
        struct pb_batch batch;
        pb_batch_init(&batch, PB_SEED);
        rc = fill(b, s, &batch, err);
        if (rc == PB_OK)
            rc = asking.each(asking.ctx, &batch, err);
        pb_batch_clear(&batch);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

enum pb_rc pb_batches_each(struct pb_book *b, struct pb_batch_ask ask,
                           pb_batch_each *each, void *ctx, struct pb_err *err)
{
#define KIND "(?1 IS NULL OR b.kind=?1)"
    /* ORDER BATCH_SET */
    static const char *const sql[] = {
        COLUMNS "WHERE b.open=1 AND " KIND " AND ?2=0 ORDER BY b.n",
        COLUMNS "WHERE b.withdrawn=0 AND " KIND " AND ?2=0 ORDER BY b.n",
        COLUMNS "WHERE " KIND " AND ?2=0 ORDER BY b.n",
        COLUMNS "WHERE b.withdrawn=0 AND " KIND " AND b.plant=?2 ORDER BY b.n",
        COLUMNS "WHERE b.withdrawn=0 AND " KIND " AND b.crossing=?2 ORDER BY b.n",
        COLUMNS "WHERE b.withdrawn=0 AND " KIND " AND b.source=?2 ORDER BY b.n",
    };
#undef KIND
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(b, sql[ask.set], &s, err);
    if (rc == PB_OK && ask.kind != PB_KIND_N)
        pb_db_bind_text(s, 1, pb_kind_names[ask.kind]);
    if (rc == PB_OK)
        (void)sqlite3_bind_int64(s, 2, ask.row);
    return each_row(b, s, rc, (struct asking){each, ctx}, err);
}

enum pb_rc pb_batches_of_taxon(struct pb_book *b, const char *taxon_key,
                               pb_batch_each *each, void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(
        b,
        COLUMNS "WHERE b.withdrawn=0 AND (b.crossing IN (SELECT c.n FROM plant q"
                " JOIN crossing c ON c.seed_parent=q.n WHERE q.taxon_key=?1)"
                " OR b.plant IN (SELECT n FROM plant WHERE taxon_key=?1)) ORDER BY b.n",
        &s, err);
    if (rc == PB_OK)
        pb_db_bind_text(s, 1, taxon_key);
    return each_row(b, s, rc, (struct asking){each, ctx}, err);
}

enum pb_rc pb_batch_plants(struct pb_book *b, int64_t batch,
                           char (**codes)[PB_MAX_CODE + 1], size_t *n,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b, "SELECT code FROM plant WHERE out_of=? AND withdrawn=0 ORDER BY n", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, batch);
    return pb_db_codes(b, s, 0, codes, n, err);
}

enum pb_rc pb_batch_is_used(struct pb_book *b, const struct pb_batch *batch, bool *used,
                            char who[PB_MAX_CODE + 1], struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        pb_db_get(b,
                  "SELECT code FROM batch WHERE withdrawn=0 AND source=?1"
                  " UNION ALL SELECT code FROM plant WHERE withdrawn=0 AND out_of=?1"
                  " UNION ALL SELECT x.code FROM pollen_parent q JOIN crossing x"
                  " ON x.n=q.crossing WHERE x.withdrawn=0 AND q.plant=?2"
                  " AND q.lot=?3 COLLATE NOCASE LIMIT 1",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, batch->head.n);
    (void)sqlite3_bind_int64(s, 2, batch->plant.n);
    pb_db_bind_text(s, 3, batch->head.code);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        pb_db_copy(s, 0, who, PB_MAX_CODE + 1);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *used = row;
    return rc;
}
