/* What the estimator reads, and its cache.  See learnt.h. */
#include "book/learnt.h"

#include "book/db.h"
#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

enum pb_rc pb_taxon_changes(struct pb_book *b, const char *taxon_key, int64_t *number,
                            struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        pb_db_get(b, "SELECT number FROM taxon_change WHERE taxon_key=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, taxon_key);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK)
        *number = row ? sqlite3_column_int64(s, 0) : 0;
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_taxa_each(struct pb_book *b, pb_taxon_each *each, void *ctx,
                        struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_prepare(b,
                      "SELECT DISTINCT p.taxon_key FROM crossing x JOIN plant p"
                      " ON p.n=x.seed_parent WHERE x.withdrawn=0"
                      " ORDER BY p.taxon_key",
                      &s, err);
    while (pb_db_next(b, s, &rc, err)) {
        rc = each(ctx, (const char *)sqlite3_column_text(s, 0), err);
    }
    (void)sqlite3_finalize(s);
    return rc;
}

#define OF_TAXON \
    " JOIN plant p ON p.n=x.seed_parent WHERE p.taxon_key=?1 AND x.withdrawn=0"

/* Three statements run side by side, all in the order of the crosses' rows. */
struct lives {
    struct pb_book *b;
    sqlite3_stmt *cross, *look, *harvest, *pollen;
    bool look_row, harvest_row, pollen_row;
};

static enum pb_rc start(struct lives *l, const char *sql, const char *taxon_key,
                        sqlite3_stmt **s, struct pb_err *err)
{
    enum pb_rc rc = pb_db_prepare(l->b, sql, s, err);
    if (rc == PB_OK)
        pb_db_bind_text(*s, 1, taxon_key);
    return rc;
}

static enum pb_rc open_lives(struct lives *l, const char *taxon_key, struct pb_err *err)
{
    enum pb_rc rc = start(l,
                          "SELECT x.n,x.pollinated,x.flowers,x.seed_parent,p.source,"
                          "x.flower_age"
                          " FROM crossing x" OF_TAXON " ORDER BY x.n",
                          taxon_key, &l->cross, err);
    if (rc == PB_OK)
        rc = start(l,
                   "SELECT l.crossing,l.number,l.day,l.found,l.count FROM look l"
                   " JOIN crossing x ON x.n=l.crossing" OF_TAXON
                   " AND l.withdrawn=0 ORDER BY l.crossing,l.number",
                   taxon_key, &l->look, err);
    if (rc == PB_OK)
        rc = start(l,
                   "SELECT h.crossing,h.number,h.day,h.count,h.state FROM harvest h"
                   " JOIN crossing x ON x.n=h.crossing" OF_TAXON
                   " AND h.withdrawn=0 ORDER BY h.crossing,h.number",
                   taxon_key, &l->harvest, err);
    if (rc == PB_OK)
        rc = start(l,
                   "SELECT o.crossing,o.plant,q.source FROM pollen_parent o"
                   " JOIN plant q ON q.n=o.plant"
                   " JOIN crossing x ON x.n=o.crossing" OF_TAXON
                   " ORDER BY o.crossing,o.place",
                   taxon_key, &l->pollen, err);
    if (rc == PB_OK)
        rc = pb_db_step(l->b, l->pollen, &l->pollen_row, err);
    if (rc == PB_OK)
        rc = pb_db_step(l->b, l->look, &l->look_row, err);
    if (rc == PB_OK)
        rc = pb_db_step(l->b, l->harvest, &l->harvest_row, err);
    return rc;
}

static void close_lives(struct lives *l)
{
    (void)sqlite3_finalize(l->cross);
    (void)sqlite3_finalize(l->look);
    (void)sqlite3_finalize(l->harvest);
    (void)sqlite3_finalize(l->pollen);
}

static enum pb_rc take_looks(struct lives *l, struct pb_cross *x, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    while (rc == PB_OK && l->look_row &&
           sqlite3_column_int64(l->look, 0) == x->head.n) {
        struct pb_look *more = realloc(x->looks, (x->look_n + 1) * sizeof(*more));
        if (more == NULL)
            return pb_fail_memory(err);
        x->looks = more;
        struct pb_look *look = &x->looks[x->look_n++];
        memset(look, 0, sizeof(*look));
        look->number = sqlite3_column_int(l->look, 1);
        look->on = pb_db_day_needed(l->look, 2, &rc);
        look->found = pb_db_word(l->look, 3, pb_found_names, PB_FOUND_N);
        look->count = sqlite3_column_int(l->look, 4);
        rc = pb_db_read_end(rc, "look at a cross", err);
        if (rc == PB_OK)
            rc = pb_db_step(l->b, l->look, &l->look_row, err);
    }
    return rc;
}

static enum pb_rc take_harvests(struct lives *l, struct pb_cross *x, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    while (rc == PB_OK && l->harvest_row &&
           sqlite3_column_int64(l->harvest, 0) == x->head.n) {
        struct pb_harvest *more =
            realloc(x->harvests, (x->harvest_n + 1) * sizeof(*more));
        if (more == NULL)
            return pb_fail_memory(err);
        x->harvests = more;
        struct pb_harvest *h = &x->harvests[x->harvest_n++];
        memset(h, 0, sizeof(*h));
        h->number = sqlite3_column_int(l->harvest, 1);
        h->on = pb_db_day_needed(l->harvest, 2, &rc);
        h->count = sqlite3_column_int(l->harvest, 3);
        h->as = (enum pb_as)pb_db_word(l->harvest, 4, pb_as_names, PB_AS_N);
        rc = pb_db_read_end(rc, "harvest", err);
        if (rc == PB_OK)
            rc = pb_db_step(l->b, l->harvest, &l->harvest_row, err);
    }
    return rc;
}

/* A plant's row and the first plant of its clone; most are their own. */
static enum pb_rc take_parent(struct pb_book *b, sqlite3_stmt *s, int plant, int source,
                              struct pb_parent *p, struct pb_err *err)
{
    p->plant.n = p->genet.n = sqlite3_column_int64(s, plant);
    return sqlite3_column_type(s, source) != SQLITE_NULL
               ? pb_genet_of(b, p->plant.n, &p->genet, err)
               : PB_OK;
}

static enum pb_rc take_pollen(struct lives *l, struct pb_cross *x, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    while (rc == PB_OK && l->pollen_row &&
           sqlite3_column_int64(l->pollen, 0) == x->head.n) {
        if (x->pollen_n < PB_MAX_POLLEN_PARENTS)
            rc = take_parent(l->b, l->pollen, 1, 2, &x->pollen[x->pollen_n++].parent,
                             err);
        if (rc == PB_OK)
            rc = pb_db_step(l->b, l->pollen, &l->pollen_row, err);
    }
    return rc;
}

static enum pb_rc one_life(struct lives *l, pb_life_each *each, void *ctx,
                           struct pb_err *err)
{
    struct pb_cross x;
    pb_cross_init(&x);
    x.head.n = sqlite3_column_int64(l->cross, 0);
    enum pb_rc rc = PB_OK;
    x.pollinated = pb_db_day_needed(l->cross, 1, &rc);
    x.flowers = sqlite3_column_int(l->cross, 2);
    x.flower_age = pb_db_int(l->cross, 5, -1);
    rc = pb_db_read_end(rc, "cross", err);
    if (rc == PB_OK)
        rc = take_parent(l->b, l->cross, 3, 4, &x.seed, err);
    if (rc == PB_OK)
        rc = take_pollen(l, &x, err);
    if (rc == PB_OK)
        rc = take_looks(l, &x, err);
    if (rc == PB_OK)
        rc = take_harvests(l, &x, err);
    if (rc == PB_OK)
        rc = each(ctx, &x, err);
    pb_cross_clear(&x);
    return rc;
}

enum pb_rc pb_taxon_lives(struct pb_book *b, const char *taxon_key, pb_life_each *each,
                          void *ctx, struct pb_err *err)
{
    struct lives l = {.b = b};
    enum pb_rc rc = open_lives(&l, taxon_key, err);
    while (pb_db_next(b, l.cross, &rc, err)) {
        rc = one_life(&l, each, ctx, err);
    }
    close_lives(&l);
    return rc;
}

/* Bytes of the first column of the law's row; *row: there is one. */
static enum pb_rc find_bytes(struct pb_book *b, sqlite3_stmt *s,
                             const struct pb_learnt *l, struct pb_learnt_bytes *bytes,
                             bool *row, struct pb_err *err)
{
    pb_db_bind_text(s, 1, l->taxon_key);
    (void)sqlite3_bind_int64(s, 2, l->genet);
    pb_db_bind_text(s, 3, l->key);
    enum pb_rc rc = pb_db_step(b, s, row, err);
    if (rc != PB_OK || !*row)
        return rc;
    const void *blob = sqlite3_column_blob(s, 0);
    size_t n = (size_t)sqlite3_column_bytes(s, 0);
    if (blob == NULL && n > 0)
        return pb_db_fail(b, err); /* its pages could not be had */
    void *copy = malloc(n + 1);
    if (copy == NULL)
        return pb_fail_memory(err);
    if (n > 0)
        memcpy(copy, blob, n);
    bytes->v = copy;
    bytes->n = n;
    return PB_OK;
}

enum pb_rc pb_learnt_brief(struct pb_book *b, struct pb_learnt *l,
                           struct pb_learnt_bytes *brief, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b,
                              "SELECT brief,capsules FROM learnt"
                              " WHERE taxon_key=? AND genet=? AND key=?",
                              &s, err);
    if (rc == PB_OK)
        rc = find_bytes(b, s, l, brief, &row, err);
    if (rc == PB_OK && row)
        l->capsules = sqlite3_column_int64(s, 1);
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_learnt_law(struct pb_book *b, const struct pb_learnt *l,
                         struct pb_learnt_bytes *law, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b,
                              "SELECT law FROM learnt_law"
                              " WHERE taxon_key=? AND genet=? AND key=?",
                              &s, err);
    if (rc == PB_OK)
        rc = find_bytes(b, s, l, law, &row, err);
    (void)sqlite3_reset(s);
    return rc;
}

static void bind_key(sqlite3_stmt *s, const struct pb_learnt *l,
                     struct pb_learnt_bytes bytes)
{
    pb_db_bind_text(s, 1, l->taxon_key);
    (void)sqlite3_bind_int64(s, 2, l->genet);
    pb_db_bind_text(s, 3, l->key);
    (void)sqlite3_bind_blob64(s, 4, bytes.v, bytes.n, SQLITE_STATIC);
}

enum pb_rc pb_learnt_keep(struct pb_book *b, const struct pb_learnt *l,
                          struct pb_learnt_bytes brief, struct pb_learnt_bytes law,
                          struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b,
                              "INSERT OR REPLACE INTO learnt(taxon_key,genet,key,brief,"
                              "capsules) VALUES(?,?,?,?,?)",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    bind_key(s, l, brief);
    (void)sqlite3_bind_int64(s, 5, l->capsules);
    rc = pb_db_run(b, s, err);
    if (rc == PB_OK)
        rc = pb_db_get(b,
                       "INSERT OR REPLACE INTO learnt_law(taxon_key,genet,key,law)"
                       " VALUES(?,?,?,?)",
                       &s, err);
    if (rc != PB_OK)
        return rc;
    bind_key(s, l, law);
    return pb_db_run(b, s, err);
}

static enum pb_rc drop(struct pb_book *b, const char *sql, const char *taxon_key,
                       struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, sql, &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, taxon_key);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_learnt_drop(struct pb_book *b, const char *taxon_key, struct pb_err *err)
{
    enum pb_rc rc = drop(b, "DELETE FROM learnt WHERE taxon_key=?", taxon_key, err);
    return rc == PB_OK
               ? drop(b, "DELETE FROM learnt_law WHERE taxon_key=?", taxon_key, err)
               : rc;
}
