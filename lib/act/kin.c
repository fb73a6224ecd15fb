/* Kinship in the book.  See kin.h. */
#include "act/kin.h"

#include "act/setting.h"
#include "base/text.h"
#include "core/founders.h"
#include "core/taxon.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* "A descends from itself: A < A-1 < A"; each has the next as its parent or source. */
static enum pb_rc fail_cycle(const struct pb_kin *kin,
                             const struct pb_pedigree_fault *fault, struct pb_err *err)
{
    struct pb_buf b;
    size_t named = fault->n < PB_FAULT_ROWS ? fault->n : PB_FAULT_ROWS;
    pb_buf_init(&b, 4096);
    for (size_t i = 0; i < named; i++)
        pb_buf_printf(&b, "%s < ", pb_family_code(&kin->family, fault->rows[i]));
    pb_buf_adds(&b, named < fault->n ? "..."
                                     : pb_family_code(&kin->family, fault->rows[0]));
    enum pb_rc rc =
        pb_fail(err, PB_EINVALID, "%s would descend from itself: %s",
                pb_family_code(&kin->family, fault->rows[0]), pb_buf_peek(&b));
    pb_buf_clear(&b);
    return rc;
}

enum pb_rc pb_kin_load(struct pb_act *a, const struct pb_family_ask *ask,
                       struct pb_kin *kin, struct pb_err *err)
{
    struct pb_pedigree_fault fault = {0};
    memset(kin, 0, sizeof(*kin));
    enum pb_rc rc = pb_family_load(a->book, ask, &kin->family, err);
    if (rc != PB_OK)
        return rc;
    const struct pb_pedigree_rows rows = pb_family_rows(&kin->family);
    struct pb_err why = {0};
    rc = pb_pedigree_build(&rows, &kin->ped, &fault, &why);
    if (rc == PB_EINVALID && fault.kind == PB_FAULT_CYCLE)
        rc = fail_cycle(kin, &fault, err);
    else if (rc != PB_OK)
        rc = pb_fail(err, rc, "%s", why.text);
    if (rc != PB_OK)
        pb_kin_clear(kin);
    return rc;
}

void pb_kin_clear(struct pb_kin *kin)
{
    pb_pedigree_clear(&kin->ped);
    pb_family_clear(&kin->family);
}

int32_t pb_kin_genet(const struct pb_kin *kin, int64_t plant)
{
    int32_t row = pb_family_index(&kin->family, plant);
    return row != PB_UNKNOWN ? kin->ped.genet_of[row] : PB_UNKNOWN;
}

const char *pb_kin_clone(const struct pb_kin *kin, int32_t genet)
{
    return pb_family_code(&kin->family, kin->ped.origin_row[genet]);
}

enum pb_rc pb_kin_compute(const struct pb_kin *kin, enum pb_kin_over over,
                          struct pb_kin_all *all, struct pb_err *err)
{
    const struct pb_family *fam = &kin->family;
    size_t genets = (size_t)kin->ped.genet_n + 1; /* none is no reason to fail */
    uint8_t *counted = calloc(fam->n + 1, 1);
    double *weight = calloc(genets, sizeof(*weight));
    memset(all, 0, sizeof(*all));
    all->f = calloc(genets, sizeof(*all->f));
    all->mean = calloc(genets, sizeof(*all->mean));
    enum pb_rc rc =
        counted == NULL || weight == NULL || all->f == NULL || all->mean == NULL
            ? pb_fail_memory(err)
            : pb_kinship_inbreeding(&kin->ped, PB_KINSHIP_BEST, all->f, err);
    if (rc == PB_OK) {
        for (size_t i = 0; i < fam->n; i++)
            counted[i] = over == PB_KIN_OVER_ROWS
                             ? (fam->flags[i] & PB_FAMILY_WITHDRAWN) == 0
                             : (fam->flags[i] & PB_FAMILY_LIVING) != 0;
        pb_kinship_weights(&kin->ped, counted, over != PB_KIN_OVER_CLONES, weight);
        pb_kinship_mean(&kin->ped, all->f, weight, all->mean, &all->diversity);
    }
    free(counted);
    free(weight);
    if (rc != PB_OK)
        pb_kin_all_clear(all);
    return rc;
}

void pb_kin_all_clear(struct pb_kin_all *all)
{
    free(all->f);
    free(all->mean);
    memset(all, 0, sizeof(*all));
}

