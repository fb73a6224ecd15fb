/* Plants in the book: reading.  See plants.h. */
#include "book/plants.h"

#include "base/text.h"
#include "book/db.h"
#include "book/named.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Columns in the order that fill() reads them. */
#define COLUMNS                                                                        \
    "p.n,p.id,p.code,p.origin_code,p.revision,p.modified,p.withdrawn,p.extra,p.taxon," \
    "p.clone_name,p.ploidy,p.origin,p.got,p.source_text,p.papers,p.place,p.note,"      \
    "p.elsewhere,p.gone,p.gone_on,p.from_id,ifnull(x.code,p.from_code),x.n,"           \
    "a.n,a.id,a.code,b.n,b.id,b.code,c.n,c.id,c.code,o.n,ifnull(o.id,p.out_of_id),"    \
    "ifnull(o.code,p.out_of_code),p.doubtful "
#define FROM                                                                    \
    "FROM plant p LEFT JOIN crossing x ON x.id=p.from_id"                       \
    " LEFT JOIN plant a ON a.n=p.source LEFT JOIN plant b ON b.n=p.seed_parent" \
    " LEFT JOIN plant c ON c.n=p.pollen_parent LEFT JOIN batch o ON o.n=p.out_of "

/* A row of COLUMNS into an initialised plant; the genet is still to come. */
static enum pb_rc fill(sqlite3_stmt *s, struct pb_plant *p, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    pb_db_read_head(s, &p->head, &rc);
    p->taxon = pb_db_text_needed(s, 8, &rc);
    p->clone_name = pb_db_text(s, 9, &rc);
    p->ploidy = sqlite3_column_int(s, 10);
    p->origin = (enum pb_origin)pb_db_word(s, 11, pb_origin_names, PB_ORIGIN_N);
    p->got = pb_db_day(s, 12);
    p->source_text = pb_db_text(s, 13, &rc);
    p->papers = pb_db_text(s, 14, &rc);
    p->place = pb_db_text(s, 15, &rc);
    p->note = pb_db_text(s, 16, &rc);
    p->elsewhere = sqlite3_column_int(s, 17) != 0;
    p->named_only = sqlite3_column_int(s, 17) == PB_NAMED_ONLY;
    p->gone = (enum pb_gone)pb_db_word(s, 18, pb_gone_names, PB_GONE_N);
    p->gone_on = pb_db_day(s, 19);
    p->from_cross.n = sqlite3_column_int64(s, 22);
    pb_db_copy(s, 20, p->from_cross.id, sizeof(p->from_cross.id));
    pb_db_copy(s, 21, p->from_cross.code, sizeof(p->from_cross.code));
    pb_db_ref(s, 23, &p->source);
    pb_db_ref(s, 26, &p->seed_parent);
    pb_db_ref(s, 29, &p->pollen_parent);
    pb_db_ref(s, 32, &p->out_of);
    p->doubtful = pb_db_text(s, 35, &rc);
    return rc == PB_OK ? rc : pb_fail_memory(err);
}

/*
 * First plant of the clone, and the nearest name given to it on the way.  Step by step up
 * the sources: a recursive query would set up temporary tables for each plant.  A damaged
 * book may hold a ring of pups; there the walk ends after so many steps.
 */
static enum pb_rc load_genet(struct pb_book *b, int64_t plant, struct pb_ref *genet,
                             char **name, struct pb_err *err)
{
    enum { STEPS = 100000 };
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = PB_OK;
    char *nearest = NULL;
    for (int i = 0; plant != 0 && i < STEPS; i++) {
        rc = pb_db_get(b, "SELECT n,id,code,source,clone_name FROM plant WHERE n=?", &s,
                       err);
        if (rc != PB_OK)
            break;
        (void)sqlite3_bind_int64(s, 1, plant);
        rc = pb_db_step(b, s, &row, err);
        if (rc != PB_OK || !row)
            break;
        pb_db_ref(s, 0, genet);
        plant = sqlite3_column_int64(s, 3);
        if (name != NULL && nearest == NULL)
            nearest = pb_db_text(s, 4, &rc);
        (void)sqlite3_reset(s);
        if (rc != PB_OK) {
            (void)pb_fail_memory(err);
            break;
        }
    }
    if (rc == PB_OK && name != NULL)
        *name = nearest;
    else
        free(nearest);
    return rc;
}

