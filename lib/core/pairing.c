/* Ranking pairs, and the best set of them.  See pairing.h. */
#include "core/pairing.h"

#include "base/limits.h"
#include "core/flow.h"

#include <math.h>
#include <stdlib.h>

static const double kinship_steps = 1099511627776.0; /* 2^40 */
static const double capsule_steps = 1048576.0;       /* 2^20, also the most capsules */

static int64_t steps_of(double value, double steps)
{
    return llround(value * steps);
}

/* The order of pairs as a cost: more capsules cost less. */
static struct pb_flow_cost cost_of(const struct pb_pair *p)
{
    return (struct pb_flow_cost){
        {
         steps_of(p->f, kinship_steps),
         steps_of(p->mean_kinship, kinship_steps),
         steps_of(capsule_steps - p->expected, capsule_steps),
         }
    };
}

struct ranked {
    struct pb_flow_cost cost;
    struct pb_pair pair;
};

static int by_number(int64_t a, int64_t b)
{
    return (a > b) - (a < b);
}

static int by_rank(const void *a, const void *b)
{
    const struct ranked *p = a, *q = b;
    for (int i = 0; i < PB_FLOW_RANKS; i++)
        if (p->cost.rank[i] != q->cost.rank[i])
            return by_number(p->cost.rank[i], q->cost.rank[i]);
    if (p->pair.seed != q->pair.seed)
        return by_number(p->pair.seed, q->pair.seed);
    return by_number(p->pair.pollen, q->pair.pollen);
}

/* The pair of two candidates.  Is it let in? */
static bool make_pair(const struct pb_pairing *ask, size_t s, size_t p,
                      struct pb_pair *pair)
{
    int32_t a = ask->seed.genet[s], b = ask->pollen.genet[p];
    size_t cell = s * ask->pollen.n + p;
    *pair = (struct pb_pair){
        .seed = (int32_t)s,
        .pollen = (int32_t)p,
        .f = ask->kinship[cell],
        .mean_kinship = (ask->mean[a] + ask->mean[b]) / 2,
        .expected = ask->expected != NULL ? ask->expected[cell] : 0,
    };
    return (a != b || ask->selfings) &&
           steps_of(pair->f, kinship_steps) <= steps_of(ask->max_f, kinship_steps);
}

enum pb_rc pb_pairing_rank(const struct pb_pairing *ask, struct pb_pairs *pairs,
                           struct pb_err *err)
{
    size_t seed_n = ask->seed.n, pollen_n = ask->pollen.n, made_n = 0;
    if (pollen_n > 0 && seed_n > PB_MAX_PAIRS / pollen_n)
        return pb_fail(err, PB_ELIMIT,
                       "%zu by %zu plants to pair; the most pairs are %d", seed_n,
                       pollen_n, PB_MAX_PAIRS);
    struct ranked *ranked = malloc((seed_n * pollen_n + 1) * sizeof(*ranked));
    if (ranked == NULL)
        return pb_fail_memory(err);
    for (size_t s = 0; s < seed_n; s++)
        for (size_t p = 0; p < pollen_n; p++)
            if (make_pair(ask, s, p, &ranked[made_n].pair)) {
                ranked[made_n].cost = cost_of(&ranked[made_n].pair);
                made_n++;
            }
    qsort(ranked, made_n, sizeof(*ranked), by_rank);
    struct pb_pair *made = made_n > 0 ? malloc(made_n * sizeof(*made)) : NULL;
    enum pb_rc rc = made_n > 0 && made == NULL ? pb_fail_memory(err) : PB_OK;
    if (rc == PB_OK) {
        for (size_t i = 0; i < made_n; i++)
            made[i] = ranked[i].pair;
        *pairs = (struct pb_pairs){made, made_n};
    }
    free(ranked);
    return rc;
}

/* ---- the best set ------------------------------------------------------------------ */

static int by_genet(const void *a, const void *b)
{
    return by_number(*(const int32_t *)a, *(const int32_t *)b);
}

