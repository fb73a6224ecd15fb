/*
 * Civil days: the Gregorian calendar as day numbers.  Pure: knows no clock and no zone.
 *
 * A pb_day counts days from 1970-01-01 (day 0).  The supported years are 1583, the first
 * whole year of the Gregorian calendar, to 9999.
 * Source of the conversions: the "days from civil" algorithm on 400-year eras with the
 * year starting in March; checked against GNU date and Python's datetime in the tests.
 */
#ifndef PB_CORE_CIVIL_H
#define PB_CORE_CIVIL_H

#include "base/err.h"

#include <stdbool.h>
#include <stdint.h>

typedef int32_t pb_day;

#define PB_DAY_MIN  ((pb_day)-141349) /* 1583-01-01 */
#define PB_DAY_MAX  ((pb_day)2932896) /* 9999-12-31 */
#define PB_DAY_NONE INT32_MIN         /* no such day; never valid */

enum { PB_DAY_TEXT = 11 }; /* YYYY-MM-DD and the NUL */

/* Day number of a date; PB_DAY_NONE where the date does not exist or the year is out. */
pb_day pb_day_from_ymd(int year, int month, int day);

/* The date of a valid day; month 1..12, day 1..31. */
void pb_day_to_ymd(pb_day d, int *year, int *month, int *day);

/* Monday 0 .. Sunday 6 (ISO 8601 order). */
int pb_day_weekday(pb_day d);
const char *pb_day_weekday_name(pb_day d); /* "Mon" .. "Sun"; static */
const char *pb_day_month_name(int month);  /* "January" ..; static */

/* Write YYYY-MM-DD; text has room for PB_DAY_TEXT.  Returns text. */
char *pb_day_format(pb_day d, char text[PB_DAY_TEXT]);

/* d + n days, held inside the supported years; PB_DAY_NONE stays. */
pb_day pb_day_add(pb_day d, int32_t n);

/*
 * Strict YYYY-MM-DD.
 *   what  option or field, for the message
 * PB_EPARSE  another form, or a date that does not exist (30 February)
 */
enum pb_rc pb_day_parse_iso(const char *what, const char *text, pb_day *day,
                            struct pb_err *err);

/*
 * A date as a grower types it: YYYY-MM-DD, today, yesterday, tomorrow, or a signed
 * distance from today in days or weeks: -3d, +2w.
 *   today  what "today" is
 * PB_EPARSE  another form, a date that does not exist, or one outside the years
 */
enum pb_rc pb_day_parse(const char *what, const char *text, pb_day today, pb_day *day,
                        struct pb_err *err);

#endif
