/*
 * Pairs ranked, and the best set of them: known answers, limits, ties, and every small
 * problem against exhaustive search.
 */
#include "../checks/pedigree/pedgen.h"
#include "unit.h"

#include "base/limits.h"
#include "core/flow.h"
#include "core/pairing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
 * A hobby pedigree of 20 plants with pups (nursery_20 of checks/pedigree/published.txt).
 * Four seed and four pollen parents in flower: taking the best pair first, and again,
 * comes to 0.46875; the best four pairs to 0.40625.
 * Source: computed, exhaustive search over permutations on exact kinships.
 */
// clang-format off
enum plant {
    A, B, C, D, A2, A3, P1, P2, P3, P4, P1C, Q1, Q2, Q3, Q4, R1, R2, R3, R1C, Z, PLANTS
};
// clang-format on

enum { U = PB_UNKNOWN, N = 4 };

static const int32_t nursery_p[] = {U, U,  U,   U,  U,  U,  A,  A2, C, C,
                                    U, P1, P1C, P4, Q3, Q1, Q4, Q2, U, R1C};
static const int32_t nursery_q[] = {U, U,  U,  U,  U,  U,  B,  B,  A3, D,
                                    U, P2, P3, P4, P3, Q2, Q1, Q2, U,  R2};
static const int32_t nursery_c[] = {U,  U, U, U, A, A2, U, U, U,  U,
                                    P1, U, U, U, U, U,  U, U, R1, U};

/* What is in flower, and the kinships of its pairs. */
struct nursery {
    struct pb_pedigree ped;
    int32_t seed[N], pollen[N];
    double kinship[N * N], mean[PLANTS];
    struct pb_pairing ask;
};

static const enum plant in_flower[N] = {Q1, Q2, P3, A2}, giving[N] = {Q4, P4, R2, P1C};

static void nursery_init(struct nursery *x)
{
    struct pb_pedigree_rows rows = {PLANTS, nursery_p, nursery_q, nursery_c};
    double f[PLANTS], weight[PLANTS];
    struct pb_diversity diversity;
    assert_int_equal(pb_pedigree_build(&rows, &x->ped, NULL, NULL), PB_OK);
    for (int i = 0; i < N; i++) {
        x->seed[i] = x->ped.genet_of[in_flower[i]];
        x->pollen[i] = x->ped.genet_of[giving[i]];
    }
    x->ask = (struct pb_pairing){
        .seed = {x->seed,   N},
        .pollen = {x->pollen, N},
        .kinship = x->kinship,
        .mean = x->mean,
        .max_f = 1
    };
    assert_int_equal(
        pb_kinship_some(&x->ped, x->ask.seed, x->ask.pollen, x->kinship, NULL), PB_OK);
    assert_int_equal(pb_kinship_inbreeding(&x->ped, PB_KINSHIP_BEST, f, NULL), PB_OK);
    pb_kinship_weights(&x->ped, NULL, false, weight);
    pb_kinship_mean(&x->ped, f, weight, x->mean, &diversity);
}

/* Take the pair of least F that is left, the first of them, again and again. */
static double greedy_sum(const double *kinship)
{
    bool seed_used[N] = {false}, pollen_used[N] = {false};
    double sum = 0;
    for (int taken = 0; taken < N; taken++) {
        int best = U;
        for (int cell = 0; cell < N * N; cell++)
            if (!seed_used[cell / N] && !pollen_used[cell % N] &&
                (best == U || kinship[cell] < kinship[best]))
                best = cell;
        seed_used[best / N] = pollen_used[best % N] = true;
        sum += kinship[best];
    }
    return sum;
}

static void nursery_best(void **state)
{
    (void)state;
    struct nursery x;
    struct pb_pairs pairs = {NULL, 99};
    size_t set[N], set_n = 0;
    nursery_init(&x);
    assert_int_equal(pb_pairing_rank(&x.ask, &pairs, NULL), PB_OK);
    assert_int_equal(pairs.n, N * N);
    assert_true(fabs(greedy_sum(x.kinship) - 0.46875) < 1e-12);
    struct pb_pairing_limits limits = {N, 1};
    assert_int_equal(pb_pairing_best(&x.ask, pairs, limits, set, &set_n, NULL), PB_OK);
    assert_int_equal(set_n, N);
    double sum = 0;
    for (size_t i = 0; i < N; i++) {
        /* q1 x q4, q2 x r2, p3 x p1c, a2 x p4 */
        static const int32_t mate[N] = {0, 2, 3, 1};
        const struct pb_pair *p = &pairs.pair[set[i]];
        assert_int_equal(p->pollen, mate[p->seed]);
        assert_true(i == 0 || set[i - 1] < set[i]);
        sum += p->f;
    }
    assert_true(fabs(sum - 0.40625) < 1e-12);
    free(pairs.pair);
    pb_pedigree_clear(&x.ped);
}

