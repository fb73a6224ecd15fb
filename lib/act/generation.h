/* How many generations of hand-made crosses lie behind a plant. */
#ifndef PB_ACT_GENERATION_H
#define PB_ACT_GENERATION_H

#include "act/act.h"
#include "core/record.h"

/*
 * The generation of the seedlings of a cross: one more than the highest of its parents.  A
 * plant whose parents the book does not know is of generation 0, a clone is of its source's.
 * Cost: that of the parents' ancestors.
 * PB_EINVALID  a plant descends from itself (a damaged book)
 */
enum pb_rc pb_cross_generation(struct pb_act *a, const struct pb_cross *x,
                               int *generation, struct pb_err *err);

#endif
