/*
 * Folding rows into genets.  See pedigree.h.
 *
 * One depth-first walk over the rows with a stack of its own: a row is finished when its
 * source, or both its parents, are.  A row met again while it is open closes a cycle, and
 * the stack from that row upwards is the cycle.
 */
#include "core/pedigree.h"

#include "base/limits.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum { NEW = -1, OPEN = -2, BAD = -3 }; /* of genet_of while the walk goes on */

/* ORDER PEDIGREE_FAULT */
static const char *const fault_texts[] = {
    "nothing",
    "a parent or source that is no row",
    "a clone that also has parents",
    "a plant that is its own ancestor",
};
_Static_assert(sizeof(fault_texts) / sizeof(fault_texts[0]) == PB_FAULT_N,
               "ORDER PEDIGREE_FAULT");

struct walk {
    const struct pb_pedigree_rows *rows;
    struct pb_pedigree *ped; /* genet_of is the walk's state */
    int32_t *stack;          /* [rows->n] */
    size_t depth;
    bool sorted;    /* so far every row came after those it needs */
    uint8_t *kinds; /* where set, go on after a fault and note it here */
    struct pb_pedigree_fault fault;
};

static int32_t source_of(const struct pb_pedigree_rows *rows, int32_t r)
{
    return rows->clone_of != NULL ? rows->clone_of[r] : PB_UNKNOWN;
}

static bool is_row(const struct pb_pedigree_rows *rows, int32_t r)
{
    return r == PB_UNKNOWN || (r >= 0 && (size_t)r < rows->n);
}

/* What can be seen in one row alone. */
static enum pb_pedigree_fault_kind row_fault(const struct pb_pedigree_rows *rows,
                                             int32_t r)
{
    int32_t p = rows->seed_parent[r], q = rows->pollen_parent[r];
    int32_t s = source_of(rows, r);
    if (!is_row(rows, p) || !is_row(rows, q) || !is_row(rows, s))
        return PB_FAULT_RANGE;
    if (s != PB_UNKNOWN && (p != PB_UNKNOWN || q != PB_UNKNOWN))
        return PB_FAULT_ORIGINS;
    return PB_FAULT_NONE;
}

/* Note rows at fault: those on the stack from a place on, which are taken off it.  Does
 * the walk go on? */
static bool note(struct walk *w, enum pb_pedigree_fault_kind kind, size_t from)
{
    size_t n = w->depth - from;
    const int32_t *rows = w->stack + from;
    w->depth = from;
    if (w->kinds == NULL) {
        w->fault = (struct pb_pedigree_fault){.kind = kind, .n = n};
        for (size_t i = 0; i < n && i < PB_FAULT_ROWS; i++)
            w->fault.rows[i] = rows[i];
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        w->kinds[rows[i]] = (uint8_t)kind;
        w->ped->genet_of[rows[i]] = BAD;
    }
    w->fault.n += n;
    return true;
}

/* A row that r waits for, or PB_UNKNOWN when it can be finished. */
static int32_t waits_for(const struct walk *w, int32_t r)
{
    const int32_t need[] = {source_of(w->rows, r), w->rows->seed_parent[r],
                            w->rows->pollen_parent[r]};
    for (size_t i = 0; i < sizeof(need) / sizeof(need[0]); i++)
        if (need[i] != PB_UNKNOWN &&
            (w->ped->genet_of[need[i]] == NEW || w->ped->genet_of[need[i]] == OPEN))
            return need[i];
    return PB_UNKNOWN;
}

static int32_t genet_or_unknown(const struct walk *w, int32_t r)
{
    return r == PB_UNKNOWN || w->ped->genet_of[r] == BAD ? PB_UNKNOWN
                                                         : w->ped->genet_of[r];
}

static void finish(struct walk *w, int32_t r)
{
    struct pb_pedigree *ped = w->ped;
    int32_t source = source_of(w->rows, r);
    if (source != PB_UNKNOWN) {
        ped->genet_of[r] = ped->genet_of[source];
        return;
    }
    int32_t g = ped->genet_n++;
    ped->seed_parent[g] = genet_or_unknown(w, w->rows->seed_parent[r]);
    ped->pollen_parent[g] = genet_or_unknown(w, w->rows->pollen_parent[r]);
    ped->origin_row[g] = r;
    ped->genet_of[r] = g;
}

