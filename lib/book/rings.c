/*
 * Records that come of themselves.  See rings.h.
 *
 * Plants and flasks are rows of a pedigree each (core/pedigree.h), whose one walk finds all
 * rings.  A row has two parents there: where pollen was mixed, rows that are no plant stand
 * between, each with one of the pollen parents and the next such row.
 */
#include "book/rings.h"

#include "book/db.h"
#include "book/family.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PARENTS = 3 };

struct rows {
    struct pb_family f;   /* the records: f.plant is the row in the book, ascending */
    size_t n, cap;        /* with those that stand between */
    int32_t *of[PARENTS]; /* seed parent, pollen parent, source */
    const char *code_sql; /* the code of a row in the book */
    const char *is, *remedy; /* what is said of one */
};

static void rows_clear(struct rows *r)
{
    for (int k = 0; k < PARENTS; k++)
        free(r->of[k]);
    pb_family_clear(&r->f);
}

/* Room for n rows, of which none has a parent yet. */
static enum pb_rc rows_reserve(struct rows *r, size_t n, struct pb_err *err)
{
    r->cap = n;
    for (int k = 0; k < PARENTS; k++) {
        r->of[k] = malloc((n > 0 ? n : 1) * sizeof(*r->of[k]));
        if (r->of[k] == NULL)
            return pb_fail_memory(err);
        for (size_t i = 0; i < n; i++)
            r->of[k][i] = PB_UNKNOWN;
    }
    return PB_OK;
}

/* Who is told. */
struct run {
    struct pb_book *b;
    pb_fault_each *each;
    void *ctx;
};

/* ---- telling -------------------------------------------------------------------------- */

static enum pb_rc code_of(struct pb_book *b, const struct rows *r, int32_t row,
                          char code[PB_MAX_CODE + 1], struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool found = false;
    code[0] = '\0';
    enum pb_rc rc = pb_db_get(b, r->code_sql, &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, r->f.plant[row]);
    rc = pb_db_step(b, s, &found, err);
    if (rc == PB_OK && found)
        pb_db_copy(s, 0, code, PB_MAX_CODE + 1);
    (void)sqlite3_reset(s);
    return rc;
}

/* A parent or source that is in a ring; each row of a ring has one. */
static int32_t parent_in_ring(const struct rows *r, const uint8_t *kinds, int32_t row)
{
    for (int k = 0; k < PARENTS; k++) {
        int32_t p = r->of[k][row];
        if (p != PB_UNKNOWN && kinds[p] == PB_FAULT_CYCLE)
            return p;
    }
    return row;
}

/* The next record of the ring, past those that stand between. */
static int32_t next_of(const struct rows *r, const uint8_t *kinds, int32_t row)
{
    int32_t next = parent_in_ring(r, kinds, row);
    while ((size_t)next >= r->f.n)
        next = parent_in_ring(r, kinds, next);
    return next;
}

static enum pb_rc tell(const struct run *run, const struct rows *r, int32_t row,
                       int32_t next, struct pb_err *err)
{
    char code[PB_MAX_CODE + 1], through[PB_MAX_CODE + 1], what[128];
    enum pb_rc rc = code_of(run->b, r, row, code, err);
    if (rc == PB_OK)
        rc = code_of(run->b, r, next, through, err);
    if (rc != PB_OK)
        return rc;
    (void)snprintf(what, sizeof(what), "it %s%s%s", r->is,
                   next != row ? " through " : "", next != row ? through : "");
    const struct pb_fault f = {PB_CHECK_ORIGIN, code, what, r->remedy};
    return run->each(run->ctx, &f, err);
}

static enum pb_rc tell_rings(const struct run *run, const struct rows *r,
                             struct pb_err *err)
{
    const struct pb_pedigree_rows all = {r->n, r->of[0], r->of[1], r->of[2]};
    size_t bad = 0;
    uint8_t *kinds = malloc(r->n > 0 ? r->n : 1);
    enum pb_rc rc =
        kinds != NULL ? pb_pedigree_check(&all, kinds, &bad, err) : pb_fail_memory(err);
    for (size_t i = 0; rc == PB_OK && bad > 0 && i < r->f.n; i++)
        if (kinds[i] == PB_FAULT_CYCLE)
            rc = tell(run, r, (int32_t)i, next_of(r, kinds, (int32_t)i), err);
    free(kinds);
    return rc;
}

/* ---- plants --------------------------------------------------------------------------- */