/* Most plants are their own genet: no query for them. */
static enum pb_rc set_genet(struct pb_book *b, struct pb_plant *p, struct pb_err *err)
{
    if (p->source.n != 0)
        return load_genet(b, p->head.n, &p->genet, NULL, err);
    p->genet.n = p->head.n;
    memcpy(p->genet.id, p->head.id, sizeof(p->genet.id));
    memcpy(p->genet.code, p->head.code, sizeof(p->genet.code));
    return PB_OK;
}

enum pb_rc pb_plant_find_alone(struct pb_book *b, enum pb_plant_by by, const char *key,
                               struct pb_plant *p, bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    /* one statement for both keys: its many columns are what preparing it costs */
    enum pb_rc rc = pb_db_get(b,
                              "SELECT " COLUMNS FROM "WHERE p.n=CASE ?2"
                              " WHEN 0 THEN (SELECT n FROM plant WHERE code=?1)"
                              " ELSE (SELECT n FROM plant WHERE id=?1) END",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, key);
    (void)sqlite3_bind_int(s, 2, by == PB_PLANT_BY_ID);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row)
        rc = fill(s, p, err);
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *found = row;
    return rc;
}

enum pb_rc pb_plant_find(struct pb_book *b, enum pb_plant_by by, const char *key,
                         struct pb_plant *p, bool *found, struct pb_err *err)
{
    bool there = false;
    enum pb_rc rc = pb_plant_find_alone(b, by, key, p, &there, err);
    if (rc == PB_OK && there)
        rc = set_genet(b, p, err);
    if (rc == PB_OK)
        *found = there;
    return rc;
}

enum pb_rc pb_plant_find_came(struct pb_book *b, const char *id, struct pb_plant *p,
                              bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT "
        "p.code,p.got,p.elsewhere,p.source,p.from_id,o.n,ifnull(o.id,p.out_of_id)"
        " FROM plant p LEFT JOIN batch o ON o.n=p.out_of WHERE p.id=?",
        &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, id);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row) {
        pb_db_copy(s, 0, p->head.code, sizeof(p->head.code));
        p->got = pb_db_day(s, 1);
        p->elsewhere = sqlite3_column_int(s, 2) != 0;
        p->source.n = sqlite3_column_int64(s, 3);
        pb_db_copy(s, 4, p->from_cross.id, sizeof(p->from_cross.id));
        p->out_of.n = sqlite3_column_int64(s, 5);
        pb_db_copy(s, 6, p->out_of.id, sizeof(p->out_of.id));
    }
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *found = row;
    return rc;
}

enum pb_rc pb_plant_find_ref(struct pb_book *b, const char *code, struct pb_ref *ref,
                             bool *withdrawn, bool *found, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc =
        pb_db_get(b, "SELECT n,id,code,withdrawn FROM plant WHERE code=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, code);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row) {
        pb_db_ref(s, 0, ref);
        *withdrawn = sqlite3_column_int(s, 3) != 0;
    }
    (void)sqlite3_reset(s);
    if (rc == PB_OK)
        *found = row;
    return rc;
}

/* Rows of the first plants of clones, as far as a walk over the book has found them: by
 * row, 0 where not yet. */
struct firsts {
    int64_t *of;
    size_t n;
};

static enum pb_rc note_first(struct firsts *f, int64_t plant, int64_t first,
                             struct pb_err *err)
{
    size_t want = (size_t)plant + 1;
    if (f->of == NULL || want > f->n) {
        size_t n = want > 2 * f->n ? want : 2 * f->n;
        int64_t *of = realloc(f->of, (n + 1) * sizeof(*of));
        if (of == NULL)
            return pb_fail_memory(err);
        memset(of + f->n, 0, (n - f->n) * sizeof(*of));
        f->of = of;
        f->n = n;
    }
    f->of[plant] = first;
    return PB_OK;
}

/* The genet of one plant of many.  Of a chain of pups each would be walked through by all
 * below it; a plant is entered after its source, so that most find theirs one step up. */
static enum pb_rc set_genet_of_many(struct pb_book *b, struct pb_plant *p,
                                    struct firsts *f, struct pb_err *err)
{
    bool known =
        p->source.n > 0 && (uint64_t)p->source.n < f->n && f->of[p->source.n] != 0;
    int64_t first = known ? f->of[p->source.n] : p->head.n;
    enum pb_rc rc = p->source.n == 0 ? set_genet(b, p, err)
                                     : load_genet(b, first, &p->genet, NULL, err);
    return rc == PB_OK && p->source.n != 0 ? note_first(f, p->head.n, p->genet.n, err)
                                           : rc;
}

