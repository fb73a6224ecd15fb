/* Who descends from whom, as arrays.  See family.h. */
#include "book/family.h"

#include "base/hash.h"
#include "base/text.h"
#include "book/db.h"
#include "book/doubts.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

/* A cross with several pollen parents leaves the pollen parent unknown. */
#define SEED "ifnull(x.seed_parent,p.seed_parent)"
#define POLLEN                                                             \
    "CASE WHEN x.n IS NULL THEN p.pollen_parent ELSE"                      \
    " (SELECT CASE count(*) WHEN 1 THEN max(plant) END FROM pollen_parent" \
    " WHERE crossing=x.n) END"
#define COLUMNS                                                                    \
    "SELECT p.n,p.source," SEED "," POLLEN ",p.withdrawn*2+"                       \
    "(p.withdrawn=0 AND p.elsewhere=0 AND p.gone IS NULL),p.ploidy,p.code,p.taxon" \
    " FROM plant p LEFT JOIN crossing x ON x.id=p.from_id "

static const char sql_all[] = COLUMNS "ORDER BY p.n";
static const char sql_one[] = COLUMNS "WHERE p.n=?";
/* bytes of all codes and taxa of a book of PB_MAX_PEDIGREE plants would pass 4 GiB */
enum { MAX_TEXT = INT32_MAX };

/* The arrays of a family that grow together: where each is, and the size of its elements.
 * All object pointers have one form (POSIX), so one function serves them. */
#define ARRAY(member)                                                                \
    {                                                                                \
        offsetof(struct pb_family, member), sizeof(*((struct pb_family *)0)->member) \
    }
static const struct {
    size_t at, size;
} arrays[] = {
    ARRAY(plant),       ARRAY(parent[0]),     ARRAY(parent[1]), ARRAY(parent[2]),
    ARRAY(seed_parent), ARRAY(pollen_parent), ARRAY(clone_of),  ARRAY(flags),
    ARRAY(ploidy),      ARRAY(code_at),       ARRAY(taxon_at),
};

static enum pb_rc grow(struct pb_family *f, struct pb_err *err)
{
    size_t cap = f->cap > 0 ? f->cap * 2 : 64;
    if (f->n < f->cap)
        return PB_OK;
    if (cap > 2 * (size_t)PB_MAX_PEDIGREE)
        return pb_fail(err, PB_ELIMIT, "at most %d plants", PB_MAX_PEDIGREE);
    for (size_t i = 0; i < PB_ARRAY_LEN(arrays); i++) {
        void *array = NULL;
        memcpy(&array, (char *)f + arrays[i].at, sizeof(array));
        void *more = realloc(array, cap * arrays[i].size);
        if (more == NULL)
            return pb_fail_memory(err);
        memcpy((char *)f + arrays[i].at, &more, sizeof(more));
    }
    f->cap = cap;
    return PB_OK;
}

static uint32_t keep_text(struct pb_buf *b, sqlite3_stmt *s, int column)
{
    uint32_t at = (uint32_t)b->len;
    const char *text = (const char *)sqlite3_column_text(s, column);
    pb_buf_add(b, text != NULL ? text : "", text != NULL ? strlen(text) : 0);
    pb_buf_addc(b, '\0');
    return at;
}

static enum pb_rc read_row(sqlite3_stmt *s, bool taxa, struct pb_family *f,
                           struct pb_err *err)
{
    enum pb_rc rc = grow(f, err);
    if (rc != PB_OK)
        return rc;
    size_t i = f->n++;
    f->plant[i] = sqlite3_column_int64(s, 0);
    for (int k = 0; k < 3; k++)
        f->parent[k][i] = sqlite3_column_int64(s, 1 + k);
    f->flags[i] = (uint8_t)sqlite3_column_int(s, 4);
    f->ploidy[i] = (uint8_t)sqlite3_column_int(s, 5);
    f->code_at[i] = keep_text(&f->text, s, 6);
    f->taxon_at[i] = taxa ? keep_text(&f->text, s, 7) : f->code_at[i];
    return PB_OK;
}