#define MIXED                                                                          \
    " FROM (SELECT crossing FROM pollen_parent GROUP BY crossing HAVING count(*)>1) m" \
    " JOIN crossing x ON x.n=m.crossing JOIN plant p ON p.from_id=x.id"                \
    " JOIN pollen_parent q ON q.crossing=x.n WHERE p.source IS NULL"

/* Each pollen parent of a plant raised from mixed pollen: a row between the two. */
static enum pb_rc add_mixed(struct pb_book *b, struct rows *r, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, "SELECT p.n,q.plant" MIXED, &s, err);
    while (pb_db_next(b, s, &rc, err) && r->n < r->cap) {
        int32_t plant = pb_family_index(&r->f, sqlite3_column_int64(s, 0));
        if (plant == PB_UNKNOWN)
            continue;
        r->of[0][r->n] = pb_family_index(&r->f, sqlite3_column_int64(s, 1));
        r->of[1][r->n] = r->of[1][plant];
        r->of[1][plant] = (int32_t)r->n++;
    }
    (void)sqlite3_reset(s);
    return rc;
}

static enum pb_rc load_plants(struct pb_book *b, struct rows *r, struct pb_err *err)
{
    static const struct pb_family_ask everybody = {NULL, 0, false};
    sqlite3_stmt *s = NULL;
    int64_t mixed = 0;
    enum pb_rc rc = pb_family_load(b, &everybody, &r->f, err);
    if (rc == PB_OK)
        rc = pb_db_get(b, "SELECT count(*)" MIXED, &s, err);
    if (rc == PB_OK)
        rc = pb_db_number(b, s, &mixed, err);
    if (rc == PB_OK)
        rc = rows_reserve(r, r->f.n + (size_t)mixed, err);
    if (rc != PB_OK)
        return rc;
    const int32_t *from[PARENTS] = {r->f.seed_parent, r->f.pollen_parent,
                                    r->f.clone_of};
    for (int k = 0; k < PARENTS && r->f.n > 0; k++)
        memcpy(r->of[k], from[k], r->f.n * sizeof(*from[k]));
    r->n = r->f.n;
    return add_mixed(b, r, err);
}

/* ---- flasks --------------------------------------------------------------------------- */

/* Those filled from a record of the book; another than these has no source itself. */
static enum pb_rc load_flasks(struct pb_book *b, struct rows *r, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    void *rows = NULL, *sources = NULL;
    enum pb_rc rc = pb_db_get(
        b, "SELECT n,source FROM batch WHERE source IS NOT NULL ORDER BY n", &s, err);
    while (pb_db_next(b, s, &rc, err)) {
        int64_t *row = pb_db_grow(&rows, r->f.n, sizeof(*row));
        int64_t *source = pb_db_grow(&sources, r->f.n, sizeof(*source));
        if (row == NULL || source == NULL) {
            rc = pb_fail_memory(err);
            break;
        }
        *row = sqlite3_column_int64(s, 0);
        *source = sqlite3_column_int64(s, 1);
        r->f.n++;
    }
    (void)sqlite3_reset(s);
    r->f.plant = rows;
    if (rc == PB_OK)
        rc = rows_reserve(r, r->f.n, err);
    const int64_t *source = sources;
    for (size_t i = 0; rc == PB_OK && source != NULL && i < r->f.n; i++)
        r->of[2][i] = pb_family_index(&r->f, source[i]);
    r->n = r->f.n;
    free(sources);
    return rc;
}

enum pb_rc pb_book_rings(struct pb_book *b, pb_fault_each *each, void *ctx,
                         struct pb_err *err)
{
    const struct run run = {b, each, ctx};
    struct rows plants = {.code_sql = "SELECT code FROM plant WHERE n=?",
                          .is = "descends from itself",
                          .remedy = "put right what it comes of: podbook amend, for "
                                    "instance with pup-of= or from="};
    struct rows flasks = {.code_sql = "SELECT code FROM batch WHERE n=?",
                          .is = "came out of itself",
                          .remedy = "keep a copy of the file as it is, and go back to "
                                    "a backup"};
    enum pb_rc rc = load_plants(b, &plants, err);
    if (rc == PB_OK)
        rc = tell_rings(&run, &plants, err);
    rows_clear(&plants);
    if (rc == PB_OK)
        rc = load_flasks(b, &flasks, err);
    if (rc == PB_OK)
        rc = tell_rings(&run, &flasks, err);
    rows_clear(&flasks);
    return rc;
}