static enum pb_rc each_row(struct pb_book *b, sqlite3_stmt *s, pb_plant_each *each,
                           void *ctx, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    struct firsts firsts = {NULL, 0};
    while (pb_db_next(b, s, &rc, err)) {
        struct pb_plant p;
        pb_plant_init(&p);
        rc = fill(s, &p, err);
        if (rc == PB_OK)
            rc = set_genet_of_many(b, &p, &firsts, err);
        if (rc == PB_OK)
            rc = each(ctx, &p, err);
        pb_plant_clear(&p);
    }
    free(firsts.of);
    return rc;
}

enum pb_rc pb_plants_each(struct pb_book *b, enum pb_plant_set set, pb_plant_each *each,
                          void *ctx, struct pb_err *err)
{
    /* ORDER PLANT_SET */
    static const char *const sql[] = {
        "SELECT " COLUMNS FROM
        "WHERE p.withdrawn=0 AND p.elsewhere=0 AND p.gone IS NULL ORDER BY p.n",
        "SELECT " COLUMNS FROM "WHERE p.withdrawn=0 ORDER BY p.n",
        "SELECT " COLUMNS FROM "ORDER BY p.n",
    };
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_prepare(b, sql[set], &s, err);
    if (rc == PB_OK)
        rc = each_row(b, s, each, ctx, err);
    (void)sqlite3_finalize(s);
    return rc;
}

/* Keep the nearest codes, nearest first; at: how far each is. */
static void keep_near(struct pb_near *near, unsigned *at, const char *code,
                      unsigned distance)
{
    size_t place = near->n;
    while (place > 0 && at[place - 1] > distance)
        place--;
    if (place == PB_ARRAY_LEN(near->code))
        return;
    size_t last = near->n < PB_ARRAY_LEN(near->code) ? near->n++ : near->n - 1;
    for (size_t i = last; i > place; i--) {
        memcpy(near->code[i], near->code[i - 1], sizeof(near->code[0]));
        at[i] = at[i - 1];
    }
    (void)snprintf(near->code[place], sizeof(near->code[0]), "%.*s", PB_MAX_CODE, code);
    at[place] = distance;
}

#define NEAR_PLANT       "SELECT code FROM plant WHERE withdrawn=0"
#define NEAR_CROSS       "SELECT code FROM crossing WHERE withdrawn=0"
#define NEAR_BATCH(kind) "SELECT code FROM batch WHERE withdrawn=0 AND kind='" kind "'"
#define NEAR_ANY_BATCH   "SELECT code FROM batch WHERE withdrawn=0"
#define OR               " UNION ALL "

enum pb_rc pb_codes_near(struct pb_book *b, enum pb_codes kind, const char *code,
                         struct pb_near *near, struct pb_err *err)
{
    /* ORDER CODES */
    static const char *const sql[PB_CODES_N] = {
        NEAR_PLANT OR NEAR_CROSS OR NEAR_ANY_BATCH,
        NEAR_PLANT,
        NEAR_CROSS,
        NEAR_BATCH("seed"),
        NEAR_BATCH("flask"),
        NEAR_BATCH("cutting"),
        NEAR_BATCH("pollen"),
        NEAR_PLANT OR NEAR_CROSS,
    };
    unsigned at[PB_ARRAY_LEN(near->code)] = {0};
    sqlite3_stmt *s = NULL;
    struct pb_near kept = {.n = 0};
    unsigned limit = pb_text_slips(code);
    enum pb_rc rc = pb_db_get(b, sql[kind], &s, err);
    while (pb_db_next(b, s, &rc, err)) {
        const char *text = (const char *)sqlite3_column_text(s, 0);
        unsigned d = text != NULL ? pb_text_distance(code, text, limit) : limit + 1;
        if (d <= limit)
            keep_near(&kept, at, text, d);
    }
    if (rc == PB_OK)
        *near = kept;
    return rc;
}

