/* Pairs: ranking, and the words for it.  See pairs.h; who is a candidate is in
 * candidates.c. */
#include "act/pairs.h"

#include "act/candidates.h"
#include "act/setting.h"

#include <stdlib.h>
#include <string.h>

/* ---- ranking --------------------------------------------------------------------------- */

/* What the ranking works on: the candidates by genet of the family of all of them. */
struct ranking {
    int32_t *seed, *pollen;
    double *kinship, *expected;
    double *mean; /* [kin.ped.genet_n] */
};

static void ranking_clear(struct ranking *r)
{
    free(r->seed);
    free(r->pollen);
    free(r->kinship);
    free(r->expected);
    free(r->mean);
}

static enum pb_rc ranking_init(struct ranking *r, const struct pb_pairs_today *t,
                               struct pb_err *err)
{
    size_t pairs = t->seed.n * t->pollen.n;
    r->seed = calloc(t->seed.n + 1, sizeof(*r->seed));
    r->pollen = calloc(t->pollen.n + 1, sizeof(*r->pollen));
    r->kinship = calloc(pairs + 1, sizeof(*r->kinship));
    r->expected = calloc(pairs + 1, sizeof(*r->expected));
    r->mean = calloc((size_t)t->kin.ped.genet_n + 1, sizeof(*r->mean));
    return r->seed == NULL || r->pollen == NULL || r->kinship == NULL ||
                   r->expected == NULL || r->mean == NULL
               ? pb_fail_memory(err)
               : PB_OK;
}

static enum pb_rc load_kin(struct pb_act *a, struct pb_pairs_today *t,
                           struct pb_err *err)
{
    size_t n = t->seed.n + t->pollen.n;
    int64_t *plants = calloc(n + 1, sizeof(*plants));
    if (plants == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i < n; i++)
        plants[i] = i < t->seed.n ? t->seed.v[i].parent.plant.n
                                  : t->pollen.v[i - t->seed.n].parent.plant.n;
    const struct pb_family_ask ask = {plants, n, false};
    enum pb_rc rc = pb_kin_load(a, &ask, &t->kin, err);
    free(plants);
    return rc;
}

/* Mean kinship of the candidates with the whole living collection. */
static enum pb_rc find_mean(struct pb_act *a, const struct pb_pairs_today *t,
                            double *mean, struct pb_err *err)
{
    const struct pb_family_ask whole = {NULL, 0, false};
    struct pb_kin book;
    struct pb_kin_all all = {0};
    enum pb_rc rc = pb_kin_load(a, &whole, &book, err);
    if (rc == PB_OK)
        rc = pb_kin_compute(&book, PB_KIN_OVER_CLONES, &all, err);
    for (size_t i = 0; rc == PB_OK && i < t->seed.n + t->pollen.n; i++) {
        int64_t plant = i < t->seed.n ? t->seed.v[i].parent.plant.n
                                      : t->pollen.v[i - t->seed.n].parent.plant.n;
        mean[pb_kin_genet(&t->kin, plant)] = all.mean[pb_kin_genet(&book, plant)];
    }
    pb_kin_all_clear(&all);
    pb_kin_clear(&book);
    return rc;
}

static void fill_ranking(struct ranking *r, const struct pb_pairs_today *t)
{
    for (size_t i = 0; i < t->seed.n; i++)
        r->seed[i] = pb_kin_genet(&t->kin, t->seed.v[i].parent.plant.n);
    for (size_t k = 0; k < t->pollen.n; k++)
        r->pollen[k] = pb_kin_genet(&t->kin, t->pollen.v[k].parent.plant.n);
    for (size_t i = 0; i < t->seed.n; i++)
        for (size_t k = 0; k < t->pollen.n; k++)
            r->expected[i * t->pollen.n + k] = r->seed[i] == r->pollen[k]
                                                   ? t->seed.v[i].set_self
                                                   : t->seed.v[i].set_cross;
}

