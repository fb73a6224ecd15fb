/* Set rates: published and computed figures, the ends, planning. */
#include "unit.h"

#include "core/setrate.h"
#include "core/special.h"

#include <math.h>

static void jeffreys_table(void **state)
{
    (void)state;
    static const struct {
        uint32_t flowers, set;
        double low, high;
    } rows[] = {
#define ROW(...) {__VA_ARGS__},
#include "../checks/setrate/jeffreys.def"
#undef ROW
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        uint32_t n = rows[i].flowers, x = rows[i].set;
        struct pb_setrate r = {0, 0, 0}, mirrored = {0, 0, 0};
        assert_int_equal(pb_setrate_interval(x, n, &r, NULL), PB_OK);
        CLAIM(fabs(r.low - rows[i].low) < 1e-4 && fabs(r.high - rows[i].high) < 1e-4,
              "%u of %u: %g to %g", x, n, r.low, r.high);
        assert_int_equal(pb_setrate_interval(n - x, n, &mirrored, NULL), PB_OK);
        CLAIM(fabs(1 - mirrored.high - r.low) < 1e-12 &&
                  fabs(1 - mirrored.low - r.high) < 1e-12,
              "%u of %u mirrors %u", n - x, n, x);
    }
}

/*
 * Shares as papers print them, with the intervals that their counts allow; the bounds were
 * integrated apart (Simpson's rule, 400,000 steps).
 * Sources: Shiau et al. (2002), Bot. Bull. Acad. Sin. 43:123-130: 86.7% of flowers set,
 * about 90% of the plants alive two months after potting, both here as small round counts
 * that give these shares; 46 of 60 Phalaenopsis flowers, printed as 76.7%
 * (Lesar et al. (2012), Acta agric. Slov. 99:5-11)
 */
static void published_shares(void **state)
{
    (void)state;
    static const struct {
        uint32_t of, yes;
        double percent; /* as printed, one decimal */
        double mean, low, high;
    } rows[] = {
        {30, 26, 86.7, 0.854838710, 0.713471073, 0.953272498},
        {20, 18, 90.0, 0.880952381, 0.716146743, 0.978627512},
        {60, 46, 76.7, 0.762295082, 0.648802950, 0.859515665},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_setrate r = {0, 0, 0};
        double share = (double)rows[i].yes / rows[i].of;
        assert_int_equal(pb_setrate_interval(rows[i].yes, rows[i].of, &r, NULL), PB_OK);
        CLAIM(fabs(round(1000 * share) / 10 - rows[i].percent) < 1e-9, "row %zu", i);
        CLAIM(r.low < share && share < r.high, "row %zu: it lies inside", i);
        CLAIM(fabs(r.mean - rows[i].mean) < 1e-8 && fabs(r.low - rows[i].low) < 1e-7 &&
                  fabs(r.high - rows[i].high) < 1e-7,
              "row %zu: %.9f, %.9f to %.9f", i, r.mean, r.low, r.high);
    }
}

static void beta_binomial(void **state)
{
    (void)state;
    static const uint32_t some[] = {1, 2, 3, 5, 10};
    static const struct {
        double u, v;
        uint32_t set, flowers;
        double mean, median, low90, high90, low95, high95;
        double any_1, any_2, any_3, any_5, any_10;
        uint32_t for_90, for_80;
    } rows[] = {
#define ROW(...) {__VA_ARGS__},
#include "../checks/setrate/beta_binomial.def"
#undef ROW
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_setrate_belief prior = {rows[i].u, rows[i].v}, b = {0, 0};
        assert_int_equal(
            pb_setrate_learn(prior, rows[i].set, rows[i].flowers, &b, NULL), PB_OK);
        const double quantiles[][2] = {
            {0.5,   rows[i].median},
            {0.05,  rows[i].low90 },
            {0.95,  rows[i].high90},
            {0.025, rows[i].low95 },
            {0.975, rows[i].high95},
        };
        const double any[] = {rows[i].any_1, rows[i].any_2, rows[i].any_3,
                              rows[i].any_5, rows[i].any_10};
        CLAIM(fabs(b.u / (b.u + b.v) - rows[i].mean) < 1e-7, "row %zu: mean", i);
        for (size_t k = 0; k < PB_ARRAY_LEN(quantiles); k++)
            CLAIM(fabs(pb_beta_quantile(b.u, b.v, quantiles[k][0]) - quantiles[k][1]) <
                      1e-7,
                  "row %zu: quantile %g", i, quantiles[k][0]);
        for (size_t k = 0; k < PB_ARRAY_LEN(some); k++)
            CLAIM(fabs(pb_setrate_any(b, some[k]) - any[k]) < 1e-7,
                  "row %zu: any of %u", i, some[k]);
        CLAIM(pb_setrate_flowers(b, 0.9, 5000) == rows[i].for_90, "row %zu: 90%%", i);
        CLAIM(pb_setrate_flowers(b, 0.8, 5000) == rows[i].for_80, "row %zu: 80%%", i);
    }
}

