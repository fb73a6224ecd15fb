/*
 * Special functions against R 4.2.2: pnorm, pbeta, qbeta, qt, with lower.tail and log.p
 * where that keeps digits.
 */
#include "unit.h"

#include "core/special.h"

#include <math.h>
#include <stdbool.h>

static bool close_to(double got, double want, double relative)
{
    return fabs(got - want) <= relative * fmax(fabs(want), 1e-300);
}

static void normal_rows(void **state)
{
    (void)state;
    static const struct {
        double z, sf;
    } rows[] = {
        {0,    0.5                  },
        {1.96, 0.0249978951482204   },
        {-3,   0.99865010196837     },
        {8,    6.22096057427178e-16 },
        {30,   4.90671392714819e-198},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        CLAIM(close_to(pb_normal_sf(rows[i].z), rows[i].sf, 1e-13), "upper tail of %g",
              rows[i].z);
        CLAIM(close_to(pb_normal_cdf(-rows[i].z), rows[i].sf, 1e-13),
              "lower tail of %g", -rows[i].z);
    }
}

static void log_rows(void **state)
{
    (void)state;
    static const struct {
        double z, log_sf;
    } rows[] = {
        {-1,  -0.17275377902345},
        {5,   -15.0649983939887},
        {29,  -424.78741990973 },
        {31,  -484.853963627179},
        {100, -5005.52420869421},
        {1e4, -50000010.1292789},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(close_to(pb_normal_log_sf(rows[i].z), rows[i].log_sf, 1e-13),
              "log tail of %g: %.17g", rows[i].z, pb_normal_log_sf(rows[i].z));
    assert_true(pb_normal_log_sf(-40) <= 0 && pb_normal_log_sf(-40) > -1e-300);
    assert_true(isfinite(pb_normal_log_sf(1e9)));
    /* the two forms meet */
    double below = pb_normal_log_sf(nextafter(30, 0)), above = pb_normal_log_sf(30);
    assert_true(fabs(below - above) < 2e-11);
}

static void between_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double low, high, log_mass;
    } rows[] = {
        {"around the middle",         -1,        1,        -0.381715146302126},
        {"above it",                  1,         2,        -1.99579826918076 },
        {"below it",                  -3,        -2,       -3.84435342633421 },
        {"far above it",              40,        41,       -804.608442013754 },
        {"far below it",              -41,       -40,      -804.608442013754 },
        {"narrow and very far",       200,       200.001,  -20007.9250278591 },
        {"open above",                5,         HUGE_VAL, -15.0649983939887 },
        {"open below",                -HUGE_VAL, -5,       -15.0649983939887 },
        {"open below, middle inside", -HUGE_VAL, 1,        -0.17275377902345 },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(close_to(pb_normal_log_between(rows[i].low, rows[i].high),
                       rows[i].log_mass, 1e-12),
              "%s: %.17g", rows[i].claim,
              pb_normal_log_between(rows[i].low, rows[i].high));
}

static void ratios(void **state)
{
    (void)state;
    assert_true(close_to(pb_normal_sf_ratio(-3, 1.96),
                         0.0249978951482204 / 0.99865010196837, 1e-13));
    assert_true(close_to(pb_normal_sf_ratio(29, 31),
                         exp(-484.853963627179 + 424.78741990973), 1e-10));
    for (double near = -50; near < 200; near += 0.25)
        for (double gap = 0; gap < 60; gap += 1.5) {
            double ratio = pb_normal_sf_ratio(near, near + gap);
            CLAIM(ratio >= 0 && ratio <= 1, "a chance from %g to %g: %g", near,
                  near + gap, ratio);
        }
}

static void beta_rows(void **state)
{
    (void)state;
    static const struct {
        double a, b, x, p;
    } rows[] = {
        {0.5,      10.5,     0.3,    0.993178174186029 },
        {9.5,      1.5,      0.7,    0.0736367519483708},
        {3,        3,        0.5,    0.5               },
        {0.5,      5e5,      1e-6,   0.682689492137146 },
        {100000.5, 900000.5, 0.1001, 0.630353746681083 },
        {1,        30,       1e-3,   0.0295690327369143},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        CLAIM(close_to(pb_beta_cdf(rows[i].a, rows[i].b, rows[i].x), rows[i].p, 1e-9),
              "I_%g(%g,%g): %.15g", rows[i].x, rows[i].a, rows[i].b,
              pb_beta_cdf(rows[i].a, rows[i].b, rows[i].x));
        CLAIM(close_to(pb_beta_quantile(rows[i].a, rows[i].b, rows[i].p), rows[i].x,
                       1e-9),
              "quantile of (%g,%g) at %g", rows[i].a, rows[i].b, rows[i].p);
    }
    assert_true(pb_beta_cdf(2, 3, -1) <= 0 && pb_beta_cdf(2, 3, 0) <= 0);
    assert_true(pb_beta_cdf(2, 3, 1) >= 1 && pb_beta_cdf(2, 3, 7) >= 1);
}

static void quantile_rows(void **state)
{
    (void)state;
    static const struct {
        double a, b, p, x;
    } rows[] = {
        {0.5, 10.5, 0.025, 4.78904331575819e-05},
        {1.5, 9.5,  0.975, 0.381314771066616   },
        {2,   2,    0.5,   0.5                 },
        {1.5, 1e6,  0.025, 1.07897608516604e-07},
        {0.5, 0.5,  1e-12, 2.46740110027234e-24},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(close_to(pb_beta_quantile(rows[i].a, rows[i].b, rows[i].p), rows[i].x,
                       1e-8),
              "beta quantile (%g,%g) at %g: %.15g", rows[i].a, rows[i].b, rows[i].p,
              pb_beta_quantile(rows[i].a, rows[i].b, rows[i].p));
}

static void student_rows(void **state)
{
    (void)state;
    static const struct {
        double nu, p, t;
    } rows[] = {
        {1,   0.95,  6.31375151467504 },
        {2,   0.95,  2.91998558035372 },
        {2.5, 0.95,  2.55821861413595 },
        {4,   0.95,  2.13184678632665 },
        {6,   0.95,  1.9431802805153  },
        {1e6, 0.95,  1.64485515072204 },
        {7,   0.025, -2.36462425159278},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(close_to(pb_student_quantile(rows[i].nu, rows[i].p), rows[i].t, 1e-8),
              "t of %g at %g: %.15g", rows[i].nu, rows[i].p,
              pb_student_quantile(rows[i].nu, rows[i].p));
    assert_true(fabs(pb_student_quantile(3, 0.5)) < 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(normal_rows),  cmocka_unit_test(log_rows),
        cmocka_unit_test(between_rows), cmocka_unit_test(ratios),
        cmocka_unit_test(beta_rows),    cmocka_unit_test(quantile_rows),
        cmocka_unit_test(student_rows),
    };
    return UNIT_MAIN("special", tests);
}
