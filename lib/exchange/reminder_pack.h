/*
 * The content of a reminder as one line of JSON: how the book keeps what a calendar was
 * told, so that it can be said again, or taken back, when its record no longer asks for it.
 */
#ifndef PB_EXCHANGE_REMINDER_PACK_H
#define PB_EXCHANGE_REMINDER_PACK_H

#include "base/buf.h"
#include "exchange/reminder.h"

/*
 * Append the content: days, texts, category, status, guess, alarms; keys sorted, nothing
 * that is not given.  Not the uid, created, stamp and sequence.
 *   r  fit by pb_reminder_check
 */
enum pb_rc pb_reminder_pack(const struct pb_reminder *r, struct pb_buf *out,
                            struct pb_err *err);

/*
 * Read it back.
 *   r     the content is filled, the rest left alone
 *   hold  its content is replaced by the texts that r then borrows
 * PB_EPARSE  not such a line
 */
enum pb_rc pb_reminder_unpack(const char *line, struct pb_reminder *r,
                              struct pb_buf *hold, struct pb_err *err);

#endif
