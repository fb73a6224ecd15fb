/* Special functions.  See special.h. */
#include "core/special.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>

enum {
    FRACTION_TERMS = 20000, /* the fraction needs O(sqrt(a + b)) of them */
    BISECTIONS = 1100       /* enough to walk from 1 down to the smallest double */
};

#define SQRT_HALF 0.70710678118654752440
#define FAR_TAIL  30.0 /* from here the asymptotic series is exact to 2e-12 */

double pb_normal_cdf(double z)
{
    return 0.5 * erfc(-z * SQRT_HALF);
}

double pb_normal_sf(double z)
{
    return 0.5 * erfc(z * SQRT_HALF);
}

double pb_normal_quantile(double p)
{
    /* the lower tail keeps digits; so many halvings leave no bit of 40 open */
    bool upper = p > 0.5;
    double tail = fmax(upper ? 1 - p : p, upper ? 1e-16 : 1e-300);
    double low = -40, high = 0;
    for (int i = 0; i < 70; i++) {
        double mid = 0.5 * (low + high);
        if (pb_normal_cdf(mid) < tail)
            low = mid;
        else
            high = mid;
    }
    return upper ? -low : low;
}

double pb_normal_log_sf(double z)
{
    if (z < 0)
        return log1p(-pb_normal_sf(-z));
    if (z < FAR_TAIL)
        return log(pb_normal_sf(z));
    /* Abramowitz & Stegun 26.2.12 */
    double r = 1 / (z * z);
    double series = -r * (1 - 3 * r * (1 - 5 * r * (1 - 7 * r)));
    return -0.5 * z * z - PB_HALF_LOG_2PI - log(z) + log1p(series);
}

double pb_normal_sf_ratio(double near, double far)
{
    if (far < FAR_TAIL)
        return fmin(1, pb_normal_sf(far) / pb_normal_sf(near));
    return exp(fmin(0, pb_normal_log_sf(far) - pb_normal_log_sf(near)));
}

double pb_normal_log_between(double low, double high)
{
    if (high < 0) {
        double mirrored = -low;
        low = -high;
        high = mirrored;
    }
    if (low < 0) /* the middle is inside: take both tails off */
        return log1p(-(pb_normal_sf(-low) + pb_normal_sf(high)));
    double outer = pb_normal_log_sf(low);
    if (isinf(high))
        return outer;
    double gap = pb_normal_log_sf(high) - outer;
    return outer + log(-expm1(fmin(gap, -DBL_MIN)));
}

/* The continued fraction; converges fast for x below (a + 1) / (a + b + 2). */
static double beta_fraction(double a, double b, double x)
{
    double c = 1;
    double d = 1 - (a + b) * x / (a + 1);
    d = 1 / (fabs(d) < DBL_MIN ? DBL_MIN : d);
    double value = d;
    for (int k = 1; k <= FRACTION_TERMS; k++) {
        double m = k, am = a + 2 * m;
        double even = m * (b - m) * x / ((am - 1) * am);
        double odd = -(a + m) * (a + b + m) * x / (am * (am + 1));
        double term[2] = {even, odd}, step = 1;
        for (int i = 0; i < 2; i++) {
            d = 1 + term[i] * d;
            d = 1 / (fabs(d) < DBL_MIN ? DBL_MIN : d);
            c = 1 + term[i] / c;
            c = fabs(c) < DBL_MIN ? DBL_MIN : c;
            step = c * d;
            value *= step;
        }
        if (fabs(step - 1) < DBL_EPSILON)
            break;
    }
    return value;
}

/*
 * log Gamma(x) for x > 0: Stirling's series, DLMF 5.11.1, from 10 on exact to 1e-16.  That
 * of libm writes the sign into a global, which a library that others thread must not.
 */
static double log_gamma(double x)
{
    double product = 1;
    while (x < 10) {
        product *= x;
        x += 1;
    }
    double r = 1 / (x * x);
    double series =
        1 / x *
        (1.0 / 12 -
         r * (1.0 / 360 -
              r * (1.0 / 1260 -
                   r * (1.0 / 1680 - r * (1.0 / 1188 - r * 691.0 / 360360)))));
    return (x - 0.5) * log(x) - x + PB_HALF_LOG_2PI + series - log(product);
}

double pb_beta_cdf(double a, double b, double x)
{
    if (!(x > 0))
        return 0;
    if (x >= 1)
        return 1;
    bool turned = x > (a + 1) / (a + b + 2);
    if (turned) {
        double swap = a;
        a = b;
        b = swap;
    }
    double log_x = turned ? log1p(-x) : log(x);
    double log_y = turned ? log(x) : log1p(-x);
    double front =
        exp(log_gamma(a + b) - log_gamma(a) - log_gamma(b) + a * log_x + b * log_y) / a;
    double part = fmin(1, front * beta_fraction(a, b, turned ? 1 - x : x));
    return turned ? 1 - part : part;
}

double pb_beta_quantile(double a, double b, double p)
{
    double low = 0, high = 1;
    for (int i = 0; i < BISECTIONS; i++) {
        double mid = 0.5 * (low + high);
        if (mid <= low || mid >= high)
            break;
        if (pb_beta_cdf(a, b, mid) < p)
            low = mid;
        else
            high = mid;
    }
    return 0.5 * (low + high);
}

double pb_student_quantile(double nu, double p)
{
    double tail = fmin(p, 1 - p);
    /* t^2 / (nu + t^2) ~ Beta(1/2, nu/2) */
    double y = pb_beta_quantile(0.5, 0.5 * nu, 1 - 2 * tail);
    double t = sqrt(nu * y / (1 - y));
    return p < 0.5 ? -t : t;
}
