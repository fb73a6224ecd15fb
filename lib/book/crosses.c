/* Crosses in the book: reading whole ones, entering, changing.  See crosses.h.
 * A cross is one row of crossing and its children; the children are read by statements
 * that are prepared once and bound again for each cross. */
#include "book/crosses.h"

#include "base/text.h"
#include "book/db.h"
#include "book/parents.h"
#include "book/revisions.h"

#include <stdlib.h>
#include <string.h>

#define COLUMNS                                                                   \
    "x.n,x.id,x.code,x.origin_code,x.revision,x.modified,x.withdrawn,x.extra,"    \
    "x.seed_parent,x.pollinated,x.flowers,x.flower_age,x.at,x.own_pollen,x.grex," \
    "x.profile,x.bagged,x.note,x.doubtful "

#define ADD_POLLEN                                                 \
    "INSERT INTO pollen_parent(crossing,place,plant,lot,age_days)" \
    " VALUES(?,?,?,?,?)"

/*
 * Many crosses, read in the order of their rows while nothing is written.  Most that are open
 * have no harvest, and many no look yet: behind one that has none, the next that has some is
 * asked for, and those before it are not asked.
 */
struct walk {
    struct pb_parents parents;
    bool open;                       /* they are open; of others most have some */
    int64_t next_look, next_harvest; /* no cross before that row has one */
};

/* The first cross behind that row which has a row in that table.
 *   sql  of one parameter and one column */
static enum pb_rc ask_next(struct pb_book *b, const char *sql, int64_t row,
                           int64_t *next, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, sql, &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, row);
    *next = INT64_MAX;
    return pb_db_number(b, s, next, err);
}

static enum pb_rc load_harvests(struct pb_book *b, struct pb_cross *x,
                                struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT h.n,h.number,h.day,h.count,h.state,h.held_cold,s.code FROM harvest h"
        " LEFT JOIN batch s ON s.n=h.lot"
        " WHERE h.crossing=? AND h.withdrawn=0 ORDER BY h.number",
        &s, err);
    if (rc == PB_OK)
        (void)sqlite3_bind_int64(s, 1, x->head.n);
    while (pb_db_next(b, s, &rc, err)) {
        void *array = x->harvests;
        struct pb_harvest *h = pb_db_grow(&array, x->harvest_n, sizeof(*h));
        x->harvests = array;
        if (h == NULL)
            return pb_fail_memory(err);
        x->harvest_n++;
        h->n = sqlite3_column_int64(s, 0);
        h->number = sqlite3_column_int(s, 1);
        h->on = pb_db_day_needed(s, 2, &rc);
        h->count = sqlite3_column_int(s, 3);
        h->as = (enum pb_as)pb_db_word(s, 4, pb_as_names, PB_AS_N);
        h->held_cold = sqlite3_column_int(s, 5) != 0;
        pb_db_copy(s, 6, h->lot, sizeof(h->lot));
        rc = pb_db_read_end(rc, "harvest", err);
    }
    return rc;
}

static enum pb_rc load_pollen(struct pb_book *b, struct pb_parents *parents,
                              struct pb_cross *x, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = true;
    int64_t plants[PB_MAX_POLLEN_PARENTS];
    enum pb_rc rc = pb_db_get(b,
                              "SELECT plant,lot,age_days FROM pollen_parent"
                              " WHERE crossing=? ORDER BY place",
                              &s, err);
    if (rc == PB_OK)
        (void)sqlite3_bind_int64(s, 1, x->head.n);
    size_t n = 0;
    while (rc == PB_OK && n < PB_MAX_POLLEN_PARENTS) {
        rc = pb_db_step(b, s, &row, err);
        if (rc != PB_OK || !row)
            break;
        plants[n] = sqlite3_column_int64(s, 0);
        pb_db_copy(s, 1, x->pollen[n].lot, sizeof(x->pollen[n].lot));
        x->pollen[n].age_days = pb_db_int(s, 2, -1);
        n++;
    }
    (void)sqlite3_reset(s);
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        x->pollen_n = i + 1;
        rc = pb_parents_load(parents, b, plants[i], &x->pollen[i].parent, err);
    }
    return rc;
}

