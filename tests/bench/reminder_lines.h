/* A reminder on a line, its fields parted by tabs: what maker.c writes; bare_calendar.c and
 * calendar_lines.c read it. */
#ifndef BENCH_REMINDER_LINES_H
#define BENCH_REMINDER_LINES_H

enum { REMINDER_BREAK = '\v' }; /* stands for a new line of the description */

enum {
    UID,
    CREATED, /* s since 1970 UTC */
    STAMP,
    SEQUENCE,
    FIRST, /* days since 1970 */
    LAST,
    TENTATIVE, /* 0 or 1 */
    ALARMS,    /* 1 or 2 */
    CATEGORY,
    SUMMARY,
    DESCRIPTION,
    FIELD_N
};

/* Cut a line in place; how many fields it has, at most FIELD_N. */
int reminder_split(char *line, char *f[FIELD_N]);

#endif
