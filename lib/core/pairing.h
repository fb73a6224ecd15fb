/*
 * Which crosses next: every pair ranked, and the best set of so many.
 *
 * The order is one: least F of the progeny, then least mean kinship of the pair, then most
 * capsules expected, then the codes.  F and mean kinship are compared in steps of 2^-40
 * (about 1e-12), expected capsules in steps of 2^-20, so that values which only rounding
 * tells apart are ties; in whole steps sums are exact, and so is the choice.
 * Source of the aims: Ballou & Lacy (1995), in Population Management for Survival and
 * Recovery; Fernandez, Toro & Caballero (2001), Genetics Selection Evolution
 * 33:17.
 */
#ifndef PB_CORE_PAIRING_H
#define PB_CORE_PAIRING_H

#include "core/kinship.h"

/* Candidates are plants or pollen lots, by genet, each side in the order of its codes;
 * several may be of one clone.  All is borrowed. */
struct pb_pairing {
    struct pb_genets seed, pollen;
    const double *kinship;  /* [seed.n * pollen.n], see pb_kinship_some */
    const double *mean;     /* mean kinship by genet, see pb_kinship_mean */
    const double *expected; /* [seed.n * pollen.n] capsules, 0..2^20; NULL: no matter */
    double max_f;           /* the most F of the progeny that is let in */
    bool selfings;          /* let in pairs of one clone */
};

struct pb_pair {
    int32_t seed, pollen; /* candidates, from 0 */
    double f;             /* of the progeny: the pair's kinship */
    double mean_kinship;  /* mean of the two parents' */
    double expected;
};

/* Pairs, best first. */
struct pb_pairs {
    struct pb_pair *pair;
    size_t n;
};

/*
 * All pairs that are let in, best first.
 *   pairs  out: yours (free the pairs; NULL where there is none)
 * Cost O(s p log(s p)) for s seed and p pollen candidates, 32 bytes a pair, and 56 more
 * while it sorts.
 * PB_ELIMIT  more than PB_MAX_PAIRS pairs
 */
enum pb_rc pb_pairing_rank(const struct pb_pairing *ask, struct pb_pairs *pairs,
                           struct pb_err *err);

struct pb_pairing_limits {
    size_t want; /* crosses in the set */
    int32_t
        per_clone; /* how often a clone may be seed parent, and, counted apart, pollen
                          parent; at least 1 */
};

/*
 * The best set of so many pairs, or of as many as the limits allow: least sum of F, then
 * of mean kinship, then most capsules in all, then the set whose codes come first.
 *   pairs  as ranked; with some left out it will do too
 *   set    out: [limits.want] places in pairs, ascending (best first)
 *   set_n  out: how many
 * Exact: a minimum-cost flow from clones to clones (flow.h), where taking the best pair
 * again and again is not.  Cost O(want x (n + clones^2)): 20 crosses of 200 by 200
 * candidates take some 20 ms, 50 of 1000 by 1000 a second.
 */
enum pb_rc pb_pairing_best(const struct pb_pairing *ask, struct pb_pairs pairs,
                           struct pb_pairing_limits limits, size_t *set, size_t *set_n,
                           struct pb_err *err);

#endif
