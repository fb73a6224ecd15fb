/*
 * The likelihood under the ripening estimator, apart from its quadrature: against fits of
 * other programs, against plain sums of its own making, and where it is stretched.
 */
#include "unit.h"

#include "core/ripening_data.h"
#include "core/ripening_kernel.h"
#include "core/ripening_law.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define NONE ((double)NAN)

enum { ENDS = 128, LAMBDAS = 170, PLACES = 141 };

/* One clone's records as the kernel wants them; days need not be whole here. */
struct made {
    double ends[ENDS], tails[ENDS];
    struct pb_ripening_span spans[ENDS];
    struct pb_ripening_sample sample;
};

static int ascending(const void *pa, const void *pb)
{
    const double *a = pa, *b = pb;
    return (*a > *b) - (*a < *b);
}

static int32_t end_of(const struct made *m, double day)
{
    for (size_t i = 0; i < m->sample.end_n; i++)
        if (fabs(m->ends[i] - day) < 1e-9)
            return (int32_t)i;
    return PB_RIPENING_OPEN;
}

/*
 * A sample of n pairs (intact at, split by).  A time of which both ends are equal is what
 * the kernel has no word for: it becomes an interval of a few seconds, whose likelihood is
 * the density times a constant.
 */
static void make(struct made *m, const double (*obs)[2], size_t n, double m0, double s0)
{
    const double half = 1e-4;
    size_t ends = 0;
    double pairs[ENDS][2];
    for (size_t i = 0; i < n; i++) {
        bool exact = obs[i][1] - obs[i][0] < half;
        pairs[i][0] = exact ? obs[i][0] - half : obs[i][0];
        pairs[i][1] = exact ? obs[i][1] + half : obs[i][1];
        for (int k = 0; k < 2; k++)
            if (!isnan(pairs[i][k]))
                m->ends[ends++] = pairs[i][k];
    }
    if (ends > 0)
        qsort(m->ends, ends, sizeof(double), ascending);
    m->sample = (struct pb_ripening_sample){m->ends, m->tails, m->spans, 0, n, 1};
    for (size_t i = 0; i < ends; i++)
        if (i == 0 || m->ends[i] - m->ends[m->sample.end_n - 1] > 1e-9)
            m->ends[m->sample.end_n++] = m->ends[i];
    for (size_t i = 0; i < n; i++)
        m->spans[i] = (struct pb_ripening_span){end_of(m, pairs[i][0]),
                                                end_of(m, pairs[i][1]), 1};
    for (size_t i = 0; i < m->sample.end_n; i++)
        m->ends[i] = (log(m->ends[i]) - m0) / s0;
}

static double at_fit(const struct made *m, double mu, double sigma)
{
    return pb_ripening_loglik(&m->sample, 1 / sigma, mu / sigma);
}

/* Fits of R's survreg: the same likelihood there, and flat in both directions. */
static void maximum_likelihood(void **state)
{
    (void)state;
    double obs[ENDS / 2][2];
    size_t n = 0;
    const char *name = "";
    struct made m;
#define CASE(title) \
    name = #title;  \
    n = 0;
#define OBS(low, high) \
    obs[n][0] = low;   \
    obs[n++][1] = high;
#define FIT(mu, sigma, loglik)                                                      \
    make(&m, (const double(*)[2])obs, n, 0, 1);                                     \
    CLAIM(fabs(at_fit(&m, mu, sigma) - (loglik)) < 1e-6, "%s: log likelihood %.8f", \
          name, at_fit(&m, mu, sigma));                                             \
    for (int side = -1; side <= 1; side += 2) {                                     \
        CLAIM(at_fit(&m, (mu) + side * 1e-4, sigma) < at_fit(&m, mu, sigma),        \
              "%s: higher beside mu", name);                                        \
        CLAIM(at_fit(&m, mu, (sigma) + side * 1e-4) < at_fit(&m, mu, sigma),        \
              "%s: higher beside sigma", name);                                     \
    }
#define DONE(title)
#include "../checks/ripening/interval_mle.def"
#undef CASE
#undef OBS
#undef FIT
#undef DONE
}

/* The one-level posterior by a plain, wide, fine grid. */
static struct pb_ripening_law *one_level(const struct made *m, double k0, double m0,
                                         double s0)
{
    struct pb_ripening_law *law = NULL;
    struct pb_ripening_row *rows = NULL;
    struct pb_ripening_node *node = NULL;
    assert_int_equal(
        pb_ripening_law_new(LAMBDAS, LAMBDAS * PLACES, &rows, &node, &law, NULL),
        PB_OK);
    double top = -HUGE_VAL, sum = 0;
    for (int i = 0; i < LAMBDAS; i++) {
        double lambda = -2.5 + 0.05 * i;
        rows[i] = (struct pb_ripening_row){exp(-lambda) / s0, PLACES};
        for (int k = 0; k < PLACES; k++, node++) {
            double b = -7 + 0.1 * k;
            *node = (struct pb_ripening_node){
                b, pb_ripening_loglik(&m->sample, exp(-lambda), b) - k0 * b * b / 2 -
                       k0 * lambda - k0 / 2 * exp(-2 * lambda)};
            top = fmax(top, node->weight);
        }
    }
    node -= LAMBDAS * PLACES;
    for (int i = 0; i < LAMBDAS * PLACES; i++)
        sum += node[i].weight = exp(node[i].weight - top);
    for (int i = 0; i < LAMBDAS * PLACES; i++)
        node[i].weight /= sum;
    law->centre = m0;
    return law;
}

