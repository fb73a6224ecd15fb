/*
 * Records that contradict each other about what they came of: a plant and the flask that it
 * came out of, a flask and its seed lot, a seed lot and its harvest.
 */
#ifndef PB_BOOK_PROVENANCE_H
#define PB_BOOK_PROVENANCE_H

#include "book/sound.h"

/* Of which records. */
enum pb_provenance {
    PB_PROVENANCE_ALL,
    PB_PROVENANCE_PLANT, /* a plant, and what it came out of */
    PB_PROVENANCE_BATCH, /* a batch, what it came from and what came out of it: their
                            crosses */
    PB_PROVENANCE_LOT,   /* a seed lot, and its harvest: the capsules */
    PB_PROVENANCE_CROSS /* the harvests of a cross, and their seed lots: the capsules; lots
                           from elsewhere that no harvest is left for */
};

/*
 * Tell each contradiction, with the code of the record that came later; its text names that
 * too.  Withdrawn ones are passed over.
 *   row  of the record; of PB_PROVENANCE_ALL 0
 * Cost: that of the records asked for.
 */
enum pb_rc pb_provenance_faults(struct pb_book *book, enum pb_provenance of,
                                int64_t row, pb_fault_each *each, void *ctx,
                                struct pb_err *err);

#endif