static int by_name(const void *pa, const void *pb)
{
    const struct pb_founder_share *a = pa, *b = pb;
    return strcmp(a->taxon, b->taxon);
}

static int by_share(const void *pa, const void *pb)
{
    const struct pb_founder_share *a = pa, *b = pb;
    bool unknown_a = a->taxon[0] == '\0', unknown_b = b->taxon[0] == '\0';
    if (unknown_a != unknown_b)
        return unknown_a ? 1 : -1;
    if (a->share < b->share || a->share > b->share)
        return a->share > b->share ? -1 : 1;
    return strcmp(a->taxon, b->taxon);
}

static bool is_founder(const struct pb_pedigree *ped, int32_t genet)
{
    return ped->seed_parent[genet] == PB_UNKNOWN &&
           ped->pollen_parent[genet] == PB_UNKNOWN;
}

/* The name that a founder counts under: genus and species as written. */
static enum pb_rc key_of(const struct pb_kin *kin, int32_t genet,
                         struct pb_founder_share *share, struct pb_err *err)
{
    struct pb_buf key;
    pb_buf_init(&key, PB_MAX_NAME);
    pb_taxon_key(pb_family_taxon(&kin->family, kin->ped.origin_row[genet]), &key);
    (void)snprintf(share->taxon, sizeof(share->taxon), "%s", pb_buf_peek(&key));
    enum pb_rc rc = pb_buf_status(&key, err);
    pb_buf_clear(&key);
    return rc;
}

/* The founders' names, each once, in order; n of them. */
static enum pb_rc list_names(const struct pb_kin *kin, struct pb_founder_share *names,
                             size_t *n, struct pb_err *err)
{
    size_t all = 0, kept = 0;
    enum pb_rc rc = PB_OK;
    for (int32_t g = 0; g < kin->ped.genet_n && rc == PB_OK; g++)
        if (is_founder(&kin->ped, g))
            rc = key_of(kin, g, &names[all++], err);
    if (rc != PB_OK)
        return rc;
    qsort(names, all, sizeof(*names), by_name);
    for (size_t i = 0; i < all; i++)
        if (kept == 0 || strcmp(names[kept - 1].taxon, names[i].taxon) != 0)
            names[kept++] = names[i];
    *n = kept;
    return PB_OK;
}

/* The founders' names as numbers. */
static enum pb_rc number_founders(const struct pb_kin *kin,
                                  const struct pb_founder_share *names, size_t n,
                                  int32_t *taxon, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (int32_t g = 0; g < kin->ped.genet_n && rc == PB_OK; g++) {
        struct pb_founder_share key;
        taxon[g] = PB_UNKNOWN;
        if (!is_founder(&kin->ped, g))
            continue;
        rc = key_of(kin, g, &key, err);
        const struct pb_founder_share *at =
            bsearch(&key, names, n, sizeof(*names), by_name);
        taxon[g] = at != NULL ? (int32_t)(at - names) : PB_UNKNOWN;
    }
    return rc;
}

enum pb_rc pb_kin_shares(const struct pb_kin *kin, int32_t genet,
                         struct pb_founder_share **list, size_t *n, struct pb_err *err)
{
    size_t genets = (size_t)kin->ped.genet_n, name_n = 0, kept = 0;
    struct pb_founder_share *names = calloc(genets + 1, sizeof(*names));
    int32_t *taxon = calloc(genets + 1, sizeof(*taxon));
    double *share = calloc(genets + 2, sizeof(*share));
    enum pb_rc rc = names == NULL || taxon == NULL || share == NULL
                        ? pb_fail_memory(err)
                        : list_names(kin, names, &name_n, err);
    if (rc == PB_OK)
        rc = number_founders(kin, names, name_n, taxon, err);
    if (rc == PB_OK)
        rc = pb_founder_shares(&kin->ped, taxon, (int32_t)name_n, genet, share, err);
    if (rc == PB_OK) {
        names[name_n].taxon[0] = '\0';
        for (size_t i = 0; i <= name_n; i++)
            if (share[i] > 0) {
                names[kept] = names[i];
                names[kept++].share = share[i];
            }
        qsort(names, kept, sizeof(*names), by_share);
        *list = names;
        *n = kept;
        names = NULL;
    }
    free(names);
    free(taxon);
    free(share);
    return rc;
}

