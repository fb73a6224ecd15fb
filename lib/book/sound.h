/*
 * Is the book sound?  What its file, its form and its codes tell without knowing what the
 * records mean; act/verify.h asks on.  Only reads.
 */
#ifndef PB_BOOK_SOUND_H
#define PB_BOOK_SOUND_H

#include "book/book.h"
#include "core/record.h"

/* What a fault is about.  ORDER CHECK: pb_check_names */
enum pb_check {
    PB_CHECK_FILE,     /* the file itself */
    PB_CHECK_FORM,     /* tables, indexes and triggers as podbook makes them */
    PB_CHECK_LINK,     /* a row that refers to none */
    PB_CHECK_HISTORY,  /* which command took back which */
    PB_CHECK_CODE,     /* codes and ids are one record's, and are not given again */
    PB_CHECK_TEXT,     /* a text that cannot leave the book */
    PB_CHECK_NUMBER,   /* a number that no other book would receive */
    PB_CHECK_ORIGIN,   /* what a record came of, and what that says */
    PB_CHECK_DAY,      /* what came before what it came from */
    PB_CHECK_LOOKS,    /* looks and harvests of a record contradict each other */
    PB_CHECK_COUNT,    /* more came out than was in */
    PB_CHECK_OPEN,     /* whether a record is still followed */
    PB_CHECK_DERIVED,  /* what is stored beside what it follows from */
    PB_CHECK_REMINDER, /* what calendars were told */
    PB_CHECK_LEARNT,   /* what the capsules taught */
    PB_CHECK_N
};
extern const char *const pb_check_names[PB_CHECK_N];

/* What is wrong, and what to do about it.  Strings are borrowed for the call. */
struct pb_fault {
    enum pb_check check;
    const char *code; /* of the record, NULL: of none */
    const char *what;
    const char *remedy;
};
typedef enum pb_rc pb_fault_each(void *ctx, const struct pb_fault *f,
                                 struct pb_err *err);

/*
 * Tell each fault of file, form, links, history and codes.
 *   damaged  out: the file itself is; nothing more was looked at, and reading on may fail
 */
enum pb_rc pb_book_faults(struct pb_book *book, pb_fault_each *each, void *ctx,
                          bool *damaged, struct pb_err *err);

/* Does the book say that a cross or batch is open?  row: in its kind's table. */
enum pb_rc pb_book_says_open(struct pb_book *book, enum pb_kind kind, int64_t row,
                             bool *open, struct pb_err *err);

/* Has a record of the book that code, or had one once? */
enum pb_rc pb_book_knows_code(struct pb_book *book, const char *code, bool *knows,
                              struct pb_err *err);

#endif
