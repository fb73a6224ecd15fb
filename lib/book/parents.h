/*
 * Parents of many crosses, read one after the other: a plant is the parent of many of them
 * and is read from the book once for all.  Internal to book.
 */
#ifndef PB_BOOK_PARENTS_H
#define PB_BOOK_PARENTS_H

#include "book/plants.h"

enum { PB_PARENTS_PLACES = 2048 };

struct pb_parents {
    struct pb_parent *v;               /* by row; NULL: none yet */
    uint16_t taken[PB_PARENTS_PLACES]; /* places that were, each once */
    size_t taken_n;
};

/*
 * The parent of a row, as pb_parent_load.
 *   m  in: zero, or from calls before while no plant was written; pb_parents_clear.
 *      NULL: nothing is remembered
 * Two plants of one place put each other out.  Cost: a query for each that is not there.
 */
enum pb_rc pb_parents_load(struct pb_parents *m, struct pb_book *book, int64_t plant,
                           struct pb_parent *parent, struct pb_err *err);
void pb_parents_clear(struct pb_parents *m);

#endif
