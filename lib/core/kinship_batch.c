/*
 * F by batches: the kinship of one parent (the pivot) with all its mates in two sweeps.
 *
 * With e the pivot's unit vector, twice the kinships of the pivot with all are A e =
 * T D T' e: T' e is a sweep up from the pivot to its ancestors, T (D ...) a sweep down, the
 * mean of the parents plus what is new, here over the ancestors of the mates only.  A
 * popular parent so costs two sweeps instead of a trace for each child.
 * The sweeps need D, that is F, of all ancestors.  When F of a genet g is wanted, every
 * child of the pivot whose mate is older than g can be served with it, g's younger sibs
 * too.  Each cross has the parent with more crosses as its pivot, and a pivot's children
 * are kept by the age of the mate, so that those ready are always the next ones.
 * Source: Colleau (2002), Genet. Sel. Evol. 34:409-421; Sargolzaei, Iwaisaki & Colleau
 * (2005), J. Anim. Breed. Genet. 122:325-331.
 */
#include "core/genetset.h"
#include "core/kinship_methods.h"

#include <math.h>
#include <stdlib.h>

enum {
    SAMPLES = 24, /* batches that the estimate sweeps */
    SORT_NS = 50, /* for a genet; measured, see tests/bench */
    UP_NS = 18,   /* for an ancestor */
    DOWN_NS = 18,
    TO_DO = -1 /* F of a cross that has not been served */
};

struct batcher {
    const struct pb_pedigree *ped;
    int32_t *pivot; /* [genet_n] of each cross, else PB_UNKNOWN */
    int32_t *first; /* [genet_n + 1] of each pivot: its place in child */
    int32_t *next;  /* [genet_n] and where it goes on */
    int32_t *child; /* [genet_n] crosses by pivot, then by the age of the mate */
    double *d;      /* [genet_n] Mendelian variance */
    double *x;      /* [genet_n] the pivot's share from each; 0 between batches */
    double *v;      /* [genet_n] twice the kinship with the pivot */
    int32_t *up;    /* [genet_n] the ancestors of the pivot, youngest first */
    int32_t *down;  /* [genet_n] those of the mates */
    struct pb_genetset set;
    double ns; /* what the sweeps so far would take */
};

/* crosses: [genet_n] how many each genet is a parent of. */
static int32_t pivot_of(const struct pb_pedigree *ped, const int32_t *crosses,
                        int32_t g)
{
    int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
    if (crosses[p] != crosses[q])
        return crosses[p] > crosses[q] ? p : q;
    return p < q ? p : q;
}

static int32_t mate_of(const struct batcher *b, int32_t g)
{
    int32_t p = b->ped->seed_parent[g];
    return p == b->pivot[g] ? b->ped->pollen_parent[g] : p;
}

static void count_crosses(const struct pb_pedigree *ped, int32_t *crosses)
{
    for (int32_t g = 0; g < ped->genet_n; g++)
        crosses[g] = 0;
    for (int32_t g = 0; g < ped->genet_n; g++)
        if (pb_is_cross(ped, g)) {
            crosses[ped->seed_parent[g]]++;
            crosses[ped->pollen_parent[g]]++;
        }
}

/* Turn counts, kept one place up, into first places. */
static void add_up(int32_t *first, int32_t n)
{
    for (int32_t g = 0; g < n; g++)
        first[g + 1] += first[g];
}

