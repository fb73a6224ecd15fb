/*
 * How long stored seed lives: the seed viability equation, with the constants that its user
 * brings.  podbook has none of its own: no constants of an orchid were found fit to be
 * built in.
 *
 *   v = Ki - p / sigma,  sigma = 10^(KE - CW log10 m - CH t - CQ t^2)
 *
 * v and Ki: share of the seeds alive now and at the start, as normal deviates; p days of
 * storage; m moisture in percent of fresh weight; t degrees Celsius.
 * Source: Ellis & Roberts 1980, Ann. Bot. 45:13-30.
 */
#ifndef PB_CORE_SEEDLIFE_H
#define PB_CORE_SEEDLIFE_H

#include "base/err.h"

#include <stdbool.h>

#define PB_REAL_NONE (-1e6) /* a real number that is not given */

/* The equation's stated use; outside it the quadratic in t soon turns over. */
enum {
    PB_SEEDLIFE_COLDEST = -20, /* degrees Celsius */
    PB_SEEDLIFE_WARMEST = 90,
    PB_SEEDLIFE_DRIEST = 5, /* percent of fresh weight */
    PB_SEEDLIFE_WETTEST = 25
};

/* A century; what lies beyond is not told as a day. */
enum { PB_SEEDLIFE_FAR = 36525 };

/* What the user of the equation gives; PB_REAL_NONE: not given. */
struct pb_seed_constants {
    double ke, cw, ch, cq;
    double viability; /* at the start, percent of the seeds */
    double moisture;  /* percent of fresh weight */
    double below;     /* sow before fewer than this percent are alive */
    char *source;     /* where the constants are from; NULL: nobody said */
};

/* Can it be computed: constants, viability, moisture and temperature are all there? */
bool pb_seedlife_given(const struct pb_seed_constants *c, double celsius);

/*
 * Hold what is given against the equation's rules: the four constants go together and with
 * their source; once they are there, the figures beside them lie in its range.
 * PB_EINVALID  names the figure
 */
enum pb_rc pb_seedlife_check(const struct pb_seed_constants *c, double celsius,
                             struct pb_err *err);

/* sigma: days in which the viability falls by one normal deviate. */
double pb_seedlife_sigma(const struct pb_seed_constants *c, double celsius);

/* Percent of the seeds that are expected to be alive after so many days (>= 0); all is
 * given and was checked. */
double pb_seedlife_after(const struct pb_seed_constants *c, double celsius,
                         double days);

/* Days until it falls to a share (0 < percent < 100); 0: it never was higher. */
double pb_seedlife_until(const struct pb_seed_constants *c, double celsius,
                         double percent);

/* The last whole day on which at least `below` percent are expected to be alive, counted
 * from the start; -1: none is asked for, it cannot be computed, or it lies beyond
 * PB_SEEDLIFE_FAR. */
int pb_seedlife_last_day(const struct pb_seed_constants *c, double celsius);

#endif
