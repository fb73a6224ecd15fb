/* Kinship: closed forms, weights, the choice of a method, and its limits. */
#include "../checks/pedigree/tabular.h"
#include "unit.h"

#include "core/kinship.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { U = PB_UNKNOWN };

static struct pb_pedigree build(const struct made *m)
{
    struct pb_pedigree_rows rows = made_rows(m);
    struct pb_pedigree ped = {0};
    assert_int_equal(pb_pedigree_build(&rows, &ped, NULL, NULL), PB_OK);
    return ped;
}

static double *column(int32_t n)
{
    double *v = calloc((size_t)n + 1, sizeof(*v));
    assert_non_null(v);
    return v;
}

/* Against the plain tabular method, by every method, in any order of rows. */
static void as_the_table_says(void **state)
{
    (void)state;
    struct dice d = {5};
    for (int i = 0; i < 120; i++) {
        struct pedgen how = {.n = 10 + dice_below(&d, 50),
                             .seed = (uint64_t)i,
                             .founders = 1 + dice_below(&d, 8),
                             .self = 0.3 * dice_share(&d),
                             .clone = 0.3 * dice_share(&d),
                             .one_parent = 0.2 * dice_share(&d),
                             .window = i % 2 * dice_below(&d, 12),
                             .popular = 3 * dice_share(&d)};
        struct made sorted = pedgen(&how);
        int32_t *place = made_column(sorted.n);
        struct made m = shuffle_rows(&sorted, &d, place);
        struct pb_pedigree ped = build(&m);
        double *k = tabular(&m), *f = column(ped.genet_n);
        for (int by = 0; by <= PB_KINSHIP_BEST; by++) {
            assert_int_equal(
                pb_kinship_inbreeding(&ped, (enum pb_kinship_method)by, f, NULL),
                PB_OK);
            for (int32_t r = 0; r < m.n; r++) {
                double want = 2 * k[(size_t)r * (size_t)m.n + (size_t)r] - 1;
                CLAIM(fabs(f[ped.genet_of[r]] - want) <= 1e-12,
                      "pedigree %d, method %d, row %d: %.17g, not %.17g", i, by, (int)r,
                      f[ped.genet_of[r]], want);
            }
        }
        free(f);
        free(k);
        free(place);
        pb_pedigree_clear(&ped);
        made_free(&m);
        made_free(&sorted);
    }
}

/* Selfed for ever F goes to 1 and stays a number: 1 - F is 2^-t, or 0 below rounding. */
static void selfed_for_ever(void **state)
{
    (void)state;
    enum { N = 3000 };
    struct made m = made_new(N);
    for (int32_t r = 0; r < N; r++) {
        m.seed_parent[r] = m.pollen_parent[r] = r - 1;
        m.clone_of[r] = U;
    }
    struct pb_pedigree ped = build(&m);
    double *f = column(N);
    for (int by = 0; by < PB_KINSHIP_METHOD_N; by++) {
        assert_int_equal(
            pb_kinship_inbreeding(&ped, (enum pb_kinship_method)by, f, NULL), PB_OK);
        for (int32_t r = 0; r < N; r++)
            CLAIM(fabs(f[r] - (1 - ldexp(1, -(int)r))) <= 1e-15,
                  "method %d, F of %d: %.17g", by, (int)r, f[r]);
    }
    free(f);
    pb_pedigree_clear(&ped);
    made_free(&m);
}

/* Two unrelated plants, a pup of one, dead or alive: what a mean is over. */
static void weights(void **state)
{
    (void)state;
    static const int32_t p[] = {U, U, U, 0}, c[] = {U, U, 0, U}, q[] = {U, U, U, 1};
    static const struct {
        const char *claim;
        bool by_plant, all;
        uint8_t counted[4];
        double weight, mean;
    } rows[] = {
  /* kinships: self 1/2, offspring with a parent 1/4, parents 0 */
        {"by clone",                       false, true,  {0},          3, (3 * 0.5 + 4 * 0.25) / 9           },
        {"by plant a pup counts again",
         true,                                    true,
         {0},
         4,                                                               (4 * 0.5 + 2 * 0.5 + 6 * 0.25) / 16},
        {"a clone lives while a pup does", false, false, {0, 1, 1, 0}, 2, 0.25                               },
        {"the dead do not count",
         true,                                    false,
         {1, 0, 0, 1},
         2,                                                               (0.5 + 2 * 0.25 + 0.5) / 4         },
        {"one plant alone",                false, false, {0, 0, 0, 1}, 1, 0.5                                },
        {"nobody",                         false, false, {0, 0, 0, 0}, 0, 0                                  },
    };
    struct pb_pedigree_rows in = {4, p, q, c};
    struct pb_pedigree ped;
    assert_int_equal(pb_pedigree_build(&in, &ped, NULL, NULL), PB_OK);
    double f[3], weight[3], mean[3];
    assert_int_equal(pb_kinship_inbreeding(&ped, PB_KINSHIP_BEST, f, NULL), PB_OK);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_diversity d;
        pb_kinship_weights(&ped, rows[i].all ? NULL : rows[i].counted, rows[i].by_plant,
                           weight);
        pb_kinship_mean(&ped, f, weight, mean, &d);
        CLAIM(fabs(d.weight - rows[i].weight) < 1e-15, "%s: %g count", rows[i].claim,
              d.weight);
        CLAIM(fabs(d.mean_kinship - rows[i].mean) < 1e-15, "%s: %.17g", rows[i].claim,
              d.mean_kinship);
        bool none = rows[i].weight < 0.5;
        CLAIM(fabs(d.gene_diversity - (none ? 0 : 1 - rows[i].mean)) < 1e-15 &&
                  fabs(d.founder_equivalents - (none ? 0 : 1 / (2 * rows[i].mean))) <
                      1e-14,
              "%s: diversity", rows[i].claim);
    }
    pb_pedigree_clear(&ped);
}

