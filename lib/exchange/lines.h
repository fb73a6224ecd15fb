/*
 * JSON Lines: one line after the other, in constant memory.
 *
 * Tolerated: a byte order mark at the very start, CRLF, a last line without its end, blank
 * lines (counted, passed over).  A line over the ceiling is an error of that line alone:
 * the next call goes on behind it.
 */
#ifndef PB_EXCHANGE_LINES_H
#define PB_EXCHANGE_LINES_H

#include "base/buf.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

struct pb_lines {
    FILE *in;         /* borrowed */
    const char *file; /* its name for messages; borrowed */
    char *chunk;      /* the reader's own: what was read and not yet taken */
    size_t at, end;   /* of the chunk: [at, end) is still to be taken */
    struct pb_buf line;
    long number; /* of the line taken last, from 1 */
    bool ended;  /* nothing more, or a read error: stop */
};

/*
 * Begin.
 *   in    open for reading; stays the caller's
 *   file  as the grower knows it; NULL: none
 *   max   bytes of one line, its end not counted
 * PB_ENOMEM.  Release with pb_lines_clear, after a failure too.
 */
enum pb_rc pb_lines_init(struct pb_lines *lines, FILE *in, const char *file, size_t max,
                         struct pb_err *err);
void pb_lines_clear(struct pb_lines *lines);

/*
 * Take the next line that is not blank.
 *   got  out: false at the end.  lines->line holds the bytes without the line's end,
 *        lines->number its number, until the next call.  A NUL may be among the bytes
 * PB_ELIMIT  the line is too long and was passed over; go on
 * PB_EIO     reading failed; nothing more comes    PB_ENOMEM  the same
 */
enum pb_rc pb_lines_next(struct pb_lines *lines, bool *got, struct pb_err *err);

#endif
