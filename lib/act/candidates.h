/* Who can be crossed today.  Internal to pairs. */
#ifndef PB_ACT_CANDIDATES_H
#define PB_ACT_CANDIDATES_H

#include "act/pairs.h"

/* Fill seed, pollen and out; see pb_act_pairs. */
enum pb_rc pb_candidates_find(struct pb_act *a, struct pb_pairs_today *today,
                              struct pb_err *err);
void pb_candidates_clear(struct pb_candidates *list);

#endif
