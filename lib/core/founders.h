/*
 * Parentage shares: how much of a plant comes from which taxon.
 */
#ifndef PB_CORE_FOUNDERS_H
#define PB_CORE_FOUNDERS_H

#include "core/pedigree.h"

/*
 * Half from each parent, up to plants of which no parent is known: these are their own
 * taxon.  The half of an unknown parent is unknown: nothing is guessed from the name of
 * the offspring.
 *   taxon  [ped->genet_n] number of the taxon, 0..taxon_n-1, or PB_UNKNOWN; read only
 *          where no parent is known
 *   share  out: [taxon_n + 1], of sum 1; the last one is the unknown part
 * Cost: the ancestors of the genet; exact while a share has no more than 52 generations.
 */
enum pb_rc pb_founder_shares(const struct pb_pedigree *ped, const int32_t *taxon,
                             int32_t taxon_n, int32_t genet, double *share,
                             struct pb_err *err);

#endif
