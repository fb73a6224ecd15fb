/* What every connection to a book begins with.  Internal to lib/book. */
#ifndef PB_BOOK_CONNECT_H
#define PB_BOOK_CONNECT_H

#include "book/db.h"
#include "book/migrate.h"

/* Tell a connection what every one is told first.  PB_EIO, PB_ENOMEM */
enum pb_rc pb_connect_set_up(struct pb_book *b, struct pb_err *err);

/* Open an empty book in memory at b, which stands for one that is not there.  PB_ENOMEM */
enum pb_rc pb_connect_memory(struct pb_book *b, struct pb_err *err);

/*
 * Is the file a book, and not of a later podbook?
 *   empty  out: nothing is in it yet
 *   h      out: what it says of itself
 * PB_EIO  it is not
 */
enum pb_rc pb_connect_check(struct pb_book *b, bool *empty, struct pb_header *h,
                            struct pb_err *err);

#endif
