/*
 * A learner inside.  Internal to learn.c, learn_cache.c and lesson.c; see learn.h.
 */
#ifndef PB_ACT_LEARNING_H
#define PB_ACT_LEARNING_H

#include "act/learn.h"
#include "core/intervals.h"

/* A law as it is kept while the learner lives. */
struct pb_learnt_law {
    struct pb_learner *learner;
    struct pb_learnt_taxon
        *taxon; /* with this clone: where the whole of it comes from */
    int64_t genet;
    struct pb_ripening_brief *brief;   /* its own */
    const struct pb_ripening_law *law; /* the whole; NULL: not asked for yet */
    struct pb_ripening_law *own;       /* that, where it is no law of the taxon's fit */
    struct pb_lesson_memo *memo;       /* of answers that need the whole; its own */
};

/* What is known of one taxon under one profile row. */
struct pb_learnt_taxon {
    char *name; /* its key */
    struct pb_ripening_prior prior;
    int64_t changes; /* of its crosses, when the laws were computed; -1: none are */
    struct pb_buf version; /* the two as text: the cache's key */
    uint64_t capsules;
    struct pb_ripening *fit;     /* NULL: the laws come from the cache */
    struct pb_learnt_law **laws; /* the first: of a clone without capsules */
    size_t law_n;
    struct clone {
        int64_t genet;
        struct pb_learnt_law *law; /* one of the laws; several clones may share it */
    } * clones;
    size_t clone_n;
    struct pb_intervals intervals; /* of the fit */
    size_t lives;
    struct pb_learnt_taxon
        *bare; /* nothing was ever seen of it: the one that has its laws */
};

struct pb_learner {
    struct pb_book *book;
    bool anew; /* as of the act */
    double tolerance;
    struct pb_learnt_taxon **taxa;
    size_t taxon_n;
    struct pb_learnt_taxon *last; /* asked for last */
    struct pb_learnt_taxon *
        *bare; /* without a name or a capsule, by prior: many share each */
    size_t bare_n;
    struct pb_err fault; /* why a question was not answered */
};

/* Have the whole law at hand.  NULL: it could not be had, and the learner knows why. */
const struct pb_ripening_law *pb_learnt_whole(struct pb_learnt_law *l);

/* Fitted now, and worth a write? */
bool pb_learnt_is_worth(const struct pb_learnt_taxon *t);

/* A brief from the cache; *brief stays NULL where none is kept under the taxon's version. */
enum pb_rc pb_learnt_load_brief(struct pb_learner *learner,
                                const struct pb_learnt_taxon *t, int64_t genet,
                                struct pb_ripening_brief **brief, int64_t *capsules,
                                struct pb_err *err);

/* The whole of a law from the cache; *law stays NULL where it is not there any more. */
enum pb_rc pb_learnt_load_law(struct pb_learner *learner, const struct pb_learnt_law *l,
                              struct pb_ripening_law **law, struct pb_err *err);

#endif
