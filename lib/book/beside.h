/*
 * A file that is written beside and gets its name when it is whole.  Internal to lib/book.
 */
#ifndef PB_BOOK_BESIDE_H
#define PB_BOOK_BESIDE_H

#include "base/err.h"

#include <stdbool.h>

/*
 * Make an empty file in the folder of path.
 *   beside  out: its path, yours (free)
 * PB_EIO  no file can be made in that folder
 */
enum pb_rc pb_beside_make(const char *path, char **beside, struct pb_err *err);

/* Give it the name path, unless something has that already: false, and it is where it was.
 * Where the file system knows no second names there is a moment in which somebody else's
 * file of that name may go under. */
bool pb_beside_take(const char *beside, const char *path);

/* The names of the folder of path, onto the disk. */
void pb_beside_settle(const char *path);

#endif
