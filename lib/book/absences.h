/* Absences: days on which nobody looks. */
#ifndef PB_BOOK_ABSENCES_H
#define PB_BOOK_ABSENCES_H

#include "book/book.h"
#include "core/record.h"
#include "core/span.h"

struct pb_absence {
    int64_t n;
    char id[PB_ID_TEXT];
    struct pb_span span;
};

/* Keep one; n is set.  Only inside an act. */
enum pb_rc pb_absence_insert(struct pb_book *book, struct pb_absence *absence,
                             struct pb_err *err);
/* Take away the one of exactly these days; *gone tells whether there was one. */
enum pb_rc pb_absence_remove(struct pb_book *book, struct pb_span span, bool *gone,
                             struct pb_err *err);

/*
 * Those that end on a day or after it, in order.
 *   list  out: yours (free), NULL where there is none
 */
enum pb_rc pb_absences_from(struct pb_book *book, pb_day day, struct pb_absence **list,
                            size_t *n, struct pb_err *err);

#endif