/* A few with a few, as the plain table says, and one of them twice. */
static void some_with_some(void **state)
{
    (void)state;
    struct pedgen how = {.n = 200,
                         .seed = 3,
                         .founders = 6,
                         .self = 0.1,
                         .clone = 0.2,
                         .one_parent = 0.1};
    struct made m = pedgen(&how);
    struct pb_pedigree ped = build(&m);
    double *table = tabular(&m), k[15];
    static const int32_t a_row[] = {199, 0, 150}, b_row[] = {7, 198, 150, 33, 7};
    int32_t a[3], b[5];
    for (size_t i = 0; i < 3; i++)
        a[i] = ped.genet_of[a_row[i]];
    for (size_t j = 0; j < 5; j++)
        b[j] = ped.genet_of[b_row[j]];
    struct pb_genets few = {a, 3}, others = {b, 5}, none = {NULL, 0};
    assert_int_equal(pb_kinship_some(&ped, few, others, k, NULL), PB_OK);
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 0; j < 5; j++)
            CLAIM(fabs(k[i * 5 + j] - table[a_row[i] * 200 + b_row[j]]) <= 1e-12,
                  "%d with %d: %.17g", (int)a_row[i], (int)b_row[j], k[i * 5 + j]);
    k[0] = 42;
    assert_int_equal(pb_kinship_some(&ped, none, others, k, NULL), PB_OK);
    assert_int_equal(pb_kinship_some(&ped, few, none, k, NULL), PB_OK);
    assert_int_equal((int)k[0], 42);
    free(table);
    pb_pedigree_clear(&ped);
    made_free(&m);
}

static void right_method(void **state)
{
    (void)state;
    static const struct pedgen shallow = {
        .n = 100000, .seed = 1, .founders = 1000, .self = 0.2, .clone = 0.3};
    static const struct pedgen deep = {
        .n = 20000, .seed = 1, .founders = 100, .window = 200};
    static const struct programme breeder = {140000, 1, 14000, 5, 1};
    struct made m[] = {pedgen(&shallow), programme(&breeder), pedgen(&deep)};
    static const char *const claims[] = {"shallow: trace", "popular parents: batch",
                                         "many generations: table"};
    for (int i = 0; i < PB_KINSHIP_METHOD_N; i++) {
        struct pb_pedigree ped = build(&m[i]);
        struct pb_kinship_plan plan;
        assert_int_equal(pb_kinship_plan(&ped, &plan, NULL), PB_OK);
        CLAIM((int)plan.best == i, "%s: %d (%g %g %g ns)", claims[i], (int)plan.best,
              plan.ns[0], plan.ns[1], plan.ns[2]);
        pb_pedigree_clear(&ped);
        made_free(&m[i]);
    }
}

/* More plants still to be parents than a table has room for. */
static void table_too_large(void **state)
{
    (void)state;
    enum { LIVE = 7001 };
    struct made m = made_new(2 * LIVE);
    for (int32_t r = 0; r < m.n; r++) {
        m.seed_parent[r] = m.pollen_parent[r] = r < LIVE ? U : r - LIVE;
        m.clone_of[r] = U;
    }
    struct pb_pedigree ped = build(&m);
    double *f = column(m.n);
    struct pb_kinship_plan plan;
    struct pb_err err = {0};
    f[0] = 42;
    assert_int_equal(pb_kinship_inbreeding(&ped, PB_KINSHIP_TABLE, f, &err), PB_ELIMIT);
    assert_int_equal((int)f[0], 42);
    assert_non_null(strstr(err.text, "7001"));
    assert_int_equal(pb_kinship_plan(&ped, &plan, NULL), PB_OK);
    assert_int_equal(plan.live, LIVE);
    assert_true(isinf(plan.ns[PB_KINSHIP_TABLE]));
    assert_int_equal(pb_kinship_inbreeding(&ped, PB_KINSHIP_BEST, f, NULL), PB_OK);
    assert_true(fabs(f[m.n - 1] - 0.5) < 1e-15);
    free(f);
    pb_pedigree_clear(&ped);
    made_free(&m);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_the_table_says), cmocka_unit_test(selfed_for_ever),
        cmocka_unit_test(weights),           cmocka_unit_test(some_with_some),
        cmocka_unit_test(right_method),      cmocka_unit_test(table_too_large),
    };
    return UNIT_MAIN("kinship", tests);
}
