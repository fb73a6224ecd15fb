/*
 * What calendars were last told: one row a reminder, by its UID.
 *
 * A cache, out of the history: losing it makes every calendar start over, with the same
 * UIDs, and loses no fact.
 */
#ifndef PB_BOOK_REMINDERS_H
#define PB_BOOK_REMINDERS_H

#include "base/hash.h"
#include "book/book.h"
#include "core/record.h"

struct pb_kept {
    char uid[PB_ID_TEXT];
    char code[PB_MAX_CODE + 1]; /* of the record that it belongs to */
    char hash[PB_HASH_TEXT];    /* of the content */
    int sequence;               /* changes so far, from 0 */
    int64_t created, stamp;     /* first kept, last changed: s since 1970 UTC */
    pb_day withdrawn_on;        /* day it was taken out, PB_DAY_NONE: it stands */
    const char *content;        /* what was said, as the caller packed it; borrowed */
};

/* What is kept of a UID; content is left NULL. */
enum pb_rc pb_reminder_find(struct pb_book *book, const char *uid, struct pb_kept *kept,
                            bool *found, struct pb_err *err);

/* Called for each, UIDs ascending; borrowed for the call, which must not write. */
typedef enum pb_rc pb_kept_each(void *ctx, const struct pb_kept *kept,
                                struct pb_err *err);
/* code: of the record, without regard to case; NULL: all. */
enum pb_rc pb_reminders_each(struct pb_book *book, const char *code, pb_kept_each *each,
                             void *ctx, struct pb_err *err);

/* Keep it, over what was kept of its UID.  Only between begin and end. */
enum pb_rc pb_reminder_keep(struct pb_book *book, const struct pb_kept *kept,
                            struct pb_err *err);
enum pb_rc pb_reminder_forget(struct pb_book *book, const char *uid,
                              struct pb_err *err);

#endif
