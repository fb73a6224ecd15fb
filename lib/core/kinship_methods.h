/*
 * Inside kinship: the three ways to F of all.  Use kinship.h.
 *
 * A cross, here, is a genet with two known parents that are not one genet; all others
 * need no search: a selfing has F = (1 + F of its parent) / 2, and without two known
 * parents F is 0.
 */
#ifndef PB_CORE_KINSHIP_METHODS_H
#define PB_CORE_KINSHIP_METHODS_H

#include "core/kinship.h"

static inline bool pb_is_cross(const struct pb_pedigree *ped, int32_t g)
{
    return ped->seed_parent[g] != PB_UNKNOWN && ped->pollen_parent[g] != PB_UNKNOWN &&
           ped->seed_parent[g] != ped->pollen_parent[g];
}

/* F of a genet that is not a cross. */
static inline double pb_plain_f(const struct pb_pedigree *ped, const double *f,
                                int32_t g)
{
    int32_t p = ped->seed_parent[g];
    return p != PB_UNKNOWN && p == ped->pollen_parent[g] ? (1.0 + f[p]) / 2.0 : 0.0;
}

/* Mendelian sampling variance: what of a genet does not come from its parents' means. */
static inline double pb_mendelian(const struct pb_pedigree *ped, const double *f,
                                  int32_t g)
{
    int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
    return 1.0 - (p != PB_UNKNOWN ? (1.0 + f[p]) / 4.0 : 0.0) -
           (q != PB_UNKNOWN ? (1.0 + f[q]) / 4.0 : 0.0);
}

/* What an estimate says; a method gives up, at HUGE_VAL, once it is sure to cost more
 * than bound. */
struct pb_kinship_cost {
    double ns;
    int32_t live; /* table only */
};

/* ORDER KINSHIP_METHOD.  f is written as the method goes, on error too. */
enum pb_rc pb_trace_inbreeding(const struct pb_pedigree *ped, double *f,
                               struct pb_err *err);
enum pb_rc pb_batch_inbreeding(const struct pb_pedigree *ped, double *f,
                               struct pb_err *err);
enum pb_rc pb_table_inbreeding(const struct pb_pedigree *ped, double *f,
                               struct pb_err *err);

enum pb_rc pb_trace_cost(const struct pb_pedigree *ped, double bound,
                         struct pb_kinship_cost *cost, struct pb_err *err);
enum pb_rc pb_batch_cost(const struct pb_pedigree *ped, double bound,
                         struct pb_kinship_cost *cost, struct pb_err *err);
enum pb_rc pb_table_cost(const struct pb_pedigree *ped, double bound,
                         struct pb_kinship_cost *cost, struct pb_err *err);

#endif