/* ---- ranking ----------------------------------------------------------------------- */

/* Three clones 0, 1, 2 on both sides; 2 has two plants in flower. */
static const int32_t three[] = {0, 1, 2, 2};
static const double three_mean[] = {0.2, 0.1, 0.3};
static const double three_kinship[] = {
    0.5,   0.125, 0.25,  0.25,  /* 0 */
    0.125, 0.5,   0.125, 0.125, /* 1 */
    0.25,  0.125, 0.5,   0.5,   /* 2 */
    0.25,  0.125, 0.5,   0.5,   /* 2, another plant */
};
static const double three_expected[] = {
    1, 1, 1, 1, /* 0 */
    1, 1, 1, 1, /* 1 */
    1, 1, 1, 1, /* 2 */
    1, 2, 1, 1, /* 2, another plant: more flowers to clone 1 */
};

static struct pb_pairing ask_three(void)
{
    return (struct pb_pairing){
        {three, 4},
        {three, 4},
        three_kinship, three_mean, three_expected, 1, false
    };
}

static void ranked(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double max_f;
        bool selfings;
        const char *first; /* pairs in digits, best first */
        size_t n;
    } rows[] = {
  /* 0.125: mean kinship 0.15 (01 10), then 0.2 (31 by capsules, then 12 13 21) */
        {"F, mean kinship, capsules, codes",       1,     false, "01 10 31 12 13 21 02 03 20 30",
         10                                                                                         },
        {"a ceiling lets in what just reaches it", 0.125, false, "01 10 31 12 13 21",
         6                                                                                          },
        {"and nothing above",                      0.124, false, "",                              0 },
        {"selfings on request",                    1,     true,
         "01 10 31 12 13 21 02 03 20 30 11 00 22 23 32 33",                                       16},
        {"which the ceiling holds too",            0.25,  true,  "01 10 31 12 13 21 02 03 20 30",
         10                                                                                         },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_pairing ask = ask_three();
        struct pb_pairs pairs = {NULL, 99};
        ask.max_f = rows[i].max_f;
        ask.selfings = rows[i].selfings;
        CLAIM(pb_pairing_rank(&ask, &pairs, NULL) == PB_OK, "%s", rows[i].claim);
        CLAIM(pairs.n == rows[i].n, "%s: %zu pairs", rows[i].claim, pairs.n);
        for (size_t k = 0; k < pairs.n; k++)
            CLAIM(pairs.pair[k].seed == rows[i].first[3 * k] - '0' &&
                      pairs.pair[k].pollen == rows[i].first[3 * k + 1] - '0',
                  "%s: %zu is %d by %d", rows[i].claim, k, (int)pairs.pair[k].seed,
                  (int)pairs.pair[k].pollen);
        free(pairs.pair);
    }
}

static void limits(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        size_t want;
        int32_t per_clone;
        const char *set; /* pairs in digits, best first */
    } rows[] = {
        {"one is the best",                  1, 1, "01"               },
        {"two roles are counted apart",      2, 1, "01 10"            },
        {"one of three changes another",     3, 1, "10 31 02"         },
        {"a clone, not a plant, is used up", 4, 1, "10 31 02"         },
        {"twice each",                       6, 2, "01 10 31 12 02 20"},
        {"none wanted",                      0, 1, ""                 },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_pairing ask = ask_three();
        struct pb_pairs pairs = {NULL, 99};
        size_t set[8], set_n = 99;
        assert_int_equal(pb_pairing_rank(&ask, &pairs, NULL), PB_OK);
        struct pb_pairing_limits to = {rows[i].want, rows[i].per_clone};
        CLAIM(pb_pairing_best(&ask, pairs, to, set, &set_n, NULL) == PB_OK, "%s",
              rows[i].claim);
        char text[3 * 8 + 1] = "";
        for (size_t k = 0; k < set_n; k++) {
            text[3 * k] = (char)('0' + pairs.pair[set[k]].seed);
            text[3 * k + 1] = (char)('0' + pairs.pair[set[k]].pollen);
            text[3 * k + 2] = k + 1 < set_n ? ' ' : '\0';
        }
        CLAIM(strcmp(text, rows[i].set) == 0, "%s: %s", rows[i].claim, text);
        free(pairs.pair);
    }
}

