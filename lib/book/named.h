/*
 * Plants that a record names, by the little that is asked of them each time.  Internal: a
 * whole plant is read from six tables, and records name the same ones again and again.
 */
#ifndef PB_BOOK_NAMED_H
#define PB_BOOK_NAMED_H

#include "book/book.h"

#include <stdint.h>

enum { PB_NAMED_ONLY = 2 }; /* in the column elsewhere */

struct pb_named {
    int64_t n;    /* 0: the book does not have it */
    bool only;    /* no record of its own came yet */
    bool derived; /* divided, potted or raised from something: that has its days too */
    pb_day got;   /* came to this collection; PB_DAY_NONE, before all days: not told */
};

/* By the plant's id. */
enum pb_rc pb_plant_named(struct pb_book *book, const char *id, struct pb_named *named,
                          struct pb_err *err);

#endif