/* The looks and the harvests of a cross; w: NULL, or it is one of many. */
static enum pb_rc load_story(struct pb_book *b, struct walk *w, struct pb_cross *x,
                             struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    int64_t row = x->head.n;
    bool asks = w != NULL && w->open;
    if (w == NULL || row >= w->next_look)
        rc = pb_looks_load(b, (struct pb_looked){PB_CROSS, row}, &x->looks, &x->look_n,
                           err);
    if (rc == PB_OK && asks && row >= w->next_look && x->look_n == 0)
        rc = ask_next(b,
                      "SELECT crossing FROM look WHERE crossing>? AND withdrawn=0"
                      " ORDER BY crossing LIMIT 1",
                      row, &w->next_look, err);
    if (rc == PB_OK && (w == NULL || row >= w->next_harvest))
        rc = load_harvests(b, x, err);
    if (rc == PB_OK && asks && row >= w->next_harvest && x->harvest_n == 0)
        rc = ask_next(b,
                      "SELECT crossing FROM harvest WHERE crossing>? AND withdrawn=0"
                      " ORDER BY crossing LIMIT 1",
                      row, &w->next_harvest, err);
    return rc;
}

/* A row of COLUMNS, and everything that belongs to the cross; w: NULL, or it is one of many. */
static enum pb_rc fill(struct pb_book *b, sqlite3_stmt *s, struct walk *w,
                       struct pb_cross *x, struct pb_err *err)
{
    struct pb_parents *parents = w != NULL ? &w->parents : NULL;
    enum pb_rc rc = PB_OK;
    pb_db_read_head(s, &x->head, &rc);
    int64_t seed = sqlite3_column_int64(s, 8);
    x->pollinated = pb_db_day_needed(s, 9, &rc);
    x->flowers = sqlite3_column_int(s, 10);
    x->flower_age = pb_db_int(s, 11, -1);
    x->at = pb_db_text(s, 12, &rc);
    x->own_pollen =
        (enum pb_own_pollen)pb_db_word(s, 13, pb_own_pollen_names, PB_OWN_N);
    x->grex = pb_db_text(s, 14, &rc);
    x->profile = pb_db_text(s, 15, &rc);
    x->bagged = pb_db_day(s, 16);
    x->note = pb_db_text(s, 17, &rc);
    x->doubtful = pb_db_text(s, 18, &rc);
    rc = pb_db_read_end(rc, "cross", err);
    if (rc == PB_OK)
        rc = pb_parents_load(parents, b, seed, &x->seed, err);
    if (rc == PB_OK)
        rc = load_pollen(b, parents, x, err);
    return rc == PB_OK ? load_story(b, w, x, err) : rc;
}

enum pb_rc pb_cross_find(struct pb_book *b, enum pb_cross_by by, const char *key,
                         struct pb_cross *x, bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = PB_OK;
    if (by == PB_CROSS_BY_CODE)
        rc = pb_db_get(b, "SELECT " COLUMNS "FROM crossing x WHERE x.code=?", &s, err);
    else if (by == PB_CROSS_BY_ID)
        rc = pb_db_get(b, "SELECT " COLUMNS "FROM crossing x WHERE x.id=?", &s, err);
    else
        rc = pb_db_get(b,
                       "SELECT " COLUMNS "FROM batch l JOIN crossing x"
                       " ON x.n=l.crossing WHERE l.kind='seed' AND l.code=?",
                       &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, key);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        rc = fill(b, s, NULL, x, err);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *found = row;
    return rc;
}

