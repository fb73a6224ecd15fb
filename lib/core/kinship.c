/*
 * Kinship: choosing the method, means, and some with some.  See kinship.h.
 *
 * No method for F wins everywhere, and the wrong one is slower by orders of magnitude:
 *   a shallow collection (few ancestors each)                       TRACE
 *   many generations, but few plants at a time still to be parents  TABLE
 *   many generations, many parents, some of them with many mates    BATCH
 * So each is estimated.  The table's cost is counted exactly in one pass (the live
 * parents).  Trace and batch do a sample of their work, spread evenly over the pedigree,
 * and give up as soon as the sample shows that they cost more than the best so far.
 */
#include "core/genetset.h"
#include "core/kinship_methods.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ORDER KINSHIP_METHOD */
static const struct method {
    enum pb_rc (*inbreeding)(const struct pb_pedigree *ped, double *f,
                             struct pb_err *err);
    enum pb_rc (*cost)(const struct pb_pedigree *ped, double bound,
                       struct pb_kinship_cost *cost, struct pb_err *err);
} methods[] = {
    {pb_trace_inbreeding, pb_trace_cost},
    {pb_batch_inbreeding, pb_batch_cost},
    {pb_table_inbreeding, pb_table_cost},
};
_Static_assert(sizeof(methods) / sizeof(methods[0]) == PB_KINSHIP_METHOD_N,
               "ORDER KINSHIP_METHOD");

enum pb_rc pb_kinship_plan(const struct pb_pedigree *ped, struct pb_kinship_plan *plan,
                           struct pb_err *err)
{
    /* The exact and cheap estimate first: it bounds the others. */
    static const enum pb_kinship_method order[] = {PB_KINSHIP_TABLE, PB_KINSHIP_TRACE,
                                                   PB_KINSHIP_BATCH};
    struct pb_kinship_plan made = {.best = PB_KINSHIP_TRACE};
    double bound = HUGE_VAL;
    for (size_t i = 0; i < sizeof(order) / sizeof(order[0]); i++) {
        struct pb_kinship_cost cost = {0};
        enum pb_rc rc = methods[order[i]].cost(ped, bound, &cost, err);
        if (rc != PB_OK)
            return rc;
        made.ns[order[i]] = cost.ns;
        made.live = cost.live > made.live ? cost.live : made.live;
        if (cost.ns < bound) {
            bound = cost.ns;
            made.best = order[i];
        }
    }
    *plan = made;
    return PB_OK;
}

enum pb_rc pb_kinship_inbreeding(const struct pb_pedigree *ped,
                                 enum pb_kinship_method how, double *f,
                                 struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    if (how == PB_KINSHIP_BEST) {
        struct pb_kinship_plan plan;
        rc = pb_kinship_plan(ped, &plan, err);
        if (rc != PB_OK)
            return rc;
        how = plan.best;
    }
    size_t bytes = (size_t)ped->genet_n * sizeof(*f);
    double *made = malloc(bytes ? bytes : 1);
    if (made == NULL)
        return pb_fail_memory(err);
    rc = methods[how].inbreeding(ped, made, err);
    if (rc == PB_OK)
        memcpy(f, made, bytes);
    free(made);
    return rc;
}

/* ---- mean kinship ------------------------------------------------------------------ */

void pb_kinship_weights(const struct pb_pedigree *ped, const uint8_t *counted,
                        bool by_plant, double *weight)
{
    for (int32_t g = 0; g < ped->genet_n; g++)
        weight[g] = 0;
    for (size_t r = 0; r < ped->row_n; r++)
        if (counted == NULL || counted[r] != 0) {
            double *w = &weight[ped->genet_of[r]];
            *w = by_plant ? *w + 1 : 1;
        }
}

static void scale(double *v, int32_t n, double by)
{
    for (int32_t g = 0; g < n; g++)
        v[g] *= by;
}

/* v becomes A v (twice the kinships with what v weighs): T' up, then D and T down. */
static void times_relationship(const struct pb_pedigree *ped, const double *f,
                               double *v)
{
    for (int32_t g = ped->genet_n - 1; g >= 0; g--) {
        int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
        if (p != PB_UNKNOWN)
            v[p] += v[g] / 2;
        if (q != PB_UNKNOWN)
            v[q] += v[g] / 2;
    }
    for (int32_t g = 0; g < ped->genet_n; g++) {
        int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
        v[g] = v[g] * pb_mendelian(ped, f, g) + (p != PB_UNKNOWN ? v[p] / 2 : 0) +
               (q != PB_UNKNOWN ? v[q] / 2 : 0);
    }
}

