/*
 * A law on an even grid condensed to a few nodes with the same moments.  Internal to the
 * ripening estimator.
 */
#ifndef PB_CORE_RIPENING_GAUSS_H
#define PB_CORE_RIPENING_GAUSS_H

#include "core/ripening_law.h"

enum { PB_RIPENING_GAUSS_MAX = 24 };

/*
 * The Gauss rule of a discrete measure: k nodes that integrate polynomials of degree
 * 2 k - 1 exactly, k as small as serves Phi(z - place) for every z within 1e-9.
 *   weights, n  the measure, sums to 1, n > 0     first, step  its grid
 *   scratch     room for 2 n
 *   out         the nodes; their weights are positive and sum to 1
 * Returns k.  A measure whose variance is at most 3/4, and in this model it is, needs
 * less than PB_RIPENING_GAUSS_MAX; a wider one is given no more, and served less well.
 * Source: Golub & Welsch (1969), Math. Comp. 23:221-230; the recurrence coefficients by
 * the Stieltjes procedure, Gautschi (2004), Orthogonal Polynomials, section 2.2.
 */
size_t pb_ripening_gauss(const double *weights, size_t n, double first, double step,
                         double *scratch,
                         struct pb_ripening_node out[PB_RIPENING_GAUSS_MAX]);

#endif