struct moments {
    double mu, mu_sd, sigma;
};

static struct moments moments_of(const struct pb_ripening_law *law)
{
    double mean = 0, square = 0, log_sigma = 0;
    const struct pb_ripening_node *node = law->nodes;
    for (uint32_t r = 0; r < law->row_n; r++)
        for (uint32_t i = 0; i < law->rows[r].node_n; i++, node++) {
            double mu = node->place / law->rows[r].rate;
            mean += node->weight * mu;
            square += node->weight * mu * mu;
            log_sigma -= node->weight * log(law->rows[r].rate);
        }
    return (struct moments){law->centre + mean, sqrt(square - mean * mean),
                            exp(log_sigma)};
}

static void quantile_is(const char *name, const struct pb_ripening_law *law, double p,
                        double day)
{
    double got = 0;
    CLAIM(pb_ripening_quantile(law, p, &got), "%s: %g is known", name, p);
    CLAIM(fabs(got - day) < 1e-4, "%s: %g on day %.6f, not %.6f", name, p, got, day);
}

static void place_is(const char *name, const struct pb_ripening_law *law,
                     struct moments want)
{
    struct moments got = moments_of(law);
    CLAIM(fabs(got.mu - want.mu) < 1e-6 && fabs(got.mu_sd - want.mu_sd) < 1e-6 &&
              fabs(got.sigma - want.sigma) < 1e-6,
          "%s: mu %.8f (sd %.8f), sigma %.8f", name, got.mu, got.mu_sd, got.sigma);
}

static void one_level_vectors(void **state)
{
    (void)state;
    double obs[ENDS / 2][2], m0 = 0, s0 = 0, k0 = 0;
    size_t n = 0;
    const char *name = "";
    struct pb_ripening_law *law = NULL;
    struct made m;
#define LAW()                                                           \
    (law = law != NULL ? law                                            \
                       : (make(&m, (const double(*)[2])obs, n, m0, s0), \
                          one_level(&m, k0, m0, s0)))
#define CASE(title, first, last, weight)                                      \
    name = #title;                                                            \
    n = 0;                                                                    \
    k0 = weight;                                                              \
    pb_ripening_prior_shape(&(struct pb_ripening_prior){first, last, weight}, \
                            1 + 1 / k0, &m0, &s0);
#define OBS(low, high) \
    obs[n][0] = low;   \
    obs[n++][1] = high;
#define Q(p, day)            quantile_is(name, LAW(), p, day);
#define PLACE(mu, sd, sigma) place_is(name, LAW(), (struct moments){mu, sd, sigma});
#define CDF(day, share)                                                             \
    CLAIM(fabs(pb_ripening_split_by(LAW(), day) - (share)) < 1e-6, "%s: by day %d", \
          name, day);
#define LOOK(seen, tolerance, day)                                             \
    CLAIM(fabs(pb_ripening_risk_apart(LAW(), seen, day) - (tolerance)) < 1e-6, \
          "%s: look after %d", name, seen);
#define SPLIT(seen, day, share)                                            \
    CLAIM(fabs(pb_ripening_risk_apart(LAW(), seen, day) - (share)) < 1e-6, \
          "%s: split from %d", name, seen);
#define DONE(title)            \
    pb_ripening_law_free(law); \
    law = NULL;
#include "../checks/ripening/one_level.def"
#undef LAW
#undef CASE
#undef OBS
#undef Q
#undef PLACE
#undef CDF
#undef LOOK
#undef SPLIT
#undef DONE
}

