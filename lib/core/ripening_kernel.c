/*
 * Interval-censored log-normal likelihood.  See ripening_kernel.h.
 *
 * A capsule that split between days L and R has probability Phi(zR) - Phi(zL).  One
 * complementary error function serves each distinct day of a clone; the differences are
 * taken in the smaller tail.  Where a probability leaves the range of double, the slow
 * logarithmic form of special.h takes over.
 */
#include "core/ripening_kernel.h"

#include "core/special.h"

#include <math.h>
#include <stdbool.h>

enum { NEWTON_STEPS = 100, HALVINGS = 40 };

#define LEAST_MASS 1e-280 /* below it digits go missing */
#define NARROW     1e-6   /* z; below it a difference of tails has no digits to spare */
#define CLIMBED    1e-10  /* log; what a further Newton step could gain */
#define ROUNDING   1e-13 /* relative; two values of the climb closer than it are equal */

static double place_of(const struct pb_ripening_sample *s, int32_t end, double v,
                       double b)
{
    return s->ends[end] * v - b;
}

static void fill_tails(const struct pb_ripening_sample *s, double v, double b)
{
    for (size_t i = 0; i < s->end_n; i++)
        s->tails[i] = pb_normal_sf(fabs(s->ends[i] * v - b));
}

/* log P(Z > z), the small tail of |z| being known */
static double log_beyond(double z, double tail)
{
    if (z < 0)
        return log1p(-tail);
    return tail > LEAST_MASS ? log(tail) : pb_normal_log_sf(z);
}

/* log P of one span; tails are filled for (v, b) */
static double log_mass(const struct pb_ripening_sample *s,
                       const struct pb_ripening_span *span, double v, double b)
{
    int32_t low = span->low, high = span->high;
    if (high == PB_RIPENING_OPEN)
        return log_beyond(place_of(s, low, v, b), s->tails[low]);
    if (low == PB_RIPENING_OPEN)
        return log_beyond(-place_of(s, high, v, b), s->tails[high]);
    double from = place_of(s, low, v, b), to = place_of(s, high, v, b);
    double width = (s->ends[high] - s->ends[low]) * v;
    if (width < NARROW) {
        double mid = 0.5 * (from + to);
        return log(width) - 0.5 * mid * mid - PB_HALF_LOG_2PI;
    }
    double mass = 1 - s->tails[low] - s->tails[high];
    if (from > 0)
        mass = s->tails[low] - s->tails[high];
    else if (to < 0)
        mass = s->tails[high] - s->tails[low];
    return mass > LEAST_MASS ? log(mass) : pb_normal_log_between(from, to);
}

double pb_ripening_loglik(const struct pb_ripening_sample *s, double v, double b)
{
    double sum = 0;
    fill_tails(s, v, b);
    for (size_t i = 0; i < s->span_n; i++)
        sum += s->spans[i].count * log_mass(s, &s->spans[i], v, b);
    return sum;
}

/* The moments of a normal held inside one span give its slope and curvature. */
static struct pb_ripening_local local_of(const struct pb_ripening_sample *s,
                                         const struct pb_ripening_span *span, double v,
                                         double b)
{
    struct pb_ripening_local at = {log_mass(s, span, v, b), 0, 0};
    bool two_ends = span->low != PB_RIPENING_OPEN && span->high != PB_RIPENING_OPEN;
    if (two_ends && (s->ends[span->high] - s->ends[span->low]) * v < NARROW) {
        at.slope = 0.5 * (place_of(s, span->low, v, b) + place_of(s, span->high, v, b));
        at.curvature = 1;
        return at;
    }
    double square = 0;
    if (span->low != PB_RIPENING_OPEN) {
        double z = place_of(s, span->low, v, b);
        double density = exp(-0.5 * z * z - PB_HALF_LOG_2PI - at.value);
        at.slope += density;
        square += z * density;
    }
    if (span->high != PB_RIPENING_OPEN) {
        double z = place_of(s, span->high, v, b);
        double density = exp(-0.5 * z * z - PB_HALF_LOG_2PI - at.value);
        at.slope -= density;
        square -= z * density;
    }
    at.curvature = fmin(1, fmax(0, at.slope * at.slope - square));
    return at;
}