static void ends(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        uint32_t set, flowers;
        double mean, low, high; /* -1: between the others */
    } rows[] = {
        {"nothing known",           0,  0,          0.5,           0,  1 },
        {"none of ten begins at 0", 0,  10,         0.5 / 11,      0,  -1},
        {"all of ten ends at 1",    10, 10,         10.5 / 11,     -1, 1 },
        {"none of very many",       0,  UINT32_MAX, 1.1641532e-10, 0,  -1},
        {"one of very many",        1,  UINT32_MAX, 3.4924597e-10, -1, -1},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_setrate r = {-1, -1, -1};
        assert_int_equal(pb_setrate_interval(rows[i].set, rows[i].flowers, &r, NULL),
                         PB_OK);
        CLAIM(fabs(r.mean - rows[i].mean) < 1e-7, "%s: mean %g", rows[i].claim, r.mean);
        CLAIM(r.low >= 0 && r.low <= r.mean && r.mean <= r.high && r.high <= 1,
              "%s: %g %g %g", rows[i].claim, r.low, r.mean, r.high);
        CLAIM(rows[i].low < 0 ? r.low > 0 : r.low <= 0, "%s: low", rows[i].claim);
        CLAIM(rows[i].high < 0 ? r.high < 1 : r.high >= 1, "%s: high", rows[i].claim);
    }
    struct pb_setrate untouched = {-1, -1, -1};
    struct pb_setrate_belief b = {-1, -1};
    struct pb_err err = {0};
    assert_int_equal(pb_setrate_interval(3, 2, &untouched, &err), PB_EINVALID);
    assert_int_equal(err.rc, PB_EINVALID);
    assert_true(untouched.mean < 0);
    assert_int_equal(pb_setrate_learn(b, 3, 2, &b, NULL), PB_EINVALID);
    assert_true(b.u < 0);
}

static void priors(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double share, u, v;
    } rows[] = {
        {"no published rate",              PB_SETRATE_NONE, 1,     1    },
        {"not a number is none",           (double)NAN,     1,     1    },
        {"a published rate is worth four", 0.867,           3.468, 0.532},
        {"nothing ever set is held",       0,               0.04,  3.96 },
        {"all always set is held",         1,               3.96,  0.04 },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_setrate_belief b = pb_setrate_prior(rows[i].share);
        CLAIM(fabs(b.u - rows[i].u) < 1e-12 && fabs(b.v - rows[i].v) < 1e-12,
              "%s: %g, %g", rows[i].claim, b.u, b.v);
    }
}

static void planning(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double u, v, chance;
        uint32_t most, flowers;
    } rows[] = {
  /* v / (u + v) = 0.1 exactly: one flower is enough in spite of rounding */
        {"a chance met exactly is met", 9,    1,    0.9, 30, 1 },
        {"nine where nothing is known", 1,    1,    0.9, 30, 9 },
        {"more than was asked for",     0.04, 3.96, 0.9, 30, 31},
        {"not even one may be asked",   1,    1,    0.9, 0,  1 },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_setrate_belief b = {rows[i].u, rows[i].v};
        uint32_t m = pb_setrate_flowers(b, rows[i].chance, rows[i].most);
        CLAIM(m == rows[i].flowers, "%s: %u", rows[i].claim, m);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(jeffreys_table), cmocka_unit_test(published_shares),
        cmocka_unit_test(beta_binomial),  cmocka_unit_test(ends),
        cmocka_unit_test(priors),         cmocka_unit_test(planning),
    };
    return UNIT_MAIN("setrate", tests);
}
