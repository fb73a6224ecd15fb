/*
 * Reminders for calendars: made from the tasks of records, and set against what calendars
 * were told before.
 *
 * A task that waits is a reminder, planned.  One that a look or harvest has answered is
 * said as done, if a calendar ever had it.  One that nobody asks for any more (the record
 * was withdrawn, a cross dropped its capsules, lost its seed parent) is said as withdrawn.  Done
 * and withdrawn ones are shown for a time and then left out.  The UID follows from the
 * record and the task, so a task that moves keeps it.
 */
#ifndef PB_ACT_REMIND_H
#define PB_ACT_REMIND_H

#include "act/act.h"
#include "core/reminder.h"

enum {
    PB_REMIND_SHOWN_DAYS = 60, /* that a done or withdrawn one is shown */
    PB_REMIND_KEPT_DAYS = 400  /* that it is kept: its file can be removed, its number
                                  does not begin anew if it comes back */
};

/* The records that a call is about. */
struct pb_remind_codes {
    const char *const *v; /* as typed; borrowed */
    size_t n;             /* 0: all records */
};

/*
 * Bring what the book keeps of reminders up to date, in one transaction that leaves no
 * trace in the history.  A reminder whose content has changed gets the next sequence
 * number and the stamp of now; the others stay as they are, to the byte.
 * Cost: that of the open records and of the reminders of about a year.
 * A code that is of no such record is passed over: pb_act_reminders says why.
 * PB_EPARSE, PB_ELIMIT  a text of the book that no calendar may hold; names the record
 */
enum pb_rc pb_act_remind(struct pb_act *a, const struct pb_remind_codes *codes,
                         struct pb_err *err);

/*
 * One reminder as it is kept, UIDs ascending; borrowed for the call.
 *   shown  false: its time is over, it belongs in no calendar any more
 */
typedef enum pb_rc pb_remind_each(void *ctx, const struct pb_reminder *r, bool shown,
                                  struct pb_err *err);

/*
 * Each reminder of the records, as the book keeps it.  Only reads.
 * PB_ENOTFOUND, PB_EINVALID  a code that is of no record that has work    PB_EPARSE  a damaged row
 */
enum pb_rc pb_act_reminders(struct pb_act *a, const struct pb_remind_codes *codes,
                            pb_remind_each *each, void *ctx, struct pb_err *err);

#endif