/* Crosses by pivot and mate: a radix sort, by mate and then by pivot. */
static enum pb_rc sort_children(struct batcher *b, struct pb_err *err)
{
    const struct pb_pedigree *ped = b->ped;
    int32_t n = ped->genet_n, cross_n = 0;
    int32_t *by_mate = b->down; /* not in use yet */
    int32_t *mate_at = calloc((size_t)n + 1, sizeof(*mate_at));
    if (mate_at == NULL)
        return pb_fail_memory(err);
    count_crosses(ped, b->next);
    for (int32_t g = 0; g < n; g++) {
        b->pivot[g] = pb_is_cross(ped, g) ? pivot_of(ped, b->next, g) : PB_UNKNOWN;
        if (b->pivot[g] == PB_UNKNOWN)
            continue;
        mate_at[mate_of(b, g) + 1]++;
        b->first[b->pivot[g] + 1]++;
        cross_n++;
    }
    add_up(mate_at, n);
    add_up(b->first, n);
    for (int32_t g = 0; g < n; g++) {
        b->next[g] = b->first[g];
        if (b->pivot[g] != PB_UNKNOWN)
            by_mate[mate_at[mate_of(b, g)]++] = g;
    }
    for (int32_t i = 0; i < cross_n; i++)
        b->child[b->next[b->pivot[by_mate[i]]]++] = by_mate[i];
    for (int32_t g = 0; g < n; g++)
        b->next[g] = b->first[g];
    free(mate_at);
    return PB_OK;
}

static void batcher_clear(struct batcher *b)
{
    pb_genetset_clear(&b->set);
    free(b->pivot);
    free(b->first);
    free(b->next);
    free(b->child);
    free(b->d);
    free(b->x);
    free(b->v);
    free(b->up);
    free(b->down);
}

