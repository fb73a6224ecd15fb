/*
 * Kinship on many made pedigrees: F, mean kinship and the whole matrix against the plain
 * tabular method, the three methods against each other where that one does not fit, and
 * the same plants in another order.
 */
#include "../checks/pedigree/tabular.h"
#include "unit.h"

#include "core/kinship.h"

#include <string.h>

static struct pb_pedigree build(const struct made *m)
{
    struct pb_pedigree_rows rows = made_rows(m);
    struct pb_pedigree ped = {0};
    assert_int_equal(pb_pedigree_build(&rows, &ped, NULL, NULL), PB_OK);
    return ped;
}

static double *column(size_t n)
{
    double *v = calloc(n + 1, sizeof(*v));
    assert_non_null(v);
    return v;
}

static void check_f(const struct pb_pedigree *ped, const double *k, int made)
{
    size_t n = ped->row_n;
    double *f = column(n);
    for (int by = 0; by <= PB_KINSHIP_BEST; by++) {
        assert_int_equal(
            pb_kinship_inbreeding(ped, (enum pb_kinship_method)by, f, NULL), PB_OK);
        for (size_t r = 0; r < n; r++) {
            double want = 2 * k[r * n + r] - 1;
            CLAIM(fabs(f[ped->genet_of[r]] - want) <= 1e-12,
                  "pedigree %d, method %d, row %zu: F %.17g, not %.17g", made, by, r,
                  f[ped->genet_of[r]], want);
        }
    }
    free(f);
}

/* Means over the rows that count, each row or each clone once. */
static void check_mean(const struct pb_pedigree *ped, const double *k, struct dice *d,
                       int made)
{
    size_t n = ped->row_n;
    uint8_t *counted = calloc(n + 1, 1), *seen = calloc(n + 1, 1);
    double *f = column(n), *weight = column(n), *mean = column(n);
    bool by_plant = made % 2 == 0;
    assert_non_null(counted);
    assert_non_null(seen);
    for (size_t r = 0; r < n; r++)
        counted[r] = dice_share(d) < 0.6;
    assert_int_equal(pb_kinship_inbreeding(ped, PB_KINSHIP_BEST, f, NULL), PB_OK);
    struct pb_diversity got;
    pb_kinship_weights(ped, counted, by_plant, weight);
    pb_kinship_mean(ped, f, weight, mean, &got);
    for (size_t r = 0; r < n; r++) { /* leave one row a clone */
        bool again = seen[ped->genet_of[r]] != 0;
        seen[ped->genet_of[r]] |= counted[r];
        counted[r] = counted[r] != 0 && (by_plant || !again);
    }
    double all = 0, number = 0;
    for (size_t r = 0; r < n; r++) {
        double sum = 0, m = 0;
        for (size_t s = 0; s < n; s++) {
            sum += counted[s] ? k[r * n + s] : 0;
            m += counted[s];
        }
        CLAIM(fabs(mean[ped->genet_of[r]] - (m > 0 ? sum / m : 0)) <= 1e-12,
              "pedigree %d, row %zu: mean kinship", made, r);
        all += counted[r] ? sum : 0;
        number = m;
    }
    CLAIM(fabs(got.weight - number) < 0.5, "pedigree %d: %g count", made, got.weight);
    CLAIM(number < 1 || fabs(got.mean_kinship - all / number / number) <= 1e-12,
          "pedigree %d: mean kinship of all", made);
    free(counted);
    free(seen);
    free(f);
    free(weight);
    free(mean);
}

static void check_matrix(const struct pb_pedigree *ped, const double *k, int made)
{
    size_t n = ped->row_n;
    struct pb_genets all = {ped->genet_of, n};
    double *got = column(n * n);
    assert_int_equal(pb_kinship_some(ped, all, all, got, NULL), PB_OK);
    for (size_t i = 0; i < n * n; i++)
        CLAIM(fabs(got[i] - k[i]) <= 1e-12,
              "pedigree %d: kinship of %zu and %zu: %.17g", made, i / n, i % n, got[i]);
    free(got);
}

static void against_the_table(void **state)
{
    (void)state;
    struct dice d = {2024};
    for (int i = 0; i < 1500; i++) {
        struct pedgen how = {.n = 1 + dice_below(&d, i % 50 == 0 ? 400 : 60),
                             .seed = dice_next(&d),
                             .founders = 1 + dice_below(&d, 12),
                             .self = 0.4 * dice_share(&d),
                             .clone = 0.4 * dice_share(&d),
                             .one_parent = 0.2 * dice_share(&d),
                             .window = i % 3 * dice_below(&d, 20),
                             .popular = i % 4 * dice_share(&d)};
        struct programme breeder = {how.n, how.seed, 2 + dice_below(&d, 12), 2, 3};
        struct made sorted = i % 5 == 0 ? programme(&breeder) : pedgen(&how);
        int32_t *place = made_column(sorted.n);
        struct made m = shuffle_rows(&sorted, &d, place);
        struct pb_pedigree ped = build(i % 7 == 0 ? &sorted : &m);
        double *k = tabular(i % 7 == 0 ? &sorted : &m);
        check_f(&ped, k, i);
        check_mean(&ped, k, &d, i);
        if (m.n <= 60)
            check_matrix(&ped, k, i);
        free(k);
        free(place);
        pb_pedigree_clear(&ped);
        made_free(&m);
        made_free(&sorted);
    }
}

