/*
 * Is a book's file whole, and does each row refer to one that is there?  What a copy is held
 * to, and what is asked first of a book (sound.h).  Internal to lib/book.
 */
#ifndef PB_BOOK_INTACT_H
#define PB_BOOK_INTACT_H

#include "book/sound.h"

/* What is to be done about a file that is not. */
extern const char pb_intact_remedy[];

/* Each row of its answer is a fault: a code or NULL, and what is wrong. */
struct pb_question {
    enum pb_check check;
    const char *sql, *remedy;
};
enum pb_rc pb_intact_ask(struct pb_book *book, const struct pb_question *q,
                         pb_fault_each *each, void *ctx, struct pb_err *err);

/*
 * Tell each fault of the file.
 *   damaged  out: it cannot be read from end to end; else a value is none of its column's
 * PB_EIO  a page could not be had, which says nothing of the file   PB_ENOMEM
 */
enum pb_rc pb_intact_file(struct pb_book *book, pb_fault_each *each, void *ctx,
                          bool *damaged, struct pb_err *err);
/* Tell each row that refers to none, in a file that is not damaged. */
enum pb_rc pb_intact_links(struct pb_book *book, pb_fault_each *each, void *ctx,
                           struct pb_err *err);

/* Is there no fault of either? */
enum pb_rc pb_intact(struct pb_book *book, bool *is, struct pb_err *err);

#endif
