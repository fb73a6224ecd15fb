/*
 * Reminders as iCalendar text (RFC 5545), written one at a time.
 *
 * A file is what pb_calendar_begin, one pb_calendar_add a reminder and pb_calendar_end
 * append, in this order; written out and reset between the calls, the buffer stays small
 * whatever the number of reminders.  The bytes depend on the reminders alone: no clock, no
 * locale, no zone, and not on where the library likes to break its lines.
 *
 * Whole days; the end that the format wants, the day after, is made here.  There is no
 * METHOD and no ORGANIZER: with either, the file is a message between people and some
 * programs ask for an answer.  Nothing blocks time (TRANSP:TRANSPARENT).
 *
 * One thread at a time, as the library behind it.
 */
#ifndef PB_EXCHANGE_CALENDAR_H
#define PB_EXCHANGE_CALENDAR_H

#include "base/buf.h"
#include "core/reminder.h"

enum { PB_CALENDAR_CHUNK = 65536 }; /* bytes; no call appends more */

/* Never both in one file: many programs refuse or drop what holds to-dos. */
enum pb_calendar_form { PB_CALENDAR_EVENTS, PB_CALENDAR_TO_DOS };

struct pb_calendar; /* the loaded library and the state of one file */

/*
 * Load the calendar library; several files may be written, one after the other.
 * Release with pb_calendar_close.
 * PB_EIO  it is not installed; the message names the package    PB_ENOMEM
 */
enum pb_rc pb_calendar_open(struct pb_calendar **cal, struct pb_err *err);
void pb_calendar_close(struct pb_calendar *cal);

/*
 * Append the head of a file.
 *   out  appended; the caller's, with room for PB_CALENDAR_CHUNK more bytes
 * PB_ENOMEM    PB_ELIMIT  out is too small; it then stays failed    PB_EIO  library
 */
enum pb_rc pb_calendar_begin(struct pb_calendar *cal, enum pb_calendar_form form,
                             struct pb_buf *out, struct pb_err *err);

/*
 * Append one reminder, UIDs ascending, so that none can stand in a file twice.
 *   r  borrowed for the call.  A withdrawn one says so in its status and its summary (some
 *      programs show only the latter), a done event in its summary; neither has alarms
 * An alarm is at 09:00 of the day, in the zone of whoever reads the calendar.  A to-do of
 * several days has a start and is due on its last day; one of a single day has only the
 * day it is due, for the format wants due after start.
 * PB_EINVALID  a UID that is not after the one before
 * and the errors of pb_reminder_check and pb_calendar_begin
 */
enum pb_rc pb_calendar_add(struct pb_calendar *cal, const struct pb_reminder *r,
                           struct pb_buf *out, struct pb_err *err);

/* Append the foot.  A file without reminders is a whole one too. */
enum pb_rc pb_calendar_end(struct pb_calendar *cal, struct pb_buf *out,
                           struct pb_err *err);

#endif