void pb_kinship_mean(const struct pb_pedigree *ped, const double *f,
                     const double *weight, double *mean, struct pb_diversity *diversity)
{
    struct pb_diversity d = {0};
    for (int32_t g = 0; g < ped->genet_n; g++) {
        mean[g] = weight[g];
        d.weight += weight[g];
    }
    times_relationship(ped, f, mean);
    scale(mean, ped->genet_n, d.weight > 0 ? 0.5 / d.weight : 0);
    if (d.weight > 0) {
        double sum = 0;
        for (int32_t g = 0; g < ped->genet_n; g++)
            sum += weight[g] * mean[g];
        d.mean_kinship = sum / d.weight;
        d.gene_diversity = 1 - d.mean_kinship;
        d.founder_equivalents = 1 / (2 * d.mean_kinship);
    }
    *diversity = d;
}

/* ---- some with some ---------------------------------------------------------------- */

/* The ancestors of a few as a pedigree of its own, so that every sweep is over these. */
struct part {
    struct pb_pedigree ped;
    int32_t *number; /* by genet of the whole, ancestors only */
    double *f, *v;
};

static void part_clear(struct part *part)
{
    pb_pedigree_clear(&part->ped);
    free(part->number);
    free(part->f);
    free(part->v);
}

static int32_t number_of(const struct part *part, int32_t g)
{
    return g == PB_UNKNOWN ? PB_UNKNOWN : part->number[g];
}

/* Take the genets and all their ancestors into set out again, youngest first.  Returns
 * how many. */
static int32_t take_ancestors(const struct pb_pedigree *ped, struct pb_genetset *set,
                              int32_t *line)
{
    int32_t n = 0;
    while (!pb_genetset_empty(set)) {
        int32_t g = pb_genetset_take_max(set);
        line[n++] = g;
        if (ped->seed_parent[g] != PB_UNKNOWN)
            pb_genetset_add(set, ped->seed_parent[g]);
        if (ped->pollen_parent[g] != PB_UNKNOWN)
            pb_genetset_add(set, ped->pollen_parent[g]);
    }
    return n;
}

static enum pb_rc part_fill(struct part *part, const struct pb_pedigree *ped,
                            const int32_t *line, int32_t n, struct pb_err *err)
{
    size_t room = (size_t)n + 1;
    part->ped.seed_parent = malloc(room * sizeof(int32_t));
    part->ped.pollen_parent = malloc(room * sizeof(int32_t));
    part->f = malloc(room * sizeof(double));
    part->v = malloc(room * sizeof(double));
    if (part->ped.seed_parent == NULL || part->ped.pollen_parent == NULL ||
        part->f == NULL || part->v == NULL)
        return pb_fail_memory(err);
    part->ped.genet_n = n;
    for (int32_t i = 0; i < n; i++) {
        int32_t g = line[n - 1 - i];
        part->number[g] = i;
        part->ped.seed_parent[i] = number_of(part, ped->seed_parent[g]);
        part->ped.pollen_parent[i] = number_of(part, ped->pollen_parent[g]);
    }
    return pb_kinship_inbreeding(&part->ped, PB_KINSHIP_BEST, part->f, err);
}

static enum pb_rc part_init(struct part *part, const struct pb_pedigree *ped,
                            struct pb_genets a, struct pb_genets b, struct pb_err *err)
{
    struct pb_genetset set = {0};
    size_t bytes = ((size_t)ped->genet_n + 1) * sizeof(int32_t);
    int32_t *line = malloc(bytes);
    *part = (struct part){.number = malloc(bytes)};
    enum pb_rc rc = pb_genetset_init(&set, ped->genet_n, err);
    if (rc == PB_OK && (line == NULL || part->number == NULL))
        rc = pb_fail_memory(err);
    if (rc == PB_OK) {
        for (size_t i = 0; i < a.n; i++)
            pb_genetset_add(&set, a.genet[i]);
        for (size_t i = 0; i < b.n; i++)
            pb_genetset_add(&set, b.genet[i]);
        int32_t n = take_ancestors(ped, &set, line);
        rc = part_fill(part, ped, line, n, err);
    }
    pb_genetset_clear(&set);
    free(line);
    return rc;
}

enum pb_rc pb_kinship_some(const struct pb_pedigree *ped, struct pb_genets a,
                           struct pb_genets b, double *k, struct pb_err *err)
{
    struct part part;
    enum pb_rc rc = part_init(&part, ped, a, b, err);
    for (size_t i = 0; rc == PB_OK && i < a.n; i++) {
        for (int32_t g = 0; g < part.ped.genet_n; g++)
            part.v[g] = 0;
        part.v[part.number[a.genet[i]]] = 1;
        times_relationship(&part.ped, part.f, part.v);
        for (size_t j = 0; j < b.n; j++)
            k[i * b.n + j] = part.v[part.number[b.genet[j]]] / 2;
    }
    part_clear(&part);
    return rc;
}