static enum pb_rc batcher_init(struct batcher *b, const struct pb_pedigree *ped,
                               struct pb_err *err)
{
    size_t n = (size_t)ped->genet_n + 1;
    *b = (struct batcher){.ped = ped};
    b->pivot = malloc(n * sizeof(*b->pivot));
    b->first = calloc(n, sizeof(*b->first));
    b->next = malloc(n * sizeof(*b->next));
    b->child = malloc(n * sizeof(*b->child));
    b->d = calloc(n, sizeof(*b->d));
    b->x = calloc(n, sizeof(*b->x));
    b->v = malloc(n * sizeof(*b->v));
    b->up = malloc(n * sizeof(*b->up));
    b->down = malloc(n * sizeof(*b->down));
    if (b->pivot == NULL || b->first == NULL || b->next == NULL || b->child == NULL ||
        b->d == NULL || b->x == NULL || b->v == NULL || b->up == NULL ||
        b->down == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = pb_genetset_init(&b->set, ped->genet_n, err);
    return rc == PB_OK ? sort_children(b, err) : rc;
}

static void add_parents(struct batcher *b, int32_t g)
{
    if (b->ped->seed_parent[g] != PB_UNKNOWN)
        pb_genetset_add(&b->set, b->ped->seed_parent[g]);
    if (b->ped->pollen_parent[g] != PB_UNKNOWN)
        pb_genetset_add(&b->set, b->ped->pollen_parent[g]);
}

/* T' e: the shares of the pivot.  Returns how many ancestors were passed. */
static size_t sweep_up(struct batcher *b, int32_t pivot)
{
    size_t n = 0;
    b->x[pivot] = 1;
    pb_genetset_add(&b->set, pivot);
    while (!pb_genetset_empty(&b->set)) {
        int32_t a = pb_genetset_take_max(&b->set);
        int32_t p = b->ped->seed_parent[a], q = b->ped->pollen_parent[a];
        b->up[n++] = a;
        if (p != PB_UNKNOWN)
            b->x[p] += b->x[a] / 2;
        if (q != PB_UNKNOWN)
            b->x[q] += b->x[a] / 2;
        add_parents(b, a);
    }
    return n;
}

/* T (D x) over the genets in the set and their ancestors.  Returns how many. */
static size_t sweep_down(struct batcher *b)
{
    size_t n = 0;
    while (!pb_genetset_empty(&b->set)) {
        b->down[n] = pb_genetset_take_max(&b->set);
        add_parents(b, b->down[n++]);
    }
    for (size_t i = n; i > 0; i--) {
        int32_t a = b->down[i - 1];
        int32_t p = b->ped->seed_parent[a], q = b->ped->pollen_parent[a];
        b->v[a] = b->x[a] * b->d[a] + (p != PB_UNKNOWN ? b->v[p] / 2 : 0) +
                  (q != PB_UNKNOWN ? b->v[q] / 2 : 0);
    }
    return n;
}

/* The children that can be served with g: from next[pivot] to the end returned. */
static int32_t ready(const struct batcher *b, int32_t g)
{
    int32_t pivot = b->pivot[g], end = b->next[pivot];
    while (end < b->first[pivot + 1] && mate_of(b, b->child[end]) < g)
        end++;
    return end;
}

/* Write F of g and of all that can be served with it. */
static void serve(struct batcher *b, double *f, int32_t g)
{
    int32_t pivot = b->pivot[g], end = ready(b, g);
    size_t up_n = sweep_up(b, pivot);
    for (int32_t i = b->next[pivot]; i < end; i++)
        pb_genetset_add(&b->set, mate_of(b, b->child[i]));
    size_t down_n = sweep_down(b);
    for (; b->next[pivot] < end; b->next[pivot]++) {
        int32_t child = b->child[b->next[pivot]];
        f[child] = b->v[mate_of(b, child)] / 2;
    }
    for (size_t i = 0; i < up_n; i++)
        b->x[b->up[i]] = 0;
    b->ns += (double)up_n * UP_NS + (double)down_n * DOWN_NS;
}

/* The same without the sweeps: F is said to be 0. */
static void pretend(struct batcher *b, double *f, int32_t g)
{
    int32_t pivot = b->pivot[g], end = ready(b, g);
    while (b->next[pivot] < end)
        f[b->child[b->next[pivot]++]] = 0;
}

static void mark_crosses(const struct batcher *b, double *f)
{
    for (int32_t g = 0; g < b->ped->genet_n; g++)
        f[g] = b->pivot[g] != PB_UNKNOWN ? TO_DO : 0;
}

enum pb_rc pb_batch_inbreeding(const struct pb_pedigree *ped, double *f,
                               struct pb_err *err)
{
    struct batcher b;
    enum pb_rc rc = batcher_init(&b, ped, err);
    if (rc == PB_OK)
        mark_crosses(&b, f);
    for (int32_t g = 0; rc == PB_OK && g < ped->genet_n; g++) {
        b.d[g] = pb_mendelian(ped, f, g);
        if (b.pivot[g] == PB_UNKNOWN)
            f[g] = pb_plain_f(ped, f, g);
        else if (f[g] < 0)
            serve(&b, f, g);
    }
    batcher_clear(&b);
    return rc;
}

/* Go through the batches, and sweep some, spread evenly over the pedigree.  F is not
 * known yet and not needed: d is all zero. */
enum pb_rc pb_batch_cost(const struct pb_pedigree *ped, double bound,
                         struct pb_kinship_cost *cost, struct pb_err *err)
{
    struct batcher b;
    int32_t stride = ped->genet_n / SAMPLES + 1, due = stride / 2;
    double taken = 0, batches = 0, sort_ns = (double)ped->genet_n * SORT_NS;
    double ns = sort_ns;
    double *f = calloc((size_t)ped->genet_n + 1, sizeof(*f));
    enum pb_rc rc = batcher_init(&b, ped, err);
    if (rc == PB_OK && f == NULL)
        rc = pb_fail_memory(err);
    if (rc == PB_OK)
        mark_crosses(&b, f);
    for (int32_t g = 0; rc == PB_OK && g < ped->genet_n && ns <= bound; g++) {
        if (f[g] >= 0)
            continue;
        batches++;
        if (g < due) {
            pretend(&b, f, g);
        } else {
            serve(&b, f, g);
            taken++;
            due += stride;
        }
        if (taken > 0)
            ns = sort_ns + b.ns * (batches / taken);
    }
    *cost = (struct pb_kinship_cost){.ns = ns <= bound ? ns : HUGE_VAL};
    batcher_clear(&b);
    free(f);
    return rc;
}
