/*
 * From looks to intervals: what the life of a cross says about the day on which its
 * capsules split.
 */
#ifndef PB_CORE_INTERVALS_H
#define PB_CORE_INTERVALS_H

#include "core/life.h"
#include "core/ripening.h"

struct pb_intervals {
    struct pb_ripening_obs *v; /* the list's own: free */
    size_t n, cap;
};

/*
 * Append the intervals of one cross.
 *   life   replayed; borrowed
 *   start  day of the pollination
 *   clone  number of the seed parent's clone
 *   list   appended to; equal intervals of one cross are one row
 * Only an ovary that was a capsule counts.  Intact last on day L (from pollination), first
 * found split on R: (L, R], of one day (R-1, R]; never seen intact: (0, R].  Harvested
 * about-to-split on L: (L, L+2] - growers take it because they see it coming, and to call
 * it intact would bias the risk.  Harvested closed or yellowing on L, or dropped, lost,
 * still hanging with L the last intact day: later than L.
 * Cost O(groups^2) for the few groups of a cross.    PB_ENOMEM
 */
enum pb_rc pb_life_intervals(const struct pb_life *life, pb_day start, uint32_t clone,
                             struct pb_intervals *list, struct pb_err *err);

#endif
