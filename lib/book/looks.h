/* Looks in the book, of whatever record they are. */
#ifndef PB_BOOK_LOOKS_H
#define PB_BOOK_LOOKS_H

#include "book/book.h"
#include "core/course.h"

/* The record that looks are of: its kind, and its row in the kind's table. */
struct pb_looked {
    enum pb_kind kind; /* of a plant: the looks after its flowering */
    int64_t row;
};

/*
 * The looks of a record that were not withdrawn, by number.
 *   v, n  in: NULL and 0; out: an array, yours (pb_look_clear each, then free); on an error
 *         too, as far as it got
 */
enum pb_rc pb_looks_load(struct pb_book *book, struct pb_looked of, struct pb_look **v,
                         size_t *n, struct pb_err *err);

/* Enter a look (n = 0, n is set) or write over it. */
enum pb_rc pb_look_keep(struct pb_book *book, struct pb_looked of, struct pb_look *look,
                        struct pb_err *err);
/* Withdraw it: out of every count, in the history for good. */
enum pb_rc pb_look_withdraw(struct pb_book *book, int64_t look, struct pb_err *err);
/* The number of the next look of a record: withdrawn ones keep theirs. */
enum pb_rc pb_look_next(struct pb_book *book, struct pb_looked of, int *number,
                        struct pb_err *err);

#endif
