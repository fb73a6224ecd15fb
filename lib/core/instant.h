/*
 * Instants as text: seconds since 1970-01-01T00:00:00Z, written as RFC 3339 in UTC.
 *
 * Pure: knows no clock and no zone.  The years are those of civil.h; leap seconds have no
 * number of their own and are refused.
 */
#ifndef PB_CORE_INSTANT_H
#define PB_CORE_INSTANT_H

#include "core/civil.h"

enum { PB_INSTANT_TEXT = 21 }; /* YYYY-MM-DDTHH:MM:SSZ and the NUL */

#define PB_INSTANT_MIN ((int64_t)PB_DAY_MIN * 86400)
#define PB_INSTANT_MAX ((int64_t)PB_DAY_MAX * 86400 + 86399)

/* Write it; one outside the years is held inside.  Returns text. */
char *pb_instant_format(int64_t instant, char text[PB_INSTANT_TEXT]);

/*
 * Strict YYYY-MM-DDTHH:MM:SSZ: no other zone, no fraction.
 *   what  option or field, for the message
 * PB_EPARSE  another form, a date or time of day that does not exist
 */
enum pb_rc pb_instant_parse(const char *what, const char *text, int64_t *instant,
                            struct pb_err *err);

#endif