/* The row d, on the stack, is needed by the top.  Does the walk go on? */
static bool close_cycle(struct walk *w, int32_t d)
{
    size_t from = w->depth - 1;
    while (from > 0 && w->stack[from] != d)
        from--;
    return note(w, PB_FAULT_CYCLE, from);
}

/* Walk to everything that row r rests on, and finish it.  Does the walk go on? */
static bool walk_from(struct walk *w, int32_t r)
{
    w->stack[w->depth++] = r;
    w->ped->genet_of[r] = OPEN;
    while (w->depth > 0) {
        int32_t top = w->stack[w->depth - 1];
        int32_t need = waits_for(w, top);
        if (need == PB_UNKNOWN) {
            finish(w, top);
            w->depth--;
        } else if (w->ped->genet_of[need] == OPEN) {
            if (!close_cycle(w, need))
                return false;
        } else {
            w->sorted = false;
            w->stack[w->depth++] = need;
            w->ped->genet_of[need] = OPEN;
        }
    }
    return true;
}

static enum pb_rc reserve(struct walk *w, struct pb_err *err)
{
    size_t n = w->rows->n;
    if (n > PB_MAX_PEDIGREE)
        return pb_fail(err, PB_ELIMIT, "a pedigree of %zu plants; the most is %d", n,
                       PB_MAX_PEDIGREE);
    size_t bytes = (n ? n : 1) * sizeof(int32_t);
    struct pb_pedigree *ped = w->ped;
    *ped = (struct pb_pedigree){.row_n = n};
    w->stack = malloc(bytes);
    ped->seed_parent = malloc(bytes);
    ped->pollen_parent = malloc(bytes);
    ped->origin_row = malloc(bytes);
    ped->genet_of = malloc(bytes);
    if (w->stack == NULL || ped->seed_parent == NULL || ped->pollen_parent == NULL ||
        ped->origin_row == NULL || ped->genet_of == NULL)
        return pb_fail_memory(err);
    for (size_t r = 0; r < n; r++)
        ped->genet_of[r] = NEW;
    return PB_OK;
}

/* Walk over all rows.  False: a fault, and the walk does not note them all. */
static bool walk_all(struct walk *w)
{
    int32_t n = (int32_t)w->rows->n;
    for (int32_t r = 0; r < n; r++) {
        enum pb_pedigree_fault_kind kind = row_fault(w->rows, r);
        if (kind == PB_FAULT_NONE)
            continue;
        w->stack[w->depth++] = r;
        if (!note(w, kind, 0))
            return false;
    }
    for (int32_t r = 0; r < n; r++)
        if (w->ped->genet_of[r] == NEW && !walk_from(w, r))
            return false;
    return true;
}

/* ---- numbering by generation ------------------------------------------------------ */

static int32_t depth_below(const int32_t *depth, int32_t parent)
{
    return parent == PB_UNKNOWN ? 0 : depth[parent] + 1;
}

/* The generation of each genet.  One without children comes as early as its parents
 * allow, a parent as late as its children do.  Returns the number of generations. */
static int32_t generations(const struct pb_pedigree *ped, int32_t *depth, int32_t *late)
{
    int32_t top = 0;
    for (int32_t g = 0; g < ped->genet_n; g++) {
        int32_t a = depth_below(depth, ped->seed_parent[g]);
        int32_t b = depth_below(depth, ped->pollen_parent[g]);
        depth[g] = a > b ? a : b;
        late[g] = INT32_MAX;
        top = depth[g] > top ? depth[g] : top;
    }
    for (int32_t g = ped->genet_n - 1; g >= 0; g--) {
        int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
        if (late[g] == INT32_MAX)
            late[g] = depth[g];
        if (p != PB_UNKNOWN && late[p] >= late[g])
            late[p] = late[g] - 1;
        if (q != PB_UNKNOWN && late[q] >= late[g])
            late[q] = late[g] - 1;
    }
    return top + 1;
}

