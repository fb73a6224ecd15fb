/*
 * Kinship in the book: who is related to whom, and how varied the living collection is.
 */
#ifndef PB_ACT_KIN_H
#define PB_ACT_KIN_H

#include "act/act.h"
#include "book/crosses.h"
#include "book/family.h"
#include "core/kinship.h"
#include "core/relation.h"

/* Plants of the book and the clones that they fold into. */
struct pb_kin {
    struct pb_family family;
    struct pb_pedigree ped;
};

/*
 * Load plants with their ancestors and fold them into clones.
 *   ask  which; see family.h
 *   kin  out: pb_kin_clear
 * PB_EINVALID  a plant descends from itself (a damaged book): the codes are named
 */
enum pb_rc pb_kin_load(struct pb_act *a, const struct pb_family_ask *ask,
                       struct pb_kin *kin, struct pb_err *err);
void pb_kin_clear(struct pb_kin *kin); /* an all-zero one is allowed */

/* The genet of a plant of the book; PB_UNKNOWN: it was not loaded. */
int32_t pb_kin_genet(const struct pb_kin *kin, int64_t plant);

/* The code of a genet: that of its first plant. */
const char *pb_kin_clone(const struct pb_kin *kin, int32_t genet);

/* Over what mean kinship is taken. */
enum pb_kin_over { PB_KIN_OVER_CLONES, PB_KIN_OVER_PLANTS, PB_KIN_OVER_ROWS };

/* F of all, mean kinship of all, diversity of those it is taken over. */
struct pb_kin_all {
    double *f, *mean; /* [ped.genet_n] */
    struct pb_diversity diversity;
};
enum pb_rc pb_kin_compute(const struct pb_kin *kin, enum pb_kin_over over,
                          struct pb_kin_all *all, struct pb_err *err);
void pb_kin_all_clear(struct pb_kin_all *all);

/* How much of a plant comes from a founder species. */
struct pb_founder_share {
    char taxon[PB_MAX_NAME + 1]; /* empty: unknown */
    double share;                /* 0..1 */
};

/*
 * Parentage shares, largest first, the unknown one last.
 *   kin     loaded with taxa
 *   list, n  out: yours (free)
 */
enum pb_rc pb_kin_shares(const struct pb_kin *kin, int32_t genet,
                         struct pb_founder_share **list, size_t *n, struct pb_err *err);

/* F and a limit come from halves and from text: a rounding must not part them. */
#define PB_KIN_ROUNDING 1e-9

/* What is said of a pair: the numbers and the words. */
struct pb_kin_pair {
    double kinship; /* = F of their progeny */
    enum pb_relation relation;
};
enum pb_rc pb_kin_pair(const struct pb_kin *kin, int32_t a, int32_t b,
                       struct pb_kin_pair *pair, struct pb_err *err);

/*
 * Append, a line each, what is to be said of a cross at once beside its kind: pairs whose
 * progeny's F reaches the setting kin-limit, ploidies that make little or sterile seed.
 * Nothing where there is nothing.  Cost: that of the parents' ancestors.
 */
enum pb_rc pb_kin_cautions(struct pb_act *a, const struct pb_cross *x,
                           struct pb_buf *out, struct pb_err *err);

/*
 * Append what the ploidies of two parents mean for their seed, in words; nothing where
 * they are equal and even, or not known.
 */
void pb_ploidy_words(int seed, int pollen, struct pb_buf *out);

#endif