/* Keep only the best set. */
static enum pb_rc choose_set(const struct pb_pairing *p, const struct pb_pairs_ask *ask,
                             struct pb_pairs *pairs, struct pb_err *err)
{
    const struct pb_pairing_limits limits = {ask->set, ask->per_plant};
    size_t n = 0;
    size_t *set = calloc(ask->set, sizeof(*set));
    enum pb_rc rc = set != NULL ? pb_pairing_best(p, *pairs, limits, set, &n, err)
                                : pb_fail_memory(err);
    for (size_t i = 0; rc == PB_OK && i < n; i++)
        pairs->pair[i] = pairs->pair[set[i]];
    if (rc == PB_OK)
        pairs->n = n;
    free(set);
    return rc;
}

static enum pb_rc rank(struct pb_act *a, const struct pb_pairs_ask *ask,
                       struct pb_pairs_today *t, struct pb_err *err)
{
    struct ranking r = {0};
    enum pb_rc rc = load_kin(a, t, err);
    if (rc == PB_OK)
        rc = ranking_init(&r, t, err);
    if (rc == PB_OK)
        rc = find_mean(a, t, r.mean, err);
    if (rc == PB_OK) {
        fill_ranking(&r, t);
        rc = pb_kinship_some(&t->kin.ped, (struct pb_genets){r.seed, t->seed.n},
                             (struct pb_genets){r.pollen, t->pollen.n}, r.kinship, err);
    }
    const struct pb_pairing p = {
        .seed = {r.seed,   t->seed.n  },
        .pollen = {r.pollen, t->pollen.n},
        .kinship = r.kinship,
        .mean = r.mean,
        .expected = r.expected,
        .max_f = ask->max_f,
        .selfings = ask->selfings
    };
    if (rc == PB_OK)
        rc = pb_pairing_rank(&p, &t->best, err);
    if (rc == PB_OK && ask->set > 0 && t->best.n > 0)
        rc = choose_set(&p, ask, &t->best, err);
    ranking_clear(&r);
    return rc;
}

enum pb_rc pb_act_pairs(struct pb_act *a, const struct pb_pairs_ask *ask,
                        struct pb_pairs_today *today, struct pb_err *err)
{
    memset(today, 0, sizeof(*today));
    pb_buf_init(&today->out, 1 << 24);
    enum pb_rc rc = pb_act_setting(a, "kin-limit", &today->kin_limit, err);
    if (rc == PB_OK)
        rc = pb_candidates_find(a, today, err);
    if (rc == PB_OK && today->seed.n > 0 && today->pollen.n > 0)
        rc = rank(a, ask, today, err);
    return rc == PB_OK ? pb_buf_status(&today->out, err) : rc;
}

void pb_pairs_today_clear(struct pb_pairs_today *today)
{
    pb_candidates_clear(&today->seed);
    pb_candidates_clear(&today->pollen);
    pb_kin_clear(&today->kin);
    free(today->best.pair);
    pb_buf_clear(&today->out);
    memset(today, 0, sizeof(*today));
}

/* ---- words ----------------------------------------------------------------------------- */

static enum pb_rc relation_of(const struct pb_pairs_today *t,
                              const struct pb_pair *pair, enum pb_relation *relation,
                              struct pb_err *err)
{
    return pb_relation_find(
        &t->kin.ped, pb_kin_genet(&t->kin, t->seed.v[pair->seed].parent.plant.n),
        pb_kin_genet(&t->kin, t->pollen.v[pair->pollen].parent.plant.n), relation, err);
}