/* Slope and curvature against differences of the value. */
static void derivatives(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double low, high, v, b;
    } rows[] = {
        {"an interval around the middle",  -1,        1,        1,    0.3    },
        {"one to the right",               2,         3,        1,    0      },
        {"one far to the left",            -30,       -29,      1,    2      },
        {"beyond the range of double",     50,        52,       1,    0      },
        {"open to the right",              -HUGE_VAL, 1,        1,    0.5    },
        {"open to the left, far",          -HUGE_VAL, -45,      1,    0      },
        {"open to the right, far",         45,        HUGE_VAL, 1,    0      },
        {"open to the right, certain",     -9,        HUGE_VAL, 1,    0      },
        {"narrow",                         1,         1.5,      1e-7, 0.4    },
        {"almost narrow",                  1,         1.5,      3e-6, 0.4    },
        {"wide",                           -5,        5,        1,    0      },
        {"wide, at the edge",              -5,        5,        1,    4.5    },
        {"a short time of a small spread", 1,         1.001,    1e4,  10009.5},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        double ends[2], tails[2], step = 1e-3, v = rows[i].v, b = rows[i].b;
        size_t n = 0;
        struct pb_ripening_span span = {PB_RIPENING_OPEN, PB_RIPENING_OPEN, 3};
        if (!isinf(rows[i].low)) {
            span.low = (int32_t)n;
            ends[n++] = rows[i].low;
        }
        if (!isinf(rows[i].high)) {
            span.high = (int32_t)n;
            ends[n++] = rows[i].high;
        }
        struct pb_ripening_sample s = {ends, tails, &span, n, 1, 1};
        struct pb_ripening_local at = pb_ripening_local(&s, v, b);
        double value = pb_ripening_loglik(&s, v, b);
        double up = pb_ripening_loglik(&s, v, b + step);
        double down = pb_ripening_loglik(&s, v, b - step);
        double scale = fmax(1, fabs(at.slope));
        CLAIM(isfinite(value) && fabs(value - at.value) <= 1e-12 * fabs(value),
              "%s: value %g", rows[i].claim, value);
        CLAIM(fabs((up - down) / (2 * step) - at.slope) < 1e-5 * scale, "%s: slope %g",
              rows[i].claim, at.slope);
        CLAIM(fabs((2 * value - up - down) / (step * step) - at.curvature) < 1e-3,
              "%s: curvature %g, difference %g", rows[i].claim, at.curvature,
              (2 * value - up - down) / (step * step));
        CLAIM(at.curvature >= 0 && at.curvature <= 3, "%s: curvature of three capsules",
              rows[i].claim);
    }
}

/* From far away the climb ends where both slopes vanish. */
static void climbs(void **state)
{
    (void)state;
    static const double obs[][2] = {
        {20,  22  },
        {21,  23  },
        {24,  NONE},
        {900, 901 }
    };
    static const double starts[] = {-1000, 0, 3, 5000};
    struct made m;
    double m0 = log(23), s0 = 0.04;
    make(&m, obs, PB_ARRAY_LEN(obs), m0, s0);
    m.sample.clones = 2;
    struct pb_ripening_problem p = {&m.sample, 1, 2};
    for (size_t i = 0; i < PB_ARRAY_LEN(starts); i++)
        for (double v = 0.001; v < 10; v *= 3) {
            double b[2] = {starts[i], 0};
            struct pb_ripening_local at[2];
            struct pb_ripening_place place = {-starts[i], &b[0],  &b[1],
                                              &at[0],     &at[1], 0};
            pb_ripening_climb(&p, v, &place);
            double off = *place.b - place.t;
            double slope_b = place.at_b->slope - PB_RIPENING_K1 * off;
            double slope_t = 2 * PB_RIPENING_K1 * off - p.k0 * place.t;
            CLAIM(fabs(slope_b) < 1e-3 && fabs(slope_t) < 1e-3,
                  "from %g at v %g: slopes %g, %g", starts[i], v, slope_b, slope_t);
        }
}

/* However many capsules there are: within a ten thousandth of a width of the top, where the
 * rounding of a large value hides the last steps. */
static void many_capsules_are_climbed_to_the_top(void **state)
{
    (void)state;
    static const double obs[][2] = {
        {20, 22  },
        {21, 23  },
        {24, NONE},
        {26, 28  }
    };
    static const double counts[] = {1, 1e3, 1e6, 1e9};
    for (size_t i = 0; i < PB_ARRAY_LEN(counts); i++) {
        struct made m;
        make(&m, obs, PB_ARRAY_LEN(obs), log(23), 0.04);
        for (size_t k = 0; k < PB_ARRAY_LEN(obs); k++)
            m.spans[k].count = counts[i];
        struct pb_ripening_problem p = {&m.sample, 1, 2};
        for (double v = 0.001; v < 10; v *= 1.3) {
            double b[2] = {0, 0};
            struct pb_ripening_local at[2];
            struct pb_ripening_place place = {0, &b[0], &b[1], &at[0], &at[1], 0};
            pb_ripening_climb(&p, v, &place);
            double slope = place.at_b->slope - PB_RIPENING_K1 * (*place.b - place.t);
            double width = 1 / sqrt(PB_RIPENING_K1 + place.at_b->curvature);
            CLAIM(fabs(slope * width) < 1e-4, "%g at v %g: %g widths off", counts[i], v,
                  slope * width);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(maximum_likelihood),
        cmocka_unit_test(one_level_vectors),
        cmocka_unit_test(derivatives),
        cmocka_unit_test(climbs),
        cmocka_unit_test(many_capsules_are_climbed_to_the_top),
    };
    return UNIT_MAIN("ripening_kernel", tests);
}
