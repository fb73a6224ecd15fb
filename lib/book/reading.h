/*
 * Opening a book for reading.
 *
 * Where it can be written it is opened so, for the caches.  Where it cannot, it is locked
 * against writers all the same if that needs nothing made beside it; else it is read as the
 * file stands, and pb_book_check_same tells whether it stood.
 */
#ifndef PB_BOOK_READING_H
#define PB_BOOK_READING_H

#include "book/db.h"

/*
 * Open the file at b->path; where nothing is, an empty book in memory.
 *   check  nothing at all is changed (PB_BOOK_CHECK)
 * PB_EIO  as pb_book_open; the newest commands are in a journal that cannot be read here
 */
enum pb_rc pb_reading_open(struct pb_book *b, bool check, struct pb_err *err);

#endif
