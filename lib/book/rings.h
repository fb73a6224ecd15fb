/*
 * Records that come of themselves, which no act lets in: a plant among its own ancestors, a
 * flask that was filled from itself.  Internal to verify.
 */
#ifndef PB_BOOK_RINGS_H
#define PB_BOOK_RINGS_H

#include "book/sound.h"

/*
 * Tell each plant of a ring of plants and each flask of a ring of flasks, withdrawn ones
 * too; of rings that share records at least so many that none is left when they are put
 * right.  Each parent of mixed pollen counts.
 * Cost: that of all plants and flasks; about 80 bytes a plant.
 */
enum pb_rc pb_book_rings(struct pb_book *book, pb_fault_each *each, void *ctx,
                         struct pb_err *err);

#endif
