/*
 * What calendars were last told: one row a reminder, by its UID.
 *
 * A cache, out of the history: losing it makes every calendar start over, with the same
 * UIDs, and loses no fact.
 */
#ifndef PB_BOOK_REMINDERS_H
#define PB_BOOK_REMINDERS_H

#include "base/buf.h"
#include "base/hash.h"
#include "book/book.h"
#include "core/reminder.h"

struct pb_kept {
    struct pb_reminder said;    /* its texts are borrowed */
    char code[PB_MAX_CODE + 1]; /* of the record that it belongs to */
    char hash[PB_HASH_TEXT];    /* of what was said: pb_reminder_hash */
    pb_day withdrawn_on;        /* day it was taken out, PB_DAY_NONE: it stands */
};

/* How much of a row is read. */
enum pb_kept_part {
    PB_KEPT_HEAD, /* all but what is said; of that uid, done_on, created, stamp, sequence */
    PB_KEPT_WHOLE,
};

/*
 * What is kept of a UID.  A book that others wrote in may hold anything there:
 * pb_reminder_check tells.
 *   hold  its content is replaced by the texts that kept then borrows; NULL: the head alone
 * PB_ELIMIT  the texts are longer than hold may become
 */
enum pb_rc pb_reminder_find(struct pb_book *book, const char *uid, struct pb_kept *kept,
                            struct pb_buf *hold, bool *found, struct pb_err *err);

/* Called for each, UIDs ascending; borrowed for the call, which must not write. */
typedef enum pb_rc pb_kept_each(void *ctx, const struct pb_kept *kept,
                                struct pb_err *err);
/* code: of the record, without regard to case; NULL: all. */
enum pb_rc pb_reminders_each(struct pb_book *book, const char *code,
                             enum pb_kept_part part, pb_kept_each *each, void *ctx,
                             struct pb_err *err);

/* Keep it, over what was kept of its UID.  Only between begin and end.
 *   kept  what is said is fit by pb_reminder_check */
enum pb_rc pb_reminder_keep(struct pb_book *book, const struct pb_kept *kept,
                            struct pb_err *err);
enum pb_rc pb_reminder_forget(struct pb_book *book, const char *uid,
                              struct pb_err *err);

#endif
