/*
 * When does a capsule split?  Learns from interval-censored records of the grower's own.
 *
 * With T the days from pollination to splitting, for the capsules of one taxon:
 *   ln T ~ N(mu_p, s2)      p: the seed parent's clone
 *   mu_p ~ N(mu_T, s2/k1)   k1 = 4
 *   mu_T ~ N(m0, s2/k0)     s2 ~ scaled inverse chi-square (nu = k0, s0^2)
 * The profile's split window [A,B] and its weight k0 give m0 = (ln A + ln B) / 2 and s0,
 * such that without data the central 90% of the prediction is the window.  The posterior
 * is integrated on grids that follow the data; quantiles are good to 1e-4 day, and to 3e-4
 * where tens of thousands of capsules contradict a handful (4,000 random fits against half
 * the steps: two were beyond 1e-4).
 * Sources: normal and scaled inverse chi-square, Gelman et al. (2013), Bayesian Data
 * Analysis, 3rd ed., ch. 3; interval censoring, Turnbull (1976), J. R. Stat. Soc. B
 * 38:290-295.
 */
#ifndef PB_CORE_RIPENING_H
#define PB_CORE_RIPENING_H

#include "core/ripening_law.h"

#define PB_RIPENING_NEVER      INT32_MAX /* not seen split */
#define PB_RIPENING_WEIGHT_MIN 2.0
#define PB_RIPENING_WEIGHT_MAX 1e6

/*
 * The profile: split window in days, both ends included, and its weight in capsules.
 * 0 <= first <= last.  A window of one day d counts as [d - 1/2, d + 1/2]; day 0, which
 * has no logarithm, counts as half a day.
 */
struct pb_ripening_prior {
    int32_t first, last;
    double weight;
};
bool pb_ripening_prior_is(const struct pb_ripening_prior *a,
                          const struct pb_ripening_prior *b);

/*
 * count capsules of one clone that were intact on day `after` and split on day `by`.
 *   after  0 where never seen intact    by  PB_RIPENING_NEVER where never seen split
 * 0 <= after < by.
 */
struct pb_ripening_obs {
    uint32_t clone; /* any numbers; equal for one clone */
    int32_t after, by;
    uint32_t count; /* 0: the row is ignored */
};

struct pb_ripening; /* the laws of one taxon */

/*
 * Fit.
 *   obs, n  rows in any order, equal ones may repeat; n may be 0
 *   out     yours: pb_ripening_free
 * The same records give the same bits whatever their order.  Cost: some 0.2 ms for each
 * distinct record of a clone, whatever the counts.
 * PB_EINVALID  a prior or an observation against the rules above    PB_ENOMEM
 */
enum pb_rc pb_ripening_fit(const struct pb_ripening_prior *prior,
                           const struct pb_ripening_obs *obs, size_t n,
                           struct pb_ripening **out, struct pb_err *err);
void pb_ripening_free(struct pb_ripening *r);

/* The same with every step of the grids scaled, to see that they are fine enough. */
enum pb_rc pb_ripening_fit_scaled(const struct pb_ripening_prior *prior,
                                  const struct pb_ripening_obs *obs, size_t n,
                                  double scale, struct pb_ripening **out,
                                  struct pb_err *err);

/* Capsules of all clones. */
uint64_t pb_ripening_capsules(const struct pb_ripening *r);

/*
 * The law of a clone, and of a clone that has no capsules yet; the first gives the second
 * for clones that are not among the data.  Borrowed until pb_ripening_free.
 */
const struct pb_ripening_law *pb_ripening_law_of(const struct pb_ripening *r,
                                                 uint32_t clone);
const struct pb_ripening_law *pb_ripening_law_unseen(const struct pb_ripening *r);

#endif
