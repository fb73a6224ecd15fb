/*
 * Files that are replaced whole: written beside, brought to the disk, renamed.
 *
 * Whoever reads the file sees the old content or the new, never half of one, also after a
 * power cut.  A file that is there keeps its permissions; of a symbolic link, what it
 * points to is replaced.  Until the end nothing can be seen of it but a hidden file beside.
 * A database is no text that could be made again: it is not replaced by one.
 */
#ifndef PB_EXCHANGE_REPLACE_H
#define PB_EXCHANGE_REPLACE_H

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

struct pb_replace; /* one file that is being written */

/*
 * Begin to write what path shall hold.
 *   out  yours: pb_replace_end
 * PB_EIO        the folder is missing or cannot be written; path is there and no plain
 *               file, or cannot be read; it is a link to nothing
 * PB_ECONFLICT  a database is there (of SQLite, as a book is), or path is the name of what
 *               SQLite keeps beside one
 * PB_ENOMEM
 */
enum pb_rc pb_replace_begin(const char *path, struct pb_replace **out,
                            struct pb_err *err);
/* The same for a copy of a book, which may replace a database: whether that one is for the
 * caller to say. */
enum pb_rc pb_replace_begin_book(const char *path, struct pb_replace **out,
                                 struct pb_err *err);
/* Where the new content is written until the end, for what writes files by itself; borrowed
 * until pb_replace_end. */
const char *pb_replace_beside(const struct pb_replace *f);
/* Append n bytes.  PB_EIO, such as a full disk */
enum pb_rc pb_replace_write(struct pb_replace *f, const char *bytes, size_t n,
                            struct pb_err *err);
/*
 * End it and release f: rc PB_OK puts the new content in place, anything else leaves the
 * old and is handed through.  Returns what came of it.  NULL is allowed.
 */
enum pb_rc pb_replace_end(struct pb_replace *f, enum pb_rc rc, struct pb_err *err);

/*
 * Make path hold these bytes, one of many files of a folder; a file that holds them already
 * is not touched, so that what watches the folder sees no change.  Of a link the link is
 * replaced: what it points to is none of the folder's.
 *   changed  out
 * Its content is on the disk then, its name when pb_replace_settle is done.
 */
enum pb_rc pb_replace_file(const char *path, const char *bytes, size_t n, bool *changed,
                           struct pb_err *err);

/* Bring the names in a folder to the disk, where the file system can. */
void pb_replace_settle(const char *folder);

/* Remove a file; *removed tells whether it was there. */
enum pb_rc pb_replace_remove(const char *path, bool *removed, struct pb_err *err);

/* Make a folder, if it is not there; the one above it must be. */
enum pb_rc pb_replace_folder(const char *path, struct pb_err *err);

#endif
