/*
 * Who descends from whom in the book, as plain arrays: what kinship is computed from.
 */
#ifndef PB_BOOK_FAMILY_H
#define PB_BOOK_FAMILY_H

#include "base/buf.h"
#include "book/book.h"
#include "core/pedigree.h"
#include "core/record.h"

enum pb_family_flag {
    PB_FAMILY_LIVING = 1,    /* neither gone, elsewhere nor withdrawn */
    PB_FAMILY_WITHDRAWN = 2, /* there as a parent only */
    PB_FAMILY_DOUBTED = 4    /* it, or what it comes of, is marked doubtful */
};

/* Plants by their rows in the book, ascending; index from 0. */
struct pb_family {
    size_t n, cap;
    int64_t *plant;         /* row in the book */
    int64_t *parent[3];     /* source, seed parent, pollen parent: rows in the book */
    int32_t *seed_parent;   /* index, or PB_UNKNOWN */
    int32_t *pollen_parent; /* likewise; unknown where pollen was mixed */
    int32_t *clone_of;      /* likewise */
    uint8_t *flags;         /* of pb_family_flag */
    uint8_t *ploidy;        /* 0: not known */
    uint32_t *code_at;      /* where in text its code begins */
    uint32_t *taxon_at;     /* where its taxon does; only with taxa */
    struct pb_buf text;
};

/* Which plants to load. */
struct pb_family_ask {
    const int64_t *plants; /* plant_n rows in the book; NULL: every plant there is */
    size_t plant_n;
    bool taxa; /* load the taxa too */
};

/*
 * Load plants and all their ancestors.
 *   f  out: pb_family_clear
 * Cost: that of the plants loaded; about 60 bytes a plant and its code.
 */
enum pb_rc pb_family_load(struct pb_book *book, const struct pb_family_ask *ask,
                          struct pb_family *f, struct pb_err *err);
void pb_family_clear(struct pb_family *f); /* an all-zero one is allowed */

/* Index of a row of the book, PB_UNKNOWN: it is not among them.  Cost O(log n). */
int32_t pb_family_index(const struct pb_family *f, int64_t plant);

/* Borrowed until the family is cleared. */
const char *pb_family_code(const struct pb_family *f, int32_t index);
const char *pb_family_taxon(const struct pb_family *f, int32_t index);

/* The rows as kinship wants them; borrowed. */
struct pb_pedigree_rows pb_family_rows(const struct pb_family *f);

#endif