static int by_place(const void *a, const void *b)
{
    const size_t *p = a, *q = b;
    return (*p > *q) - (*p < *q);
}

/* The clones of a side, each once, ascending.  clones: [side.n].  Returns how many. */
static int32_t list_clones(struct pb_genets side, int32_t *clones)
{
    int32_t n = 0;
    for (size_t i = 0; i < side.n; i++)
        clones[i] = side.genet[i];
    qsort(clones, side.n, sizeof(*clones), by_genet);
    for (size_t i = 0; i < side.n; i++)
        if (n == 0 || clones[n - 1] != clones[i])
            clones[n++] = clones[i];
    return n;
}

static int32_t clone_number(const int32_t *clones, int32_t n, int32_t genet)
{
    const int32_t *at = bsearch(&genet, clones, (size_t)n, sizeof(*clones), by_genet);
    return (int32_t)(at - clones);
}

struct choice {
    int32_t *left, *right; /* clones of the two sides */
    struct pb_flow_edge *edge;
    size_t *place; /* of each edge, in pairs */
    size_t *at;    /* [seed.n * pollen.n] place + 1 of a pair, 0: not among the pairs */
    struct pb_flow_problem problem;
};

static void choice_clear(struct choice *c)
{
    free(c->left);
    free(c->right);
    free(c->edge);
    free(c->place);
    free(c->at);
}

static enum pb_rc choice_init(struct choice *c, const struct pb_pairing *ask,
                              struct pb_pairs pairs, struct pb_err *err)
{
    size_t cells = ask->seed.n * ask->pollen.n;
    *c = (struct choice){.left = malloc((ask->seed.n + 1) * sizeof(*c->left)),
                         .right = malloc((ask->pollen.n + 1) * sizeof(*c->right)),
                         .edge = malloc((pairs.n + 1) * sizeof(*c->edge)),
                         .place = malloc((pairs.n + 1) * sizeof(*c->place)),
                         .at = calloc(cells + 1, sizeof(*c->at))};
    if (c->left == NULL || c->right == NULL || c->edge == NULL || c->place == NULL ||
        c->at == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i < pairs.n; i++)
        c->at[(size_t)pairs.pair[i].seed * ask->pollen.n +
              (size_t)pairs.pair[i].pollen] = i + 1;
    c->problem = (struct pb_flow_problem){
        .edge = c->edge,
        .left_n = list_clones(ask->seed, c->left),
        .right_n = list_clones(ask->pollen, c->right),
    };
    for (size_t cell = 0; cell < cells; cell++) {
        if (c->at[cell] == 0)
            continue;
        const struct pb_pair *p = &pairs.pair[c->at[cell] - 1];
        c->place[c->problem.edge_n] = c->at[cell] - 1;
        c->edge[c->problem.edge_n++] = (struct pb_flow_edge){
            clone_number(c->left, c->problem.left_n, ask->seed.genet[p->seed]),
            clone_number(c->right, c->problem.right_n, ask->pollen.genet[p->pollen]),
            cost_of(p),
        };
    }
    return PB_OK;
}

enum pb_rc pb_pairing_best(const struct pb_pairing *ask, struct pb_pairs pairs,
                           struct pb_pairing_limits limits, size_t *set, size_t *set_n,
                           struct pb_err *err)
{
    struct choice c;
    size_t chosen_n = 0;
    enum pb_rc rc = choice_init(&c, ask, pairs, err);
    if (rc == PB_OK) {
        c.problem.per_left = c.problem.per_right = limits.per_clone;
        rc = pb_flow_choose(&c.problem, limits.want, set, &chosen_n, err);
    }
    if (rc == PB_OK) {
        for (size_t i = 0; i < chosen_n; i++)
            set[i] = c.place[set[i]];
        qsort(set, chosen_n, sizeof(*set), by_place);
        *set_n = chosen_n;
    }
    choice_clear(&c);
    return rc;
}
