/*
 * How many of the pollinated flowers give a capsule, and how many to pollinate.
 *
 * Shares are binomial with a beta prior.  What is reported of the past uses Jeffreys'
 * prior, Beta(1/2, 1/2); what is planned uses the published rate of the group.
 */
#ifndef PB_CORE_SETRATE_H
#define PB_CORE_SETRATE_H

#include "base/err.h"

#include <stdint.h>

enum { PB_SETRATE_FLOWERS_SHOWN = 30 }; /* more is printed as "more than 30" */

#define PB_SETRATE_CHANCE \
    0.9 /* of at least one capsule, that flowers are planned for */
#define PB_SETRATE_NONE (-1.0) /* no published rate */

/* set of flowers gave a capsule: the share as a mean, with a 95% interval, in [0,1] */
struct pb_setrate {
    double mean, low, high;
};

/* A beta distribution of a set rate: u capsules and v failures, both above 0. */
struct pb_setrate_belief {
    double u, v;
};

/*
 * Mean and 95% interval of Jeffreys' posterior; the interval begins at 0 where none set
 * and ends at 1 where all did.
 *   set, flowers  set <= flowers; both may be 0
 * PB_EINVALID  more capsules than flowers
 * Source: Brown, Cai & DasGupta (2001), Statist. Sci. 16:101-133.
 */
enum pb_rc pb_setrate_interval(uint32_t set, uint32_t flowers, struct pb_setrate *out,
                               struct pb_err *err);

/*
 * What is believed before the grower's own flowers are counted.
 *   share  the published rate, held to [0.01, 0.99], worth 4 flowers; below 0 or NaN:
 *          none (PB_SETRATE_NONE), every rate is as likely as another
 */
struct pb_setrate_belief pb_setrate_prior(double share);

/* The same after set of flowers gave a capsule.  PB_EINVALID as above */
enum pb_rc pb_setrate_learn(struct pb_setrate_belief prior, uint32_t set,
                            uint32_t flowers, struct pb_setrate_belief *out,
                            struct pb_err *err);

/* Chance of at least one capsule from m flowers. */
double pb_setrate_any(struct pb_setrate_belief belief, uint32_t m);

/*
 * The fewest flowers that give at least one capsule with a chance (0 < chance < 1).
 *   most  look no further; below UINT32_MAX
 * Returns 1 .. most, or most + 1 where that many are not enough.  Cost O(most).
 */
uint32_t pb_setrate_flowers(struct pb_setrate_belief belief, double chance,
                            uint32_t most);

#endif
