/* Books of an older form.  Internal to lib/book. */
#ifndef PB_BOOK_MIGRATE_H
#define PB_BOOK_MIGRATE_H

#include "book/db.h"

/* What the file's header says. */
struct pb_header {
    int application, version, tables;
};
enum pb_rc pb_header_read(struct pb_book *b, struct pb_header *h, struct pb_err *err);

/* From form `from` (0: an empty file) to today's; inside a transaction. */
enum pb_rc pb_migrate(struct pb_book *b, int from, struct pb_err *err);

/*
 * Bring an open book of an older form to today's: whole, or it stays what it is.  First it is
 * copied beside itself, the copy brought to the disk, read again and checked; b->before names
 * it.  Nobody writes to the book between the copy and the change.
 * PB_EIO  it cannot be copied, or what came of it does not check: the book is as it was
 */
enum pb_rc pb_migrate_old(struct pb_book *b, int version, struct pb_err *err);

#endif