/* F by row, by a method. */
static double *f_of_rows(const struct pb_pedigree *ped, enum pb_kinship_method by)
{
    double *f = column((size_t)ped->genet_n), *rows = column(ped->row_n);
    assert_int_equal(pb_kinship_inbreeding(ped, by, f, NULL), PB_OK);
    for (size_t r = 0; r < ped->row_n; r++)
        rows[r] = f[ped->genet_of[r]];
    free(f);
    return rows;
}

static void methods_agree(void **state)
{
    (void)state;
    static const struct pedgen made[] = {
        {20000, 1, 200,  0.2, 0.3, 0.02, 0,    0}, /* shallow */
        {8000,  2, 100,  0.1, 0.1, 0.02, 200,  1}, /* many generations */
        {8000,  3, 100,  0,   0.2, 0.3,  2000, 0},
        {20000, 4, 2,    0.1, 0.1, 0,    0,    4}, /* from two plants */
        {20000, 5, 9000, 0.5, 0.4, 0.1,  0,    0},
    };
    struct dice d = {9};
    for (size_t i = 0; i < PB_ARRAY_LEN(made) + 1; i++) {
        static const struct programme breeder = {20000, 6, 1500, 6, 7};
        struct made m = i < PB_ARRAY_LEN(made) ? pedgen(&made[i]) : programme(&breeder);
        int32_t *place = made_column(m.n);
        struct made other = shuffle_rows(&m, &d, place);
        struct pb_pedigree ped = build(&m), shuffled = build(&other);
        struct pb_kinship_plan plan, other_plan;
        assert_int_equal(pb_kinship_plan(&ped, &plan, NULL), PB_OK);
        assert_int_equal(pb_kinship_plan(&shuffled, &other_plan, NULL), PB_OK);
        CLAIM(other_plan.live <= 2 * plan.live, "pedigree %zu: %d live, shuffled %d", i,
              (int)plan.live, (int)other_plan.live);
        double *table = f_of_rows(&ped, PB_KINSHIP_TABLE);
        for (int by = 0; by < PB_KINSHIP_METHOD_N; by++) {
            double *f = f_of_rows(&ped, (enum pb_kinship_method)by);
            double *g = f_of_rows(&shuffled, (enum pb_kinship_method)by);
            for (int32_t r = 0; r < m.n; r++)
                CLAIM(fabs(f[r] - table[r]) <= 1e-12 &&
                          fabs(g[place[r]] - table[r]) <= 1e-12,
                      "pedigree %zu, method %d, row %d: %.17g, shuffled %.17g, table "
                      "%.17g",
                      i, by, (int)r, f[r], g[place[r]], table[r]);
            free(f);
            free(g);
        }
        free(table);
        free(place);
        pb_pedigree_clear(&ped);
        pb_pedigree_clear(&shuffled);
        made_free(&m);
        made_free(&other);
    }
}

/* A share of 2^-3000 is no number of the machine: it may become 0 and nothing else. */
static void thin_lines(void **state)
{
    (void)state;
    enum { N = 3000 };
    struct made m = made_new(N + 2);
    for (int32_t r = 0; r < m.n; r++) {
        m.seed_parent[r] = r > 0 && r < N ? r - 1 : PB_UNKNOWN;
        m.pollen_parent[r] = m.clone_of[r] = PB_UNKNOWN;
    }
    m.seed_parent[N] = 0; /* the last of the line by the first, and by its parent */
    m.pollen_parent[N] = N - 1;
    m.seed_parent[N + 1] = N - 2;
    m.pollen_parent[N + 1] = N - 1;
    struct pb_pedigree ped = build(&m);
    for (int by = 0; by < PB_KINSHIP_METHOD_N; by++) {
        double *f = f_of_rows(&ped, (enum pb_kinship_method)by);
        for (int32_t r = 0; r <= N; r++)
            CLAIM(f[r] >= 0 && f[r] < 1e-300, "method %d, row %d: %g", by, (int)r,
                  f[r]);
        CLAIM(fabs(f[N + 1] - 0.25) < 1e-15, "method %d: %g", by, f[N + 1]);
        free(f);
    }
    pb_pedigree_clear(&ped);
    made_free(&m);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(against_the_table),
        cmocka_unit_test(methods_agree),
        cmocka_unit_test(thin_lines),
    };
    return UNIT_MAIN("kinship properties", tests);
}
