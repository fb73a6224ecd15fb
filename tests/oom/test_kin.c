/* Allocation failures in pedigrees, kinship, relations and pairing. */
#include "oom.h"

#include "core/founders.h"
#include "core/kinship.h"
#include "core/pairing.h"
#include "core/relation.h"

#include <stdlib.h>

/* Eight plants, a pup among them, the youngest first. */
enum { ROWS = 8, U = PB_UNKNOWN };

static const int32_t row_p[ROWS] = {1, 2, 4, U, 5, U, U, 6};
static const int32_t row_q[ROWS] = {2, 4, 7, U, 6, U, U, U};
static const int32_t row_c[ROWS] = {U, U, U, 6, U, U, U, U};
static const struct pb_pedigree_rows rows = {ROWS, row_p, row_q, row_c};

/* The same, built by hand. */
static int32_t ped_p[] = {U, U, 0, 1, 2, 4, 5}, ped_q[] = {U, U, 1, U, 3, 2, 4};
static int32_t ped_of[] = {6, 5, 4, 1, 2, 0, 1, 3},
               ped_origin[] = {5, 6, 4, 7, 2, 1, 0};
static const struct pb_pedigree ped = {7, ped_p, ped_q, ped_origin, ROWS, ped_of};

static enum pb_rc build(struct pb_err *err)
{
    struct pb_pedigree made = {0};
    enum pb_rc rc = pb_pedigree_build(&rows, &made, NULL, err);
    pb_pedigree_clear(&made);
    return rc;
}

static enum pb_rc check(struct pb_err *err)
{
    uint8_t kinds[ROWS];
    size_t bad = 0;
    return pb_pedigree_check(&rows, kinds, &bad, err);
}

static enum pb_rc trace(struct pb_err *err)
{
    double f[7];
    return pb_kinship_inbreeding(&ped, PB_KINSHIP_TRACE, f, err);
}

static enum pb_rc batch(struct pb_err *err)
{
    double f[7];
    return pb_kinship_inbreeding(&ped, PB_KINSHIP_BATCH, f, err);
}

static enum pb_rc table(struct pb_err *err)
{
    double f[7];
    return pb_kinship_inbreeding(&ped, PB_KINSHIP_TABLE, f, err);
}

static enum pb_rc best(struct pb_err *err)
{
    double f[7];
    return pb_kinship_inbreeding(&ped, PB_KINSHIP_BEST, f, err);
}

static enum pb_rc some(struct pb_err *err)
{
    static const int32_t a[] = {6, 3}, b[] = {5, 4};
    struct pb_genets few = {a, 2}, others = {b, 2};
    double k[4];
    return pb_kinship_some(&ped, few, others, k, err);
}

static enum pb_rc relation(struct pb_err *err)
{
    enum pb_relation found = PB_REL_N;
    return pb_relation_find(&ped, 6, 0, &found, err);
}

static enum pb_rc shares(struct pb_err *err)
{
    static const int32_t taxon[7] = {0};
    double share[2];
    return pb_founder_shares(&ped, taxon, 1, 6, share, err);
}

static enum pb_rc pairs(struct pb_err *err)
{
    static const int32_t genet[] = {2, 3, 4};
    static const double kinship[9] = {0.5,  0.125, 0.25, 0.125, 0.5,
                                      0.25, 0.25,  0.25, 0.5};
    static const double mean[7] = {0};
    struct pb_pairing ask = {
        {genet, 3},
        {genet, 3},
        kinship, mean, NULL, 1, false
    };
    struct pb_pairing_limits limits = {3, 1};
    struct pb_pairs list = {NULL, 0};
    size_t set[3], set_n = 0;
    enum pb_rc rc = pb_pairing_rank(&ask, &list, err);
    if (rc == PB_OK)
        rc = pb_pairing_best(&ask, list, limits, set, &set_n, err);
    free(list.pair);
    return rc;
}

static void each_fails(void **state)
{
    (void)state;
    oom_each("build", build);
    oom_each("check", check);
    oom_each("trace", trace);
    oom_each("batch", batch);
    oom_each("table", table);
    oom_each("the best method", best);
    oom_each("kinship of some", some);
    oom_each("relation", relation);
    oom_each("shares of founders", shares);
    oom_each("pairs", pairs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_fails)};
    return UNIT_MAIN("kin, allocation failures", tests);
}