static void too_many(void **state)
{
    (void)state;
    struct pb_pairing ask = ask_three();
    struct pb_pairs pairs = {NULL, 99};
    struct pb_err err = {0};
    ask.seed.n = 4096;
    ask.pollen.n = 1025;
    assert_int_equal(pb_pairing_rank(&ask, &pairs, &err), PB_ELIMIT);
    assert_int_equal(pairs.n, 99);
    ask.pollen.n = 0;
    assert_int_equal(pb_pairing_rank(&ask, &pairs, NULL), PB_OK);
    assert_int_equal(pairs.n, 0);
    assert_null(pairs.pair);
}

/* ---- against exhaustive search ----------------------------------------------------- */

enum { MAX_EDGES = 12, MAX_NODES = 4 };

struct tried {
    struct pb_flow_cost cost;
    unsigned set; /* a bit an edge */
    size_t n;
};

/* Is the set of edges allowed?  Then t is what it costs. */
static bool try_set(const struct pb_flow_problem *pr, unsigned set, struct tried *t)
{
    int32_t left[MAX_NODES] = {0}, right[MAX_NODES] = {0};
    *t = (struct tried){.set = set};
    for (size_t e = 0; e < pr->edge_n; e++) {
        if ((set >> e & 1U) == 0)
            continue;
        if (++left[pr->edge[e].left] > pr->per_left ||
            ++right[pr->edge[e].right] > pr->per_right)
            return false;
        for (int i = 0; i < PB_FLOW_RANKS; i++)
            t->cost.rank[i] += pr->edge[e].cost.rank[i];
        t->n++;
    }
    return true;
}

/* More edges, else less cost, else the edge that only one of them has and that is first. */
static bool better(const struct tried *a, const struct tried *b)
{
    if (a->n != b->n)
        return a->n > b->n;
    for (int i = 0; i < PB_FLOW_RANKS; i++)
        if (a->cost.rank[i] != b->cost.rank[i])
            return a->cost.rank[i] < b->cost.rank[i];
    unsigned apart = a->set ^ b->set;
    return apart != 0 && (apart & (~apart + 1U) & a->set) != 0;
}

static struct tried search_all(const struct pb_flow_problem *pr, size_t want)
{
    struct tried best = {0}, t;
    for (unsigned set = 0; set < 1U << pr->edge_n; set++)
        if (try_set(pr, set, &t) && t.n <= want && better(&t, &best))
            best = t;
    return best;
}

static void every_small_problem(void **state)
{
    (void)state;
    struct dice d = {77};
    for (int i = 0; i < 3000; i++) {
        struct pb_flow_edge edge[MAX_EDGES];
        struct pb_flow_problem pr = {.edge = edge,
                                     .edge_n = (size_t)dice_below(&d, MAX_EDGES + 1),
                                     .left_n = 1 + dice_below(&d, MAX_NODES),
                                     .right_n = 1 + dice_below(&d, MAX_NODES),
                                     .per_left = 1 + dice_below(&d, 2),
                                     .per_right = 1 + dice_below(&d, 2)};
        int32_t costs = 1 + dice_below(&d, 4); /* few, so that ties are many */
        for (size_t e = 0; e < pr.edge_n; e++)
            edge[e] =
                (struct pb_flow_edge){dice_below(&d, pr.left_n),
                                      dice_below(&d, pr.right_n),
                                      {{dice_below(&d, costs), dice_below(&d, costs),
                                        dice_below(&d, costs)}}};
        size_t want = (size_t)dice_below(&d, 7), chosen[7], n = 0;
        assert_int_equal(pb_flow_choose(&pr, want, chosen, &n, NULL), PB_OK);
        struct tried best = search_all(&pr, want), got;
        unsigned set = 0;
        for (size_t k = 0; k < n; k++)
            set |= 1U << chosen[k];
        CLAIM(try_set(&pr, set, &got), "problem %d: limits are broken", i);
        CLAIM(set == best.set, "problem %d: %#x, not %#x", i, set, best.set);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nursery_best),
        cmocka_unit_test(ranked),
        cmocka_unit_test(limits),
        cmocka_unit_test(too_many),
        cmocka_unit_test(every_small_problem),
    };
    return UNIT_MAIN("pairing", tests);
}