static void bind(sqlite3_stmt *s, const struct pb_cross *x, bool open)
{
    pb_db_bind_head(s, &x->head);
    (void)sqlite3_bind_int64(s, 8, x->seed.plant.n);
    pb_db_bind_day(s, 9, x->pollinated);
    (void)sqlite3_bind_int(s, 10, x->flowers);
    pb_db_bind_from(s, 11, x->flower_age, 0);
    pb_db_bind_text(s, 12, x->at);
    pb_db_bind_text(s, 13, pb_own_pollen_names[x->own_pollen]);
    pb_db_bind_text(s, 14, x->grex);
    pb_db_bind_text(s, 15, x->profile);
    pb_db_bind_day(s, 16, x->bagged);
    pb_db_bind_text(s, 17, x->note);
    pb_db_bind_text(s, 18, x->doubtful);
    (void)sqlite3_bind_int(s, 19, open && !x->head.withdrawn);
}

/* The pollen parents of a cross as they are in x; over: rows of it may be there.  Those that
 * stay the same are left alone, so that the history shows only what changed. */
static enum pb_rc keep_pollen(struct pb_book *b, const struct pb_cross *x, bool over,
                              struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++) {
        const struct pb_pollen_parent *p = &x->pollen[i];
        rc = over ? pb_db_get(b,
                              ADD_POLLEN " ON CONFLICT(crossing,place) DO UPDATE SET"
                                         " plant=excluded.plant,lot=excluded.lot,"
                                         "age_days=excluded.age_days",
                              &s, err)
                  : pb_db_get(b, ADD_POLLEN, &s, err);
        if (rc != PB_OK)
            break;
        (void)sqlite3_bind_int64(s, 1, x->head.n);
        (void)sqlite3_bind_int64(s, 2, (int64_t)i);
        (void)sqlite3_bind_int64(s, 3, p->parent.plant.n);
        pb_db_bind_text(s, 4, p->lot);
        pb_db_bind_from(s, 5, p->age_days, 0);
        rc = pb_db_run(b, s, err);
    }
    return rc;
}

/* Those that it has no more. */
static enum pb_rc drop_pollen(struct pb_book *b, const struct pb_cross *x,
                              struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b, "DELETE FROM pollen_parent WHERE crossing=? AND place>=?", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, x->head.n);
    (void)sqlite3_bind_int64(s, 2, (int64_t)x->pollen_n);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_cross_insert(struct pb_book *b, struct pb_cross *x, bool open,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "INSERT INTO crossing(id,code,origin_code,revision,modified,withdrawn,extra,"
        "seed_parent,pollinated,flowers,flower_age,at,own_pollen,grex,profile,bagged,"
        "note,doubtful,open) VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        &s, err);
    if (rc != PB_OK)
        return rc;
    bind(s, x, open);
    x->head.n = 0;
    rc = pb_db_keep(b, s, &x->head.n, err);
    if (rc == PB_OK)
        rc = keep_pollen(b, x, false, err);
    for (size_t i = 0; i < x->look_n && rc == PB_OK; i++)
        rc =
            pb_look_keep(b, (struct pb_looked){PB_CROSS, x->head.n}, &x->looks[i], err);
    for (size_t i = 0; i < x->harvest_n && rc == PB_OK; i++)
        rc = pb_harvest_keep(b, x->head.n, &x->harvests[i], err);
    return rc;
}

