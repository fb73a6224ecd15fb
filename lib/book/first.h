/*
 * The first act of a new book.  Internal to lib/book.
 *
 * It is written into a file beside, which gets the book's name when the act is done: so an
 * act that fails leaves nothing behind, and no other process ever opens a file that is then
 * taken away - what it had written would be lost with it.
 */
#ifndef PB_BOOK_FIRST_H
#define PB_BOOK_FIRST_H

#include "book/db.h"

/*
 * Open a new book: nothing is at its path.
 *   made  out: another podbook made it meanwhile, it is to be opened as any other
 * PB_EIO  no file can be made in that folder
 */
enum pb_rc pb_first_open(struct pb_book *b, bool *made, struct pb_err *err);

/*
 * Its first act is done: give the file its name and go on with it there.  Does nothing where
 * the book was there before.
 * PB_ECONFLICT  another process was faster: nothing was written, the book is theirs now
 */
enum pb_rc pb_first_place(struct pb_book *b, struct pb_err *err);

/* Remove what lies beside, the book being closed. */
void pb_first_drop(struct pb_book *b);

#endif
