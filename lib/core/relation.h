/*
 * What two plants are to each other, in the trade's words, and what they share.
 */
#ifndef PB_CORE_RELATION_H
#define PB_CORE_RELATION_H

#include "core/pedigree.h"

#include <stdbool.h>

/* From the closest; where several hold, the first does.  "Sibs" share parents as the book
 * knows them: an unknown parent is never shared.  ORDER RELATION: words in relation.c */
enum pb_relation {
    PB_REL_CLONE,       /* one genet */
    PB_REL_BACKCROSS,   /* parent and offspring, and the offspring has another parent */
    PB_REL_PARENT,      /* parent and offspring, the offspring from a selfing */
    PB_REL_FULL_SIBS,   /* the same two parents (or the same one, selfed) */
    PB_REL_HALF_SIBS,   /* one parent in common */
    PB_REL_GRANDPARENT, /* a parent's parent */
    PB_REL_PARENTS_SIB, /* a full or half sib of a parent */
    PB_REL_COUSINS,     /* parents that are full or half sibs */
    PB_REL_ANCESTOR,    /* one descends from the other, further back */
    PB_REL_RELATED,     /* a common ancestor, further back */
    PB_REL_UNRELATED,   /* none that the book knows */
    PB_REL_N
};

/*
 * The relation of two genets.  Cost: the ancestors of both.
 */
enum pb_rc pb_relation_find(const struct pb_pedigree *ped, int32_t a, int32_t b,
                            enum pb_relation *relation, struct pb_err *err);

/* "same clone: a selfing", "half sibs" ...; static. */
const char *pb_relation_words(enum pb_relation relation);

/* A common ancestor, with the generations up to it from each side: 0 where that side is
 * the ancestor itself. */
struct pb_common {
    int32_t genet;
    int32_t up_a, up_b; /* along the shortest line */
};

/*
 * The nearest common ancestors: those to which a line of descent leads, from one side at
 * least, that passes no other common ancestor.  One of the two may be one of them.
 *   list, n  out: youngest first; yours (free), NULL where there is none
 * Cost: the ancestors of both.
 */
enum pb_rc pb_relation_common(const struct pb_pedigree *ped, int32_t a, int32_t b,
                              struct pb_common **list, size_t *n, struct pb_err *err);

/* What the ploidies of two parents mean for their seed, as a sum of these. */
enum pb_ploidy_note {
    PB_PLOIDY_UNKNOWN = 1,    /* of one or both: nothing else is said */
    PB_PLOIDY_DIFFER = 2,     /* kinship by diploid arithmetic does not hold */
    PB_PLOIDY_ODD_PARENT = 4, /* its gametes are uneven: expect little good seed */
    PB_PLOIDY_ODD_PROGENY = 8 /* as triploids: expect them to be sterile */
};

/*
 * Half of each parent's chromosome sets comes together in the seed.
 *   a, b  chromosome sets of the parents, 0 unknown
 * Common practice, no source: 2x by 4x gives 3x.
 */
unsigned pb_ploidy_notes(int a, int b);

#endif