enum pb_rc pb_kin_pair(const struct pb_kin *kin, int32_t a, int32_t b,
                       struct pb_kin_pair *pair, struct pb_err *err)
{
    double k = 0;
    enum pb_relation relation = PB_REL_UNRELATED;
    enum pb_rc rc = pb_kinship_some(&kin->ped, (struct pb_genets){&a, 1},
                                    (struct pb_genets){&b, 1}, &k, err);
    if (rc == PB_OK)
        rc = pb_relation_find(&kin->ped, a, b, &relation, err);
    if (rc == PB_OK)
        *pair = (struct pb_kin_pair){k, relation};
    return rc;
}

void pb_ploidy_words(int seed, int pollen, struct pb_buf *out)
{
    unsigned notes = pb_ploidy_notes(seed, pollen);
    if ((notes & PB_PLOIDY_ODD_PROGENY) != 0)
        pb_buf_printf(out, "%dx by %dx gives %dx seedlings: expect them to be sterile",
                      seed, pollen, (seed + pollen) / 2);
    else if ((notes & PB_PLOIDY_ODD_PARENT) != 0)
        pb_buf_printf(out,
                      "a %dx parent: its gametes are uneven, expect little good seed",
                      seed % 2 != 0 ? seed : pollen);
    else if ((notes & PB_PLOIDY_DIFFER) != 0)
        pb_buf_printf(out, "%dx by %dx: kinship is computed as if both were diploid",
                      seed, pollen);
}

static bool reaches(double f, double limit)
{
    return f > 0 && f >= limit - PB_KIN_ROUNDING;
}

/* What a pair has in common, where that reaches the limit. */
static void add_closeness(const struct pb_cross *x, const struct pb_parent *pollen,
                          const struct pb_kin_pair *pair, double limit,
                          struct pb_buf *out)
{
    char f[PB_NUMBER_TEXT], l[PB_NUMBER_TEXT];
    if (x->pollen_n > 1 && pair->relation == PB_REL_CLONE)
        pb_buf_printf(out, "A selfing in part: the pollen of %s is of its own clone. ",
                      pollen->plant.code);
    else if (x->pollen_n > 1 || pair->relation > PB_REL_FULL_SIBS)
        pb_buf_printf(out, "%s and %s are close: %s. ", x->seed.plant.code,
                      pollen->plant.code, pb_relation_words(pair->relation));
    pb_buf_printf(out, "F of the progeny is %s; your limit is %s.\n",
                  pb_text_number(pair->kinship, f), pb_text_number(limit, l));
}

enum pb_rc pb_kin_cautions(struct pb_act *a, const struct pb_cross *x,
                           struct pb_buf *out, struct pb_err *err)
{
    int64_t plants[1 + PB_MAX_POLLEN_PARENTS] = {x->seed.plant.n};
    struct pb_kin kin;
    struct pb_buf ploidy;
    double limit = 0;
    size_t n = 1;
    for (size_t i = 0; i < x->pollen_n; i++)
        if (x->pollen[i].parent.plant.n !=
            0) /* else planned, and new: akin to nobody */
            plants[n++] = x->pollen[i].parent.plant.n;
    const struct pb_family_ask ask = {plants, n, false};
    if (n == 1)
        return PB_OK;
    enum pb_rc rc = pb_act_setting(a, "kin-limit", &limit, err);
    if (rc == PB_OK)
        rc = pb_kin_load(a, &ask, &kin, err);
    if (rc != PB_OK)
        return rc;
    pb_buf_init(&ploidy, 400);
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++) {
        const struct pb_parent *p = &x->pollen[i].parent;
        struct pb_kin_pair pair = {0, PB_REL_UNRELATED};
        if (p->plant.n == 0)
            continue;
        rc = pb_kin_pair(&kin, pb_kin_genet(&kin, plants[0]),
                         pb_kin_genet(&kin, p->plant.n), &pair, err);
        if (rc == PB_OK && reaches(pair.kinship, limit))
            add_closeness(x, p, &pair, limit, out);
        pb_buf_reset(&ploidy);
        pb_ploidy_words(x->seed.ploidy, p->ploidy, &ploidy);
        if (rc == PB_OK)
            rc = pb_buf_status(&ploidy, err);
        if (ploidy.len > 0)
            pb_buf_printf(out, "Ploidy: %s.\n", pb_buf_peek(&ploidy));
    }
    pb_buf_clear(&ploidy);
    pb_kin_clear(&kin);
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}
