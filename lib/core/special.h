/*
 * The few special functions that the estimators need, on libm alone.
 *
 * All are total on the ranges given: never NaN, never infinite where the value is finite.
 */
#ifndef PB_CORE_SPECIAL_H
#define PB_CORE_SPECIAL_H

#define PB_HALF_LOG_2PI 0.91893853320467274178

/* Standard normal: P(Z <= z), P(Z > z).  Full relative precision in the small tail. */
double pb_normal_cdf(double z);
double pb_normal_sf(double z);

/* The z with P(Z <= z) = p; p held to [1e-300, 1 - 1e-16].  Bisection: cannot miss. */
double pb_normal_quantile(double p);

/* log P(Z > z), without underflow: z = 1e6 gives about -5e11.  z = -inf gives 0. */
double pb_normal_log_sf(double z);

/*
 * P(Z > far) / P(Z > near) for near <= far: in [0,1], without underflow, so 0 / 0 does
 * not occur however far out both lie.
 */
double pb_normal_sf_ratio(double near, double far);

/*
 * log P(low < Z <= high) for low < high, either may be infinite.  Taken on the tail side
 * that keeps digits; no underflow.
 */
double pb_normal_log_between(double low, double high);

/*
 * Regularised incomplete beta function I_x(a,b): P(X <= x), X ~ Beta(a,b).
 *   a, b  > 0, up to about 1e7    x  held to [0,1]
 * Absolute error about 1e-14, growing to 1e-10 at a + b = 1e6.
 * Source: the continued fraction of DLMF 8.17.22, by the modified Lentz method.
 */
double pb_beta_cdf(double a, double b, double x);

/* The x with I_x(a,b) = p; p held to [0,1].  Bisection: cannot miss. */
double pb_beta_quantile(double a, double b, double p);

/* Student's t with nu > 0 degrees of freedom: the t with P(T <= t) = p, 0 < p < 1. */
double pb_student_quantile(double nu, double p);

#endif