/* Rows of the book into indices; a parent that is not there counts as unknown. */
static void index_parents(struct pb_family *f)
{
    int32_t *to[3] = {f->clone_of, f->seed_parent, f->pollen_parent};
    for (size_t i = 0; i < f->n; i++) {
        for (int k = 0; k < 3; k++)
            to[k][i] =
                f->parent[k][i] != 0 ? pb_family_index(f, f->parent[k][i]) : PB_UNKNOWN;
        if (f->clone_of[i] != PB_UNKNOWN)
            f->seed_parent[i] = f->pollen_parent[i] = PB_UNKNOWN;
    }
    for (int k = 0; k < 3; k++) {
        free(f->parent[k]);
        f->parent[k] = NULL;
    }
}

/* ---- ancestors ------------------------------------------------------------------------ */

/* Rows of the book that were reached: `v` in their order, `places` by their hash. */
struct reached {
    int64_t *v;
    size_t n;
    uint32_t *places; /* index in v, from 1; 0: free */
    size_t room;      /* places: a power of two, twice as many as v has room for */
};

static uint32_t *place_of(const struct reached *r, int64_t row)
{
    uint64_t h = pb_hash_int(PB_HASH_START, row);
    size_t at = (size_t)h & (r->room - 1);
    while (r->places[at] != 0 && r->v[r->places[at] - 1] != row)
        at = (at + 1) & (r->room - 1);
    return &r->places[at];
}

static enum pb_rc widen(struct reached *r, struct pb_err *err)
{
    enum { FIRST_ROOM = 128 };
    size_t room = r->room > 0 ? 2 * r->room : FIRST_ROOM;
    if (room > 4 * (size_t)PB_MAX_PEDIGREE)
        return pb_fail(err, PB_ELIMIT, "at most %d plants", PB_MAX_PEDIGREE);
    int64_t *v = realloc(r->v, room / 2 * sizeof(*v));
    if (v != NULL)
        r->v = v;
    uint32_t *places = v != NULL ? calloc(room, sizeof(*places)) : NULL;
    if (places == NULL)
        return pb_fail_memory(err);
    free(r->places);
    r->places = places;
    r->room = room;
    for (size_t i = 0; i < r->n; i++)
        *place_of(r, r->v[i]) = (uint32_t)i + 1;
    return PB_OK;
}

static enum pb_rc reach(struct reached *r, int64_t row, struct pb_err *err)
{
    enum pb_rc rc = 2 * r->n >= r->room ? widen(r, err) : PB_OK;
    uint32_t *place = rc == PB_OK ? place_of(r, row) : NULL;
    if (place != NULL && *place == 0) {
        r->v[r->n++] = row;
        *place = (uint32_t)r->n;
    }
    return rc;
}

/* Everybody above those who were reached, once; so a ring ends. */
static enum pb_rc climb(struct pb_book *b, struct reached *r, sqlite3_stmt *s,
                        struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    bool row = false;
    for (size_t i = 0; i < r->n && rc == PB_OK; i++) {
        (void)sqlite3_bind_int64(s, 1, r->v[i]);
        rc = pb_db_step(b, s, &row, err);
        for (int k = 1; row && k <= 3 && rc == PB_OK; k++)
            if (sqlite3_column_int64(s, k) != 0)
                rc = reach(r, sqlite3_column_int64(s, k), err);
        (void)sqlite3_reset(s);
    }
    return rc;
}

static int by_row(const void *pa, const void *pb)
{
    const int64_t *a = pa, *b = pb;
    return (*a > *b) - (*a < *b);
}

