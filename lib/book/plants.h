/* Plants in the book. */
#ifndef PB_BOOK_PLANTS_H
#define PB_BOOK_PLANTS_H

#include "book/book.h"
#include "core/record.h"

/* By what a plant is looked for. */
enum pb_plant_by { PB_PLANT_BY_CODE, PB_PLANT_BY_ID };

/*
 * Find a plant by code (without regard to case) or id, withdrawn or not.
 *   p  in: initialised; out, where *found: filled, its genet too; pb_plant_clear
 */
enum pb_rc pb_plant_find(struct pb_book *book, enum pb_plant_by by, const char *key,
                         struct pb_plant *p, bool *found, struct pb_err *err);

/* The same without its genet, to find which costs a step for each source above it: for who
 * goes through a whole clone. */
enum pb_rc pb_plant_find_alone(struct pb_book *book, enum pb_plant_by by,
                               const char *key, struct pb_plant *p, bool *found,
                               struct pb_err *err);

/* By id, and no more than tells since when it was there: code, got, elsewhere, the row of its
 * source, the id of the cross and the row and id of the batch it came out of. */
enum pb_rc pb_plant_find_came(struct pb_book *book, const char *id, struct pb_plant *p,
                              bool *found, struct pb_err *err);

/* The same for who needs to know no more than which plant it is: one row is read. */
enum pb_rc pb_plant_find_ref(struct pb_book *book, const char *code, struct pb_ref *ref,
                             bool *withdrawn, bool *found, struct pb_err *err);

/* Enter a plant; head.n is set.  The references' n must be set.  Only inside an act. */
enum pb_rc pb_plant_insert(struct pb_book *book, struct pb_plant *p,
                           struct pb_err *err);
/* Write all of it over the row head.n.  Only inside an act. */
enum pb_rc pb_plant_update(struct pb_book *book, const struct pb_plant *p,
                           struct pb_err *err);

/* ORDER PLANT_SET: plants.c */
enum pb_plant_set {
    PB_PLANTS_LIVING, /* neither gone, elsewhere nor withdrawn */
    PB_PLANTS_ALL,    /* every one that was not withdrawn */
    PB_PLANTS_EVERY   /* withdrawn ones too */
};

/* Called for each plant in the order of entry; the plant is borrowed for the call. */
typedef enum pb_rc pb_plant_each(void *ctx, const struct pb_plant *p,
                                 struct pb_err *err);

enum pb_rc pb_plants_each(struct pb_book *book, enum pb_plant_set set,
                          pb_plant_each *each, void *ctx, struct pb_err *err);

/* Which records a code may be of.  ORDER CODES: plants.c, find.c */
enum pb_codes {
    PB_CODES_RECORD, /* any */
    PB_CODES_PLANT,  /* ORDER KIND from here on */
    PB_CODES_CROSS,
    PB_CODES_SEED,
    PB_CODES_FLASK,
    PB_CODES_CUTTING,
    PB_CODES_POLLEN,
    PB_CODES_GROWN, /* a plant or a cross */
    PB_CODES_N
};

/* Codes that are near to a typed one, for "did you mean". */
struct pb_near {
    char code[3][PB_MAX_CODE + 1]; /* nearest first */
    size_t n;
};

/* The codes of records of that kind that are near, those of withdrawn ones left out. */
enum pb_rc pb_codes_near(struct pb_book *book, enum pb_codes kind, const char *code,
                         struct pb_near *near, struct pb_err *err);

/* The first code of the form BASE, BASE-2, BASE-3 ... that no plant has. */
enum pb_rc pb_plant_free_code(struct pb_book *book, const char *base, char *code,
                              struct pb_err *err);

/* First plant of a plant's clone. */
enum pb_rc pb_genet_of(struct pb_book *book, int64_t plant, struct pb_ref *genet,
                       struct pb_err *err);

/*
 * The two parents of a clone: from the cross its first plant was raised from, or as
 * stated.  A cross with several pollen parents leaves the pollen parent unknown.
 *   genet    row of the clone's first plant
 *   parents  out: rows of the first plants of the parents' clones, seed parent first;
 *            0: not known
 */
enum pb_rc pb_genet_parents(struct pb_book *book, int64_t genet, int64_t parents[2],
                            struct pb_err *err);

/* Taxon of the plant in that row, yours (free); *taxon stays NULL where there is none. */
enum pb_rc pb_plant_taxon(struct pb_book *book, int64_t plant, char **taxon,
                          struct pb_err *err);

/* Taxon of the seed parent of a plant's clone; *taxon stays NULL where it is not known
 * (yours: free). */
enum pb_rc pb_seed_parent_taxon(struct pb_book *book, int64_t plant, char **taxon,
                                struct pb_err *err);

/* Fill a parent from the plant's row; the strings are the parent's.  Of a row that a damaged
 * book lacks: its number, and the empty text as taxon and code. */
enum pb_rc pb_parent_load(struct pb_book *book, int64_t plant, struct pb_parent *parent,
                          struct pb_err *err);

#endif
