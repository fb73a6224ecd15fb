/*
 * Kinship of clones: inbreeding of all, mean kinship of all, kinship of some.
 *
 * f(i,j), the kinship of i and j, is the chance that a gene drawn from each is the same
 * by descent; F(i), the inbreeding coefficient, is the kinship of its parents; f(i,i) =
 * (1 + F(i)) / 2.  A selfing needs no special case.  Each unknown parent is another plant,
 * unrelated and not inbred.  All is by genet (see pedigree.h); values are probabilities.
 * Diploid arithmetic: for other plants see pb_ploidy_notes (relation.h).
 * Source: Malecot (1948), Les mathematiques de l'heredite; Wright
 * (1922), American Naturalist 56:330.
 */
#ifndef PB_CORE_KINSHIP_H
#define PB_CORE_KINSHIP_H

#include "core/pedigree.h"

#include <stdbool.h>

/* How F of all is computed.  ORDER KINSHIP_METHOD: methods[] in kinship.c */
enum pb_kinship_method {
    PB_KINSHIP_TRACE, /* trace the ancestors of each pair of parents */
    PB_KINSHIP_BATCH, /* one parent against all its mates at once */
    PB_KINSHIP_TABLE, /* kinship of the plants that are still to be parents */
    PB_KINSHIP_METHOD_N,
    PB_KINSHIP_BEST = PB_KINSHIP_METHOD_N /* the one that the plan chooses */
};

/* What each method would cost; see kinship.c for how it is estimated. */
struct pb_kinship_plan {
    enum pb_kinship_method best;
    double ns[PB_KINSHIP_METHOD_N]; /* about so many nanoseconds; HUGE_VAL where the
                                       method cannot be used, or surely costs more */
    int32_t live;                   /* most plants at one time still to be parents */
};

/* Estimate and choose.  Cost O(n) and a small share of the cheapest method. */
enum pb_rc pb_kinship_plan(const struct pb_pedigree *ped, struct pb_kinship_plan *plan,
                           struct pb_err *err);

/*
 * F of every genet.
 *   how  a method, or PB_KINSHIP_BEST; they agree to rounding (some 1e-15)
 *   f    out: [ped->genet_n]; untouched on error
 * Cost: TRACE the sum of the ancestors of every cross; BATCH the sum over (parent, group
 * of mates) of the ancestors of the group; TABLE the sum of the live parents over all
 * parents, and 10 bytes x live^2.
 * PB_ELIMIT  PB_KINSHIP_TABLE was asked for and the table would be too large
 */
enum pb_rc pb_kinship_inbreeding(const struct pb_pedigree *ped,
                                 enum pb_kinship_method how, double *f,
                                 struct pb_err *err);

/*
 * Weights for mean kinship.
 *   counted   [ped->row_n] non-zero: the row counts (is alive); NULL: every row does
 *   by_plant  a genet weighs as many as its rows that count, else 1 if any does
 *   weight    out: [ped->genet_n]
 */
void pb_kinship_weights(const struct pb_pedigree *ped, const uint8_t *counted,
                        bool by_plant, double *weight);

/* Diversity of a collection: mean kinship over all ordered pairs, self included; gene
 * diversity 1 - mean; founder genome equivalents 1 / (2 mean).
 * Source: Lacy (1995), Conservation Biology 9:1036. */
struct pb_diversity {
    double weight; /* sum of the weights: how many clones or plants; 0: the rest is 0 */
    double mean_kinship, gene_diversity, founder_equivalents;
};

/*
 * Mean kinship of every genet with the weighted ones, and the diversity of these.
 *   f       F of all (pb_kinship_inbreeding)
 *   weight  [ped->genet_n], none negative
 *   mean    out: [ped->genet_n], not the memory of weight; 0 where all weights are 0
 * Cost O(n); allocates nothing.  Source: A x by two sweeps, Colleau (2002), Genet. Sel.
 * Evol. 34:409-421.
 */
void pb_kinship_mean(const struct pb_pedigree *ped, const double *f,
                     const double *weight, double *mean,
                     struct pb_diversity *diversity);

/* A list of genets; it may hold one twice. */
struct pb_genets {
    const int32_t *genet;
    size_t n;
};

/*
 * Kinship of a few with a few.
 *   k  out: [a.n * b.n], row by row; k[i * b.n + j] is that of a.genet[i] and b.genet[j]
 * Needs no F: works on the ancestors of the few only.  Cost O(n/64) to begin, then F of
 * the m ancestors, then O(m) for each of a.
 */
enum pb_rc pb_kinship_some(const struct pb_pedigree *ped, struct pb_genets a,
                           struct pb_genets b, double *k, struct pb_err *err);

#endif
