/*
 * F by a table of the plants that are still to be parents.
 *
 * Genets come in order, parents first.  The table holds the kinship of every two genets
 * that were met and have a child yet to come ("live"): F of the next one is looked up,
 * and if it will be a parent it gets a row, the mean of its parents' rows.  This is the
 * tabular method (Emik & Terrill 1949, J. Hered. 40:51-55) with what is done with thrown
 * away.  The table is square and kept whole, so that a row is one run of memory; the new
 * column is the costly part, and places are given out in a ring, so that columns of
 * neighbours in time share cache lines.
 */
#include "core/kinship_methods.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    MAX_LIVE = 7000, /* about half a gigabyte */
    LANE = 8         /* doubles of a cache line */
};

/* What a cell of a new row and its column takes; measured, see tests/bench. */
static const double cached_cell_ns = 1.2, cell_ns = 6;
static const size_t cached_places = 1400; /* a table of 16 MB */

/* The last child of each genet, itself where it has none. */
static void last_children(const struct pb_pedigree *ped, int32_t *last)
{
    for (int32_t g = 0; g < ped->genet_n; g++) {
        last[g] = g;
        if (ped->seed_parent[g] != PB_UNKNOWN)
            last[ped->seed_parent[g]] = g;
        if (ped->pollen_parent[g] != PB_UNKNOWN)
            last[ped->pollen_parent[g]] = g;
    }
}

/* How many of the two parents of g have g as their last child. */
static int32_t done_with(const struct pb_pedigree *ped, const int32_t *last, int32_t g)
{
    int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
    return (p != PB_UNKNOWN && last[p] == g) +
           (q != PB_UNKNOWN && q != p && last[q] == g);
}

/* Most live genets at one time; parents, how many come into the table in all. */
static int32_t count_live(const struct pb_pedigree *ped, const int32_t *last,
                          int32_t *parents)
{
    int32_t live = 0, most = 0;
    *parents = 0;
    for (int32_t g = 0; g < ped->genet_n; g++) {
        live -= done_with(ped, last, g);
        if (last[g] == g)
            continue;
        live++;
        ++*parents;
        most = live > most ? live : most;
    }
    return most;
}

/* Some places more than are ever needed, so that the ring finds free ones in runs. */
static size_t places_for(int32_t live)
{
    return (size_t)live + (size_t)live / 8 + 1;
}

enum pb_rc pb_table_cost(const struct pb_pedigree *ped, double bound,
                         struct pb_kinship_cost *cost, struct pb_err *err)
{
    int32_t *last = malloc(((size_t)ped->genet_n + 1) * sizeof(*last)), parents = 0;
    if (last == NULL)
        return pb_fail_memory(err);
    last_children(ped, last);
    int32_t live = count_live(ped, last, &parents);
    size_t places = places_for(live);
    double ns = (double)places * (double)parents *
                (places > cached_places ? cell_ns : cached_cell_ns);
    *cost = (struct pb_kinship_cost){
        .ns = live > MAX_LIVE || ns > bound ? HUGE_VAL : ns, .live = live};
    free(last);
    return PB_OK;
}

struct table {
    double *k;      /* [size][stride] */
    size_t size;    /* places */
    size_t stride;  /* doubles from row to row: an odd number of cache lines, so that a
                      column does not fall into one set of the cache */
    size_t ring;    /* where the search for a free place goes on */
    bool *taken;    /* [size] */
    int32_t *place; /* [genet_n] of live genets */
};

static enum pb_rc table_init(struct table *t, int32_t genet_n, int32_t live,
                             struct pb_err *err)
{
    *t = (struct table){.size = places_for(live)};
    t->stride = ((t->size + LANE - 1) / LANE | 1U) * LANE;
    t->k = calloc(t->size * t->stride, sizeof(*t->k));
    t->taken = calloc(t->size, sizeof(*t->taken));
    t->place = malloc(((size_t)genet_n + 1) * sizeof(*t->place));
    return t->k != NULL && t->taken != NULL && t->place != NULL ? PB_OK
                                                                : pb_fail_memory(err);
}

static void table_clear(struct table *t)
{
    free(t->k);
    free(t->taken);
    free(t->place);
}

static const double *row_of(const struct table *t, int32_t g)
{
    return t->k + (size_t)t->place[g] * t->stride;
}

static size_t free_place(struct table *t)
{
    while (t->taken[t->ring])
        t->ring = t->ring + 1 < t->size ? t->ring + 1 : 0;
    t->taken[t->ring] = true;
    return t->ring;
}

/*
 * Give g a row and a column.  Places that are free are computed too: they hold old
 * kinships, which are finite and never read before they are written again.
 */
static void enter(struct table *t, const struct pb_pedigree *ped, int32_t g, double f)
{
    int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
    size_t at = free_place(t), n = t->size;
    double *restrict row = t->k + at * t->stride;
    if (p != PB_UNKNOWN && q != PB_UNKNOWN) {
        const double *a = row_of(t, p), *b = row_of(t, q);
        for (size_t i = 0; i < n; i++)
            row[i] = (a[i] + b[i]) / 2;
    } else if (p != PB_UNKNOWN || q != PB_UNKNOWN) {
        const double *a = row_of(t, p != PB_UNKNOWN ? p : q);
        for (size_t i = 0; i < n; i++)
            row[i] = a[i] / 2;
    } else {
        memset(row, 0, n * sizeof(*row));
    }
    row[at] = (1.0 + f) / 2;
    double *column = t->k + at;
    for (size_t i = 0; i < n; i++)
        column[i * t->stride] = row[i];
    t->place[g] = (int32_t)at;
}

static void leave(struct table *t, int32_t parent, int32_t child, const int32_t *last)
{
    if (parent != PB_UNKNOWN && last[parent] == child)
        t->taken[t->place[parent]] = false;
}

enum pb_rc pb_table_inbreeding(const struct pb_pedigree *ped, double *f,
                               struct pb_err *err)
{
    struct table t = {0};
    int32_t *last = malloc(((size_t)ped->genet_n + 1) * sizeof(*last)), parents = 0;
    if (last == NULL)
        return pb_fail_memory(err);
    last_children(ped, last);
    int32_t live = count_live(ped, last, &parents);
    enum pb_rc rc = PB_OK;
    if (live > MAX_LIVE)
        rc =
            pb_fail(err, PB_ELIMIT, "%d plants are still to be parents; the most is %d",
                    (int)live, MAX_LIVE);
    if (rc == PB_OK)
        rc = table_init(&t, ped->genet_n, live, err);
    for (int32_t g = 0; rc == PB_OK && g < ped->genet_n; g++) {
        int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
        f[g] = pb_is_cross(ped, g) ? row_of(&t, p)[t.place[q]] : pb_plain_f(ped, f, g);
        if (last[g] != g)
            enter(&t, ped, g, f[g]);
        leave(&t, p, g, last);
        leave(&t, q, g, last);
    }
    table_clear(&t);
    free(last);
    return rc;
}
