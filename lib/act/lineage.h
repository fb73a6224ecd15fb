/*
 * The pedigree of a plant as a tree: its ancestors, or what came of it.  Clones are folded;
 * whoever was shown already is not opened again, so that a tree is no longer than twice
 * the plants in it.
 */
#ifndef PB_ACT_LINEAGE_H
#define PB_ACT_LINEAGE_H

#include "act/kin.h"

/* deeper is cut: a line has 80 columns */
enum { PB_LINEAGE_DEPTH = 14 };

/* What a node is to the one above it.  ORDER LINE: cmd_pedigree.c */
enum pb_line {
    PB_LINE_ROOT,
    PB_LINE_SEED_PARENT,
    PB_LINE_POLLEN_PARENT,
    PB_LINE_BOTH_PARENTS, /* a selfing */
    PB_LINE_BY_SEED,      /* offspring; the one above was its seed parent */
    PB_LINE_BY_POLLEN,    /* offspring; it was the pollen parent */
    PB_LINE_BY_SELFING,   /* offspring of a selfing */
    PB_LINE_N
};

struct pb_lineage_node {
    int32_t genet; /* PB_UNKNOWN: a parent that is not known */
    int32_t mate;  /* of offspring: the other parent, PB_UNKNOWN: not known */
    enum pb_line line;
    int depth;   /* generations from the root */
    bool last;   /* of its siblings */
    bool repeat; /* has a line further up */
    bool again;  /* and its own parents or offspring stand there */
    bool cut;    /* goes on, but too deep to show */
};

struct pb_lineage {
    struct pb_kin kin;            /* the whole book, with taxa */
    struct pb_lineage_node *node; /* in the order of the lines */
    size_t n, cap;
    int32_t *first,
        *next; /* rows of a genet: first[genet], next[row], PB_UNKNOWN ends */
};

/*
 * Work it out.
 *   plant    row of the book
 *   down     its descendants instead of its ancestors
 *   lineage  out: pb_lineage_clear, also after an error
 */
enum pb_rc pb_act_lineage(struct pb_act *a, int64_t plant, bool down,
                          struct pb_lineage *lineage, struct pb_err *err);
void pb_lineage_clear(struct pb_lineage *lineage);

#endif