enum pb_rc pb_cross_update(struct pb_book *b, const struct pb_cross *x, bool open,
                           struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_revision_note(b, "crossing", &x->head, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_db_get(
        b,
        "UPDATE crossing SET id=?,code=?,origin_code=?,revision=?,modified=?,"
        "withdrawn=?,extra=?,seed_parent=?,pollinated=?,flowers=?,flower_age=?,at=?,"
        "own_pollen=?,grex=?,profile=?,bagged=?,note=?,doubtful=?,open=? WHERE n=?",
        &s, err);
    if (rc != PB_OK)
        return rc;
    bind(s, x, open);
    (void)sqlite3_bind_int64(s, 20, x->head.n);
    rc = pb_db_run(b, s, err);
    if (rc == PB_OK)
        rc = keep_pollen(b, x, true, err);
    return rc == PB_OK ? drop_pollen(b, x, err) : rc;
}

enum pb_rc pb_crosses_each(struct pb_book *b, enum pb_cross_set set, int64_t plant,
                           pb_cross_each *each, void *ctx, struct pb_err *err)
{
    /* ORDER CROSS_SET */
    static const char *const sql[] = {
        "SELECT " COLUMNS "FROM crossing x JOIN plant p ON p.n=x.seed_parent"
        " WHERE x.open=1 AND p.elsewhere=0 AND p.gone IS NULL ORDER BY x.n",
        "SELECT " COLUMNS "FROM crossing x WHERE x.open=1 ORDER BY x.n",
        "SELECT " COLUMNS "FROM crossing x WHERE x.withdrawn=0 ORDER BY x.n",
        "SELECT " COLUMNS "FROM crossing x ORDER BY x.n",
        "SELECT " COLUMNS "FROM crossing x WHERE x.withdrawn=0 AND (x.seed_parent=?1"
        " OR x.n IN (SELECT crossing FROM pollen_parent WHERE plant=?1)) ORDER BY x.n",
    };
    sqlite3_stmt *s = NULL;
    struct walk walk = {.open = set == PB_CROSSES_DUE || set == PB_CROSSES_OPEN};
    enum pb_rc rc = pb_db_prepare(b, sql[set], &s, err);
    if (rc == PB_OK && set == PB_CROSSES_OF)
        (void)sqlite3_bind_int64(s, 1, plant);
    while (pb_db_next(b, s, &rc, err)) {
        struct pb_cross x;
        pb_cross_init(&x);
        rc = fill(b, s, set == PB_CROSSES_OF ? NULL : &walk, &x, err);
        if (rc == PB_OK)
            rc = each(ctx, &x, err);
        pb_cross_clear(&x);
    }
    pb_parents_clear(&walk.parents);
    (void)sqlite3_finalize(s);
    return rc;
}

/* The first code that a query gives, as an answer to "is it used". */
static enum pb_rc first_code(struct pb_book *b, sqlite3_stmt *s, bool *used,
                             char who[PB_MAX_CODE + 1], struct pb_err *err)
{
    bool row = false;
    enum pb_rc rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        pb_db_copy(s, 0, who, PB_MAX_CODE + 1);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *used = row;
    return rc;
}

enum pb_rc pb_plant_is_used(struct pb_book *b, int64_t plant, bool *used,
                            char who[PB_MAX_CODE + 1], struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b,
                  "SELECT code FROM crossing WHERE withdrawn=0 AND seed_parent=?1"
                  " UNION ALL SELECT x.code FROM pollen_parent p JOIN crossing x ON "
                  "x.n=p.crossing"
                  " WHERE x.withdrawn=0 AND p.plant=?1"
                  " UNION ALL SELECT code FROM plant WHERE withdrawn=0 AND"
                  " (source=?1 OR seed_parent=?1 OR pollen_parent=?1)"
                  " UNION ALL SELECT code FROM batch WHERE withdrawn=0 AND plant=?1"
                  " LIMIT 1",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    return first_code(b, s, used, who, err);
}

enum pb_rc pb_cross_is_used(struct pb_book *b, const char *id, bool *used,
                            char who[PB_MAX_CODE + 1], struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b,
                  "SELECT code FROM plant WHERE withdrawn=0 AND from_id=?1 UNION ALL"
                  " SELECT b.code FROM crossing x JOIN batch b ON b.crossing=x.n"
                  " WHERE x.id=?1 AND b.withdrawn=0 LIMIT 1",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, id);
    return first_code(b, s, used, who, err);
}
