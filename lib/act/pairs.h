/*
 * Pairs: which crosses to make today, from what is in flower and in stored pollen.
 */
#ifndef PB_ACT_PAIRS_H
#define PB_ACT_PAIRS_H

#include "act/kin.h"
#include "act/timing.h"
#include "book/absences.h"
#include "core/bloom.h"
#include "core/pairing.h"

/* A plant in flower, or a lot of stored pollen, in one of the two roles. */
struct pb_candidate {
    char code[PB_MAX_CODE + 1];  /* as it is typed after `podbook cross` */
    char plant[PB_MAX_CODE + 1]; /* of the plant; the same but for stored pollen */
    struct pb_parent parent;
    int flower_age; /* days since its flowers opened, -1: stored pollen */
    bool dying;     /* the shoot dies back */
    /* of stored pollen */
    int pollen_age, pollen_left; /* days since it was taken; days it is counted on */
    /* of a seed parent */
    struct pb_profile_match match;     /* the profile that times it */
    struct pb_profile_stage receptive; /* source NULL: no profile says */
    int carries;                       /* flowers and capsules open on it */
    struct pb_span harvest;            /* of capsules pollinated today */
    struct pb_absence *away;           /* the absences that it meets; its own */
    size_t away_n;
    double set_self, set_cross; /* capsules expected of a flower, selfed and crossed */
};

struct pb_candidates {
    struct pb_candidate *v; /* by code */
    size_t n, cap;
};

/* What is asked for. */
struct pb_pairs_ask {
    double max_f; /* the most F of the progeny that is let in */
    bool selfings;
    size_t set;        /* 0: all pairs; else the best set of so many */
    int32_t per_plant; /* how often a clone may take each role in the set */
};

struct pb_pairs_today {
    struct pb_candidates seed, pollen;
    struct pb_kin kin;    /* the candidates and their ancestors */
    struct pb_pairs best; /* best first; places in seed and pollen */
    double kin_limit;     /* setting kin-limit */
    struct pb_buf out;    /* who was left out and why, a line each */
};

/*
 * Find who can be crossed today, and rank the pairs.
 *   today  out: pb_pairs_today_clear, also after an error
 * Seed parents are in flower with a receptive stigma as far as a profile says, and not at
 * the setting capsule-limit; pollen parents are in flower, or stored pollen that is still
 * counted on.  The order and the set are those of pairing.h; mean kinship is over the
 * living clones.
 */
enum pb_rc pb_act_pairs(struct pb_act *a, const struct pb_pairs_ask *ask,
                        struct pb_pairs_today *today, struct pb_err *err);
void pb_pairs_today_clear(struct pb_pairs_today *today);

/*
 * Append what speaks against a pair, a line each: a selfing, sibs or closer than
 * kin-limit, odd ploidy, doubtful parents, a harvest in an absence, a seed parent that dies
 * back or carries capsules already.
 */
enum pb_rc pb_pairs_warnings(const struct pb_pairs_today *today,
                             const struct pb_pair *pair, struct pb_buf *out,
                             struct pb_err *err);
/* Append what a pair rests on, in words: relation, stigma, pollen. */
enum pb_rc pb_pairs_reasons(const struct pb_pairs_today *today,
                            const struct pb_pair *pair, struct pb_buf *out,
                            struct pb_err *err);

#endif
