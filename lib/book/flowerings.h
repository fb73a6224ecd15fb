/* Flowerings in the book. */
#ifndef PB_BOOK_FLOWERINGS_H
#define PB_BOOK_FLOWERINGS_H

#include "book/book.h"
#include "core/bloom.h"

/* The newest flowering of a plant; number 0 where there is none. */
enum pb_rc pb_flowering_newest(struct pb_book *book, int64_t plant,
                               struct pb_flowering *f, struct pb_err *err);

/* Enter it (n = 0, n is set) or write over the row n.  Only inside an act. */
enum pb_rc pb_flowering_keep(struct pb_book *book, struct pb_flowering *f,
                             struct pb_err *err);

/* Called for each flowering; it is borrowed for the call. */
typedef enum pb_rc pb_flowering_each(void *ctx, const struct pb_flowering *f,
                                     struct pb_err *err);

/*
 * Flowerings with flowers open on a day, of living plants, by the plants' codes.  The cost
 * is that of the flowerings that are not over.
 */
enum pb_rc pb_flowerings_open(struct pb_book *book, pb_day today,
                              pb_flowering_each *each, void *ctx, struct pb_err *err);

/* All flowerings of a plant, in their order. */
enum pb_rc pb_flowerings_of(struct pb_book *book, int64_t plant,
                            pb_flowering_each *each, void *ctx, struct pb_err *err);

#endif
