/* Crosses in the book, with their looks and harvests. */
#ifndef PB_BOOK_CROSSES_H
#define PB_BOOK_CROSSES_H

#include "book/book.h"
#include "book/looks.h"

/* By what a cross is looked for. */
enum pb_cross_by { PB_CROSS_BY_CODE, PB_CROSS_BY_ID, PB_CROSS_BY_LOT };

/*
 * Find a cross by its code (without regard to case), its id, or the code of a seed lot
 * harvested from it; withdrawn or not.
 *   x  in: initialised; out, where *found: complete; pb_cross_clear
 */
enum pb_rc pb_cross_find(struct pb_book *book, enum pb_cross_by by, const char *key,
                         struct pb_cross *x, bool *found, struct pb_err *err);

/*
 * Enter a cross with its pollen parents, looks and harvests (of which n is set).
 *   open  is anything of it still open?
 * Only inside an act; the parents' plant.n must be set.
 */
enum pb_rc pb_cross_insert(struct pb_book *book, struct pb_cross *x, bool open,
                           struct pb_err *err);
/* Write the cross itself and its pollen parents over the row head.n; looks and harvests
 * are left alone. */
enum pb_rc pb_cross_update(struct pb_book *book, const struct pb_cross *x, bool open,
                           struct pb_err *err);

/* Enter (n = 0, n is set) or write over a harvest.  crossing: row of the cross. */
enum pb_rc pb_harvest_keep(struct pb_book *book, int64_t crossing,
                           struct pb_harvest *harvest, struct pb_err *err);
/* Withdraw a harvest: out of every count, in the history for good. */
enum pb_rc pb_harvest_withdraw(struct pb_book *book, int64_t harvest,
                               struct pb_err *err);
/* The number of the next harvest of a cross: withdrawn ones keep theirs. */
enum pb_rc pb_harvest_next(struct pb_book *book, int64_t crossing, int *number,
                           struct pb_err *err);

/* ORDER CROSS_SET: crosses.c */
enum pb_cross_set {
    PB_CROSSES_DUE,   /* open, and the seed parent is here and alive */
    PB_CROSSES_OPEN,  /* open */
    PB_CROSSES_ALL,   /* every one that was not withdrawn */
    PB_CROSSES_EVERY, /* withdrawn ones too */
    PB_CROSSES_OF     /* of the plant with row `plant`, in either role; not withdrawn */
};

/* Called for each cross in the order of entry; it is borrowed for the call. */
typedef enum pb_rc pb_cross_each(void *ctx, const struct pb_cross *x,
                                 struct pb_err *err);

/* The cost is that of the crosses in the set, not of the book. */
enum pb_rc pb_crosses_each(struct pb_book *book, enum pb_cross_set set, int64_t plant,
                           pb_cross_each *each, void *ctx, struct pb_err *err);

/* Has a live cross or plant this plant as a parent or source?  who: its code. */
enum pb_rc pb_plant_is_used(struct pb_book *book, int64_t plant, bool *used,
                            char who[PB_MAX_CODE + 1], struct pb_err *err);
/* Has a live plant been raised from this cross, is there seed or a flask of it? */
enum pb_rc pb_cross_is_used(struct pb_book *book, const char *id, bool *used,
                            char who[PB_MAX_CODE + 1], struct pb_err *err);

#endif
