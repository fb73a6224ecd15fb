/* Stored pollen in the book. */
#ifndef PB_BOOK_POLLENS_H
#define PB_BOOK_POLLENS_H

#include "book/book.h"
#include "core/bloom.h"

/*
 * Find a lot by its code (without regard to case), withdrawn or not.
 *   lot  in: initialised; out, where *found: filled; pb_pollen_lot_clear
 */
enum pb_rc pb_pollen_find(struct pb_book *book, const char *code,
                          struct pb_pollen_lot *lot, bool *found, struct pb_err *err);

/* Enter a lot; plant.n must be set, head.n is set.  Only inside an act. */
enum pb_rc pb_pollen_insert(struct pb_book *book, struct pb_pollen_lot *lot,
                            struct pb_err *err);
/* Write all of it over the row head.n.  Only inside an act. */
enum pb_rc pb_pollen_update(struct pb_book *book, const struct pb_pollen_lot *lot,
                            struct pb_err *err);

/* ORDER POLLEN_SET: pollens.c */
enum pb_pollen_set {
    PB_POLLEN_LEFT,  /* neither used up nor withdrawn */
    PB_POLLEN_EVERY, /* all */
    PB_POLLEN_OF     /* of the plant with row `plant`; not withdrawn */
};

/* Called for each lot in the order of entry; it is borrowed for the call. */
typedef enum pb_rc pb_pollen_each(void *ctx, const struct pb_pollen_lot *lot,
                                  struct pb_err *err);
enum pb_rc pb_pollens_each(struct pb_book *book, enum pb_pollen_set set, int64_t plant,
                           pb_pollen_each *each, void *ctx, struct pb_err *err);

/* Has a live cross of the same plant used this lot?  who: its code. */
enum pb_rc pb_pollen_is_used(struct pb_book *book, const struct pb_pollen_lot *lot,
                             bool *used, char who[PB_MAX_CODE + 1], struct pb_err *err);

#endif
