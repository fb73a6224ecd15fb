/*
 * Is the book what podbook would have written?  Every record is followed from its facts,
 * and what is stored beside them is worked out again.
 */
#ifndef PB_ACT_VERIFY_H
#define PB_ACT_VERIFY_H

#include "act/act.h"
#include "book/sound.h"

/* What was looked at. */
struct pb_verified {
    int64_t faults, plants, crosses, batches;
    bool damaged; /* the file itself is: the records were not looked at */
};

/*
 * Tell every fault of the book: those of pb_book_faults, then of each record - days before
 * those of what it came from or after today, looks that contradict each other, more taken
 * out than was in, `open` that does not follow from the looks - and of the caches, what
 * calendars were told and what the capsules taught.
 *   a     its book is best opened with PB_BOOK_CHECK
 *   each  called for each fault
 *   v     out
 * Changes nothing.  Cost: that of the book.
 * PB_ENOTFOUND  there is no book
 */
enum pb_rc pb_act_verify(struct pb_act *a, pb_fault_each *each, void *ctx,
                         struct pb_verified *v, struct pb_err *err);

#endif
