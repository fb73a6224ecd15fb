/*
 * One reminder, as it goes into a calendar: what, when, and how often it has changed.
 *
 * Pure data; the texts are borrowed.  pb_reminder_check is the guard in front of the
 * calendar library, which would write nearly anything.
 */
#ifndef PB_CORE_REMINDER_H
#define PB_CORE_REMINDER_H

#include "base/hash.h"
#include "core/record.h"
#include "core/span.h"

/* ORDER REMINDER_STATUS: pb_reminder_statuses, rows in calendar.c */
enum pb_reminder_status {
    PB_REMINDER_PLANNED,
    PB_REMINDER_DONE,
    PB_REMINDER_WITHDRAWN, /* it was in a calendar and must not be believed any more */
    PB_REMINDER_STATUS_N
};
extern const char *const pb_reminder_statuses[PB_REMINDER_STATUS_N];

struct pb_reminder {
    char uid[PB_ID_TEXT];    /* pb_uid_of_task */
    const char *summary;     /* one line, at most PB_MAX_TEXT bytes */
    const char *description; /* lines, none of them empty, between "\n"; NULL: none */
    const char *category; /* without a comma, at most PB_MAX_NAME bytes; NULL: none */
    struct pb_span span;  /* whole days, both ends inside */
    enum pb_reminder_status status;
    pb_day done_on;         /* of PB_REMINDER_DONE, else PB_DAY_NONE */
    bool guess;             /* the days rest on a guess */
    bool alarm_first;       /* at 09:00 of the first day */
    bool alarm_last;        /* at 09:00 of the last day, where that is another day */
    int64_t created, stamp; /* first made, last changed: s since 1970 UTC */
    int sequence;           /* how often it has changed, from 0 */
};

/*
 * May it be written?
 * PB_EPARSE    a text that is not UTF-8, holds a control character, is empty, begins or
 *              ends a line with a blank; a comma or semicolon in the category; a UID that
 *              is no UUID
 * PB_ELIMIT    a text that is too long; a window or an instant outside the years
 *              1583 to 2999
 * PB_EINVALID  days that do not exist or run backwards; done without a day; a negative
 *              sequence; a status that is none
 * The message names the field.
 */
enum pb_rc pb_reminder_check(const struct pb_reminder *r, struct pb_err *err);

/*
 * Hash of what a person would call a change: days, texts, category, status, guess, alarms.
 * Not of the uid, created, stamp and sequence.  text has room for PB_HASH_TEXT; returns it.
 */
char *pb_reminder_hash(const struct pb_reminder *r, char text[PB_HASH_TEXT]);

#endif
