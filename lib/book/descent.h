/* Who descends from whom, as far as the book knows. */
#ifndef PB_BOOK_DESCENT_H
#define PB_BOOK_DESCENT_H

#include "book/book.h"
#include "core/record.h"

/*
 * Does a plant descend from itself: by clone, by a stated parent, by the cross that it was
 * raised from?  Of a cross: does any plant raised from it?
 *   kind  PB_PLANT or PB_CROSS
 *   row   of it
 *   does  out
 * To be asked after a parent was written, inside the act that wrote it.
 * Cost: that of all its ancestors.
 */
enum pb_rc pb_descends_from_itself(struct pb_book *book, enum pb_kind kind, int64_t row,
                                   bool *does, struct pb_err *err);

/*
 * The pups, cuttings and divisions of a plant, at any remove, in the order of entry;
 * withdrawn ones too.
 *   codes  in: NULL, n 0; out: yours (free), on an error too
 */
enum pb_rc pb_clone_below(struct pb_book *book, int64_t plant,
                          char (**codes)[PB_MAX_CODE + 1], size_t *n,
                          struct pb_err *err);

#endif
