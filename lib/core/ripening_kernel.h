/*
 * The likelihood of the capsules, and the climb to the posterior mode at one spread.
 * Internal to the ripening estimator; ripening.h is what others include.
 *
 * Everything is standardised: a day x is a = (ln x - m0) / s0, the spread is v = s0 /
 * sigma, a clone's place is b = (mu_p - m0) / sigma, the taxon's t = (mu_T - m0) / sigma,
 * so that z = a v - b.
 */
#ifndef PB_CORE_RIPENING_KERNEL_H
#define PB_CORE_RIPENING_KERNEL_H

#include <stddef.h>
#include <stdint.h>

#define PB_RIPENING_K1 4.0 /* clones of a taxon differ like means of 4 capsules */

enum { PB_RIPENING_OPEN = -1 };

/* count capsules that split between two ends; PB_RIPENING_OPEN where there is no end */
struct pb_ripening_span {
    int32_t low, high; /* index into ends */
    double count;
};

/* The capsules of one clone, standing for `clones` clones of exactly the same record. */
struct pb_ripening_sample {
    const double *ends; /* standardised days, ascending, each once; borrowed */
    double *tails;      /* scratch of end_n; borrowed */
    const struct pb_ripening_span *spans; /* borrowed */
    size_t end_n, span_n;
    double clones;
};

/* Log likelihood, its slope in b, and its curvature (minus the second derivative). */
struct pb_ripening_local {
    double value, slope, curvature;
};

struct pb_ripening_problem {
    const struct pb_ripening_sample *samples;
    size_t sample_n; /* may be 0 */
    double k0;       /* weight of the profile, in capsules */
};

/* A point of the posterior at one spread; the arrays have sample_n elements. */
struct pb_ripening_place {
    double t, *b, *trial_b;
    struct pb_ripening_local *at_b, *at_trial;
    double value; /* -k0 t^2 / 2 + sum_p (log l_p(b_p) - k1 (b_p - t)^2 / 2) */
};

/* Log likelihood of one clone of the sample; finite for all finite v > 0 and b. */
double pb_ripening_loglik(const struct pb_ripening_sample *s, double v, double b);

/* The same with derivatives; the curvature is within [0, capsules of a clone]. */
struct pb_ripening_local pb_ripening_local(const struct pb_ripening_sample *s, double v,
                                           double b);

/* What the clones' records say about t: k0 + sum_p k1 kappa_p / (k1 + kappa_p). */
double pb_ripening_information(const struct pb_ripening_problem *p,
                               const struct pb_ripening_local *at);

/*
 * Climb to the mode at spread v.
 *   place  in: t and b to start from; out: the mode, at_b and value there
 * The function is concave, so a Newton step that is halved until it climbs cannot miss.
 */
void pb_ripening_climb(const struct pb_ripening_problem *p, double v,
                       struct pb_ripening_place *place);

#endif