struct pb_ripening_local pb_ripening_local(const struct pb_ripening_sample *s, double v,
                                           double b)
{
    struct pb_ripening_local sum = {0, 0, 0};
    fill_tails(s, v, b);
    for (size_t i = 0; i < s->span_n; i++) {
        struct pb_ripening_local one = local_of(s, &s->spans[i], v, b);
        sum.value += s->spans[i].count * one.value;
        sum.slope += s->spans[i].count * one.slope;
        sum.curvature += s->spans[i].count * one.curvature;
    }
    return sum;
}

double pb_ripening_information(const struct pb_ripening_problem *p,
                               const struct pb_ripening_local *at)
{
    double sum = p->k0;
    for (size_t i = 0; i < p->sample_n; i++)
        sum += p->samples[i].clones * PB_RIPENING_K1 * at[i].curvature /
               (PB_RIPENING_K1 + at[i].curvature);
    return sum;
}

/* The likelihood at every clone's place, and the value of the whole. */
static double assess(const struct pb_ripening_problem *p, double v, double t,
                     const double *b, struct pb_ripening_local *at)
{
    double value = -0.5 * p->k0 * t * t;
    for (size_t i = 0; i < p->sample_n; i++) {
        double off = b[i] - t;
        at[i] = pb_ripening_local(&p->samples[i], v, b[i]);
        value +=
            p->samples[i].clones * (at[i].value - 0.5 * PB_RIPENING_K1 * off * off);
    }
    return value;
}

/* The Newton step: clones meet only through t, so the system is an arrow. */
static double newton_step(const struct pb_ripening_problem *p,
                          const struct pb_ripening_place *place, double *gain)
{
    double pull = -p->k0 * place->t, slope_t = pull;
    for (size_t i = 0; i < p->sample_n; i++) {
        double off = place->b[i] - place->t, kappa = place->at_b[i].curvature;
        double slope_b = place->at_b[i].slope - PB_RIPENING_K1 * off;
        double k1 = PB_RIPENING_K1 * p->samples[i].clones;
        slope_t += k1 * off;
        pull += k1 * (off + slope_b / (PB_RIPENING_K1 + kappa));
    }
    double step_t = pull / pb_ripening_information(p, place->at_b);
    *gain = slope_t * step_t;
    for (size_t i = 0; i < p->sample_n; i++) {
        double off = place->b[i] - place->t, kappa = place->at_b[i].curvature;
        double slope_b = place->at_b[i].slope - PB_RIPENING_K1 * off;
        place->trial_b[i] =
            (slope_b + PB_RIPENING_K1 * step_t) / (PB_RIPENING_K1 + kappa);
        *gain += p->samples[i].clones * slope_b * place->trial_b[i];
    }
    return step_t;
}

static void accept(struct pb_ripening_place *place, double t, double value)
{
    double *b = place->b;
    struct pb_ripening_local *at = place->at_b;
    place->b = place->trial_b;
    place->at_b = place->at_trial;
    place->trial_b = b;
    place->at_trial = at;
    place->t = t;
    place->value = value;
}

void pb_ripening_climb(const struct pb_ripening_problem *p, double v,
                       struct pb_ripening_place *place)
{
    place->value = assess(p, v, place->t, place->b, place->at_b);
    for (int k = 0; k < NEWTON_STEPS; k++) {
        double gain = 0, step_t = newton_step(p, place, &gain);
        if (gain < CLIMBED)
            return;
        for (size_t i = 0; i < p->sample_n; i++)
            place->trial_b[i] += place->b[i];
        double t = place->t + step_t, value = 0;
        for (int h = 0;; h++) {
            value = assess(p, v, t, place->trial_b, place->at_trial);
            if (value >= place->value - ROUNDING * fabs(place->value))
                break;
            if (h == HALVINGS)
                return;
            for (size_t i = 0; i < p->sample_n; i++)
                place->trial_b[i] = 0.5 * (place->b[i] + place->trial_b[i]);
            t = 0.5 * (place->t + t);
        }
        accept(place, t, value);
    }
}
