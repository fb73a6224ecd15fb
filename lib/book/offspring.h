/* Plants of the book by what they came from. */
#ifndef PB_BOOK_OFFSPRING_H
#define PB_BOOK_OFFSPRING_H

#include "book/book.h"
#include "core/record.h"

/* ORDER OFFSPRING: offspring.c */
enum pb_offspring_of {
    PB_OFFSPRING_OF_PLANT, /* its pups, cuttings and divisions */
    PB_OFFSPRING_OF_BATCH, /* out of a flask, a cutting that was potted */
    PB_OFFSPRING_OF_CROSS, /* raised from it */
    PB_OFFSPRING_N
};

struct pb_offspring {
    struct pb_ref plant;
    enum pb_origin origin;
    pb_day got;
    enum pb_gone gone;
    pb_day gone_on;
    bool elsewhere; /* in another collection */
};

/* Called for each; it is borrowed for the call. */
typedef enum pb_rc pb_offspring_each(void *ctx, const struct pb_offspring *o,
                                     struct pb_err *err);

/* Those that came from a record, in the order of entry; withdrawn ones are left out. */
enum pb_rc pb_offspring_of(struct pb_book *book, enum pb_offspring_of of,
                           const struct pb_ref *record, pb_offspring_each *each,
                           void *ctx, struct pb_err *err);

#endif