static void renumber(int32_t *refs, size_t n, const int32_t *rank)
{
    for (size_t i = 0; i < n; i++)
        if (refs[i] != PB_UNKNOWN)
            refs[i] = rank[refs[i]];
}

/* Move item g of the column to place rank[g]. */
static void permute(int32_t *column, int32_t n, const int32_t *rank, int32_t *scratch)
{
    for (int32_t g = 0; g < n; g++)
        scratch[rank[g]] = column[g];
    memcpy(column, scratch, (size_t)n * sizeof(*column));
}

/* The place of each genet by generation, inside one as before (a counting sort). */
static enum pb_rc rank_by_generation(const struct pb_pedigree *ped, int32_t *rank,
                                     int32_t *late, struct pb_err *err)
{
    int32_t levels = generations(ped, rank, late);
    int32_t *next = calloc((size_t)levels + 1, sizeof(*next));
    if (next == NULL)
        return pb_fail_memory(err);
    for (int32_t g = 0; g < ped->genet_n; g++)
        next[late[g] + 1]++;
    for (int32_t k = 0; k < levels; k++)
        next[k + 1] += next[k];
    for (int32_t g = 0; g < ped->genet_n; g++)
        rank[g] = next[late[g]]++;
    free(next);
    return PB_OK;
}

static enum pb_rc order_by_generation(struct pb_pedigree *ped, struct pb_err *err)
{
    size_t n = (size_t)ped->genet_n;
    int32_t *rank = calloc(n, sizeof(*rank)), *late = calloc(n, sizeof(*late));
    enum pb_rc rc = rank != NULL && late != NULL
                        ? rank_by_generation(ped, rank, late, err)
                        : pb_fail_memory(err);
    if (rc == PB_OK) {
        renumber(ped->seed_parent, n, rank);
        renumber(ped->pollen_parent, n, rank);
        renumber(ped->genet_of, ped->row_n, rank);
        permute(ped->seed_parent, ped->genet_n, rank, late);
        permute(ped->pollen_parent, ped->genet_n, rank, late);
        permute(ped->origin_row, ped->genet_n, rank, late);
    }
    free(rank);
    free(late);
    return rc;
}

/* ---- API -------------------------------------------------------------------------- */

enum pb_rc pb_pedigree_build(const struct pb_pedigree_rows *rows,
                             struct pb_pedigree *ped, struct pb_pedigree_fault *fault,
                             struct pb_err *err)
{
    struct pb_pedigree made = {0};
    struct walk w = {.rows = rows, .ped = &made, .sorted = true};
    enum pb_rc rc = reserve(&w, err);
    if (rc == PB_OK && !walk_all(&w)) {
        if (fault != NULL)
            *fault = w.fault;
        rc = pb_fail(err, PB_EINVALID, "%s: row %d and %zu more",
                     fault_texts[w.fault.kind], (int)w.fault.rows[0], w.fault.n - 1);
    }
    if (rc == PB_OK && !w.sorted)
        rc = order_by_generation(&made, err);
    free(w.stack);
    if (rc == PB_OK)
        *ped = made;
    else
        pb_pedigree_clear(&made);
    return rc;
}

void pb_pedigree_clear(struct pb_pedigree *ped)
{
    free(ped->seed_parent);
    free(ped->pollen_parent);
    free(ped->origin_row);
    free(ped->genet_of);
    *ped = (struct pb_pedigree){0};
}

enum pb_rc pb_pedigree_check(const struct pb_pedigree_rows *rows, uint8_t *kinds,
                             size_t *bad, struct pb_err *err)
{
    struct pb_pedigree made = {0};
    struct walk w = {.rows = rows, .ped = &made, .kinds = kinds};
    enum pb_rc rc = reserve(&w, err);
    if (rc == PB_OK) {
        memset(kinds, PB_FAULT_NONE, rows->n);
        (void)walk_all(&w);
        *bad = w.fault.n;
    }
    free(w.stack);
    pb_pedigree_clear(&made);
    return rc;
}