static void warn_of_seed(const struct pb_candidate *c, struct pb_buf *out)
{
    char first[PB_DAY_TEXT], last[PB_DAY_TEXT];
    for (size_t i = 0; i < c->away_n; i++)
        pb_buf_printf(out, "the harvest window meets your absence %s to %s\n",
                      pb_day_format(c->away[i].span.first, first),
                      pb_day_format(c->away[i].span.last, last));
    if (c->dying)
        pb_buf_printf(out, "%s dies back: it may not carry a capsule to the end\n",
                      c->plant);
    if (c->carries > 0)
        pb_buf_printf(out, "%s carries %d flower%s or capsule%s already\n", c->plant,
                      c->carries, c->carries == 1 ? "" : "s",
                      c->carries == 1 ? "" : "s");
}

static void warn_of_doubt(const struct pb_family *f, const struct pb_candidate *c,
                          struct pb_buf *out)
{
    int32_t row = pb_family_index(f, c->parent.plant.n);
    if (row != PB_UNKNOWN && (f->flags[row] & PB_FAMILY_DOUBTED) != 0)
        pb_buf_printf(out, "the descent of %s is doubtful (podbook show %s)\n",
                      c->plant, c->plant);
}

enum pb_rc pb_pairs_warnings(const struct pb_pairs_today *today,
                             const struct pb_pair *pair, struct pb_buf *out,
                             struct pb_err *err)
{
    const struct pb_candidate *seed = &today->seed.v[pair->seed];
    const struct pb_candidate *pollen = &today->pollen.v[pair->pollen];
    enum pb_relation relation = PB_REL_UNRELATED;
    enum pb_rc rc = relation_of(today, pair, &relation, err);
    if (rc != PB_OK)
        return rc;
    bool limit = pair->f > 0 && pair->f >= today->kin_limit - PB_KIN_ROUNDING;
    if (relation <= PB_REL_HALF_SIBS)
        pb_buf_printf(out, "%s\n", pb_relation_words(relation));
    if (limit)
        pb_buf_printf(out, "F of the progeny reaches your limit of %.3g\n",
                      today->kin_limit);
    size_t before = out->len;
    pb_ploidy_words(seed->parent.ploidy, pollen->parent.ploidy, out);
    if (out->len > before)
        pb_buf_addc(out, '\n');
    warn_of_doubt(&today->kin.family, seed, out);
    if (seed->parent.plant.n != pollen->parent.plant.n)
        warn_of_doubt(&today->kin.family, pollen, out);
    warn_of_seed(seed, out);
    return pb_buf_status(out, err);
}

enum pb_rc pb_pairs_reasons(const struct pb_pairs_today *today,
                            const struct pb_pair *pair, struct pb_buf *out,
                            struct pb_err *err)
{
    const struct pb_candidate *seed = &today->seed.v[pair->seed];
    const struct pb_candidate *pollen = &today->pollen.v[pair->pollen];
    enum pb_relation relation = PB_REL_UNRELATED;
    enum pb_rc rc = relation_of(today, pair, &relation, err);
    if (rc != PB_OK)
        return rc;
    if (relation > PB_REL_HALF_SIBS) /* closer ones are a warning */
        pb_buf_printf(out, "%s; ", pb_relation_words(relation));
    if (seed->receptive.source == NULL)
        pb_buf_printf(out, "stigma: flower day %d, no profile says until when",
                      seed->flower_age);
    else if (seed->receptive.best >= 0)
        pb_buf_printf(out, "stigma: flower day %d of %d to %d, best about day %d",
                      seed->flower_age, seed->receptive.from, seed->receptive.to,
                      seed->receptive.best);
    else
        pb_buf_printf(out, "stigma: flower day %d of %d to %d", seed->flower_age,
                      seed->receptive.from, seed->receptive.to);
    if (pollen->flower_age >= 0)
        pb_buf_printf(out, "; pollen: fresh, flower day %d", pollen->flower_age);
    else
        pb_buf_printf(out,
                      "; pollen: stored, of %s, %d day%s old, counted on for %d more",
                      pollen->plant, pollen->pollen_age,
                      pollen->pollen_age == 1 ? "" : "s", pollen->pollen_left);
    return pb_buf_status(out, err);
}
