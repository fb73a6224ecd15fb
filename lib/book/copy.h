/*
 * Copies of the book: one file each, checked, a book like any other.
 *
 * The book may be in use meanwhile.  What is copied is one state of it: every act whole.
 */
#ifndef PB_BOOK_COPY_H
#define PB_BOOK_COPY_H

#include "book/book.h"

struct pb_copied {
    int64_t acts;  /* that its history holds */
    int64_t bytes; /* of the file */
};

/*
 * May a copy of the book be put at path?  Where nothing is, or an older copy of this book.
 * PB_ENOTFOUND  there is no book yet
 * PB_ECONFLICT  the book itself lies there, or something that no copy of it may replace
 * PB_EIO        what is there cannot be read
 */
enum pb_rc pb_book_copy_check(struct pb_book *book, const char *path,
                              struct pb_err *err);

/*
 * Copy what the book holds, bring it to the disk, read it again and check it.
 *   into   an empty file, in a folder where SQLite may put another beside it
 *   shown  the path that messages name
 *   made   out; NULL: not asked for, as of a book whose form is not today's
 * PB_EIO  not written, or what was written does not check
 */
enum pb_rc pb_book_copy(struct pb_book *book, const char *into, const char *shown,
                        struct pb_copied *made, struct pb_err *err);

#endif