/* Plant by plant: a recursive query takes longer to prepare than most families to read. */
static enum pb_rc read_some(struct pb_book *b, const struct pb_family_ask *ask,
                            struct pb_family *f, struct pb_err *err)
{
    struct reached r = {.v = NULL};
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b, sql_one, &s, err);
    for (size_t i = 0; i < ask->plant_n && rc == PB_OK; i++)
        rc = reach(&r, ask->plants[i], err);
    if (rc == PB_OK)
        rc = climb(b, &r, s, err);
    if (rc == PB_OK && r.n > 1)
        qsort(r.v, r.n, sizeof(*r.v), by_row);
    for (size_t i = 0; i < r.n && rc == PB_OK; i++) {
        (void)sqlite3_bind_int64(s, 1, r.v[i]);
        rc = pb_db_step(b, s, &row, err);
        if (rc == PB_OK && row)
            rc = read_row(s, ask->taxa, f, err);
        (void)sqlite3_reset(s);
    }
    free(r.v);
    free(r.places);
    return rc;
}

static enum pb_rc read_all(struct pb_book *b, const struct pb_family_ask *ask,
                           struct pb_family *f, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, sql_all, &s, err);
    while (pb_db_next(b, s, &rc, err))
        rc = read_row(s, ask->taxa, f, err);
    (void)sqlite3_reset(s);
    return rc;
}

/* ---- the family ----------------------------------------------------------------------- */

static enum pb_rc mark_doubted(struct pb_book *b, struct pb_family *f,
                               struct pb_err *err)
{
    int64_t *rows = NULL;
    size_t n = 0;
    enum pb_rc rc = pb_doubted_plants(b, &rows, &n, err);
    for (size_t i = 0; i < n; i++) {
        int32_t at = pb_family_index(f, rows[i]);
        if (at != PB_UNKNOWN)
            f->flags[at] |= PB_FAMILY_DOUBTED;
    }
    free(rows);
    return rc;
}

enum pb_rc pb_family_load(struct pb_book *b, const struct pb_family_ask *ask,
                          struct pb_family *f, struct pb_err *err)
{
    memset(f, 0, sizeof(*f));
    pb_buf_init(&f->text, MAX_TEXT);
    enum pb_rc rc =
        ask->plants != NULL ? read_some(b, ask, f, err) : read_all(b, ask, f, err);
    if (rc == PB_OK)
        rc = pb_buf_status(&f->text, err);
    if (rc == PB_OK)
        rc = mark_doubted(b, f, err);
    if (rc == PB_OK)
        index_parents(f);
    else
        pb_family_clear(f);
    return rc;
}

void pb_family_clear(struct pb_family *f)
{
    free(f->plant);
    for (int k = 0; k < 3; k++)
        free(f->parent[k]);
    free(f->seed_parent);
    free(f->pollen_parent);
    free(f->clone_of);
    free(f->flags);
    free(f->ploidy);
    free(f->code_at);
    free(f->taxon_at);
    pb_buf_clear(&f->text);
    memset(f, 0, sizeof(*f));
}

int32_t pb_family_index(const struct pb_family *f, int64_t plant)
{
    size_t low = 0, high = f->n;
    /* a whole book without gaps: its place follows from its row */
    if (plant >= 1 && (size_t)plant <= f->n && f->plant[plant - 1] == plant)
        return (int32_t)(plant - 1);
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (f->plant[mid] < plant)
            low = mid + 1;
        else
            high = mid;
    }
    return low < f->n && f->plant[low] == plant ? (int32_t)low : PB_UNKNOWN;
}

const char *pb_family_code(const struct pb_family *f, int32_t index)
{
    return pb_buf_peek(&f->text) + f->code_at[index];
}

const char *pb_family_taxon(const struct pb_family *f, int32_t index)
{
    return pb_buf_peek(&f->text) + f->taxon_at[index];
}

struct pb_pedigree_rows pb_family_rows(const struct pb_family *f)
{
    return (struct pb_pedigree_rows){f->n, f->seed_parent, f->pollen_parent,
                                     f->clone_of};
}
