/*
 * Who descends from whom: the rows of a book or a table, folded into clones.
 *
 * A row is one physical plant.  A genet (the trade's "clone") is one genotype: the plant
 * raised from seed and every pup, cutting and division of it, at any remove.  Kinship
 * knows genets only.  Rows and genets are numbered from 0; PB_UNKNOWN is no plant.
 */
#ifndef PB_CORE_PEDIGREE_H
#define PB_CORE_PEDIGREE_H

#include "base/err.h"

#include <stddef.h>
#include <stdint.h>

enum { PB_UNKNOWN = -1 };

/* The rows as they were entered, in any order; borrowed.  A row is raised from seed (its
 * parents, each a row or PB_UNKNOWN) or it is a clone (its one source, and no parents). */
struct pb_pedigree_rows {
    size_t n;
    const int32_t *seed_parent, *pollen_parent;
    const int32_t *clone_of; /* PB_UNKNOWN: not a clone.  NULL: no row is one */
};

struct pb_pedigree {
    int32_t genet_n;
    int32_t *seed_parent;   /* [genet_n] a genet of a lower number, or PB_UNKNOWN */
    int32_t *pollen_parent; /* [genet_n] likewise */
    int32_t *origin_row;    /* [genet_n] the row that was raised from seed */
    size_t row_n;
    int32_t *genet_of; /* [row_n] */
};

/* ORDER PEDIGREE_FAULT: fault_texts in pedigree.c */
enum pb_pedigree_fault_kind {
    PB_FAULT_NONE,
    PB_FAULT_RANGE,   /* a parent or source that is no row */
    PB_FAULT_ORIGINS, /* a clone with parents of its own */
    PB_FAULT_CYCLE,   /* a plant its own ancestor, by seed, by pups or by both */
    PB_FAULT_N
};

enum { PB_FAULT_ROWS = 16 };

/* What is wrong, by rows: the caller has the codes.  A cycle is listed so that each row
 * has the next as its parent or source, and the last one the first. */
struct pb_pedigree_fault {
    enum pb_pedigree_fault_kind kind;
    size_t n;                    /* rows at fault */
    int32_t rows[PB_FAULT_ROWS]; /* the first of them */
};

/*
 * Fold the rows into genets and number these so that parents come before children.
 *   rows   in any order
 *   ped    out: yours, pb_pedigree_clear
 *   fault  out, on PB_EINVALID only; may be NULL
 * Rows that come parents first keep their order.  Others are numbered by generation, each
 * plant as late as its children allow: that keeps the number of plants small that are
 * still to be parents, on which the cost of a kinship table rests.
 * Cost O(n) time, 12 bytes a row and 12 a genet; no recursion.
 * PB_EINVALID  the fault    PB_ELIMIT  more than PB_MAX_PEDIGREE rows
 */
enum pb_rc pb_pedigree_build(const struct pb_pedigree_rows *rows,
                             struct pb_pedigree *ped, struct pb_pedigree_fault *fault,
                             struct pb_err *err);

/* Release; an all-zero pedigree is allowed. */
void pb_pedigree_clear(struct pb_pedigree *ped);

/*
 * Every row at fault, for those who keep the good ones.
 *   kinds  out: [rows->n] enum pb_pedigree_fault_kind; of cycles that share rows at least
 *          as many rows are named as must go for no cycle to be left
 *   bad    out: how many rows are at fault
 */
enum pb_rc pb_pedigree_check(const struct pb_pedigree_rows *rows, uint8_t *kinds,
                             size_t *bad, struct pb_err *err);

#endif