enum pb_rc pb_plant_free_code(struct pb_book *b, const char *base, char *code,
                              struct pb_err *err)
{
    enum { TRIES = 100000, TAIL = 7 };
    char next[PB_MAX_CODE + 1];
    (void)snprintf(next, sizeof(next), "%.*s", PB_MAX_CODE, base);
    for (int i = 2; i < TRIES; i++) {
        sqlite3_stmt *s = NULL;
        bool row = false;
        enum pb_rc rc = pb_db_get(b, "SELECT 1 FROM plant WHERE code=?", &s, err);
        if (rc != PB_OK)
            return rc;
        pb_db_bind_text(s, 1, next);
        rc = pb_db_step(b, s, &row, err);
        (void)sqlite3_reset(s);
        if (rc != PB_OK)
            return rc;
        if (!row) {
            memcpy(code, next, sizeof(next));
            return PB_OK;
        }
        (void)snprintf(next, sizeof(next), "%.*s-%d", PB_MAX_CODE - TAIL, base, i);
    }
    return pb_fail(err, PB_ELIMIT, "no free code like %s", base);
}

enum pb_rc pb_parent_load(struct pb_book *b, int64_t plant, struct pb_parent *parent,
                          struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(
        b,
        "SELECT p.n,p.id,p.code,p.taxon,p.clone_name,p.ploidy,p.source,p.elsewhere,"
        "p.gone IS NOT NULL,x.n,p.from_id,ifnull(x.code,p.from_code)"
        " FROM plant p LEFT JOIN crossing x ON x.id=p.from_id WHERE p.n=?",
        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row) {
        pb_db_ref(s, 0, &parent->plant);
        parent->taxon = pb_db_text_needed(s, 3, &rc);
        parent->genet = parent->plant;
        if (sqlite3_column_type(s, 6) == SQLITE_NULL)
            parent->clone_name = pb_db_text(s, 4, &rc);
        parent->ploidy = sqlite3_column_int(s, 5);
        parent->elsewhere = sqlite3_column_int(s, 7) != 0;
        parent->gone = sqlite3_column_int(s, 8) != 0;
        pb_db_ref(s, 9, &parent->raised_from);
    } else if (rc == PB_OK) {
        parent->plant.n = parent->genet.n = plant;
        parent->taxon = pb_text_copy("");
        rc = parent->taxon != NULL ? PB_OK : PB_ENOMEM;
    }
    if (rc == PB_ENOMEM)
        (void)pb_fail_memory(err);
    bool clone = rc == PB_OK && row && sqlite3_column_type(s, 6) != SQLITE_NULL;
    (void)sqlite3_reset(s);
    if (clone)
        rc = load_genet(b, plant, &parent->genet, &parent->clone_name, err);
    return rc;
}

enum pb_rc pb_plant_taxon(struct pb_book *b, int64_t plant, char **taxon,
                          struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b, "SELECT taxon FROM plant WHERE n=?", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK && row) {
        *taxon = pb_db_text(s, 0, &rc);
        if (rc != PB_OK)
            (void)pb_fail_memory(err);
    }
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_genet_of(struct pb_book *b, int64_t plant, struct pb_ref *genet,
                       struct pb_err *err)
{
    return load_genet(b, plant, genet, NULL, err);
}

enum pb_rc pb_genet_parents(struct pb_book *b, int64_t genet, int64_t parents[2],
                            struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    int64_t plants[2] = {0, 0};
    enum pb_rc rc =
        pb_db_get(b,
                  "SELECT ifnull(x.seed_parent,p.seed_parent),"
                  "CASE WHEN x.n IS NULL THEN p.pollen_parent ELSE"
                  " (SELECT CASE count(*) WHEN 1 THEN max(plant) END FROM pollen_parent"
                  " WHERE crossing=x.n) END"
                  " FROM plant p LEFT JOIN crossing x ON x.id=p.from_id WHERE p.n=?",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, genet);
    rc = pb_db_step(b, s, &row, err);
    for (int i = 0; i < 2 && rc == PB_OK && row; i++)
        plants[i] = sqlite3_column_int64(s, i);
    (void)sqlite3_reset(s);
    for (int i = 0; i < 2 && rc == PB_OK; i++) {
        struct pb_ref ref = {0, "", ""};
        if (plants[i] != 0)
            rc = load_genet(b, plants[i], &ref, NULL, err);
        parents[i] = ref.n;
    }
    return rc;
}

enum pb_rc pb_seed_parent_taxon(struct pb_book *b, int64_t plant, char **taxon,
                                struct pb_err *err)
{
    struct pb_ref genet = {0, "", ""};
    int64_t parents[2] = {0, 0};
    enum pb_rc rc = load_genet(b, plant, &genet, NULL, err);
    if (rc == PB_OK)
        rc = pb_genet_parents(b, genet.n, parents, err);
    if (rc == PB_OK && parents[0] != 0)
        rc = pb_plant_taxon(b, parents[0], taxon, err);
    return rc;
}
