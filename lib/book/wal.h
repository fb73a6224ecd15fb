/*
 * The journal of a book: WAL where its place allows it, one sync an act; elsewhere the
 * rollback journal, slower and as safe.
 */
#ifndef PB_BOOK_WAL_H
#define PB_BOOK_WAL_H

#include "book/db.h"

/* WAL, where the book's place allows it. */
void pb_wal_prefer(struct pb_book *b);

/* Does the header of the file at path say that it is a book with WAL? */
bool pb_wal_has(const char *path);

/*
 * Of a book that was brought to a place where WAL is not safe: leave it.  In exclusive mode
 * SQLite does without the shared memory, which must not be used once there.  Where somebody
 * else has the book open it stays as it is.
 */
void pb_wal_leave(struct pb_book *b);

/* What another podbook left in the journal beside the book stays there when b is closed. */
void pb_wal_leave_to_others(struct pb_book *b);

#endif
