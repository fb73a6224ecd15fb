/* A file that is read whole. */
#ifndef PB_EXCHANGE_WHOLE_H
#define PB_EXCHANGE_WHOLE_H

#include "base/buf.h"

#include <stdio.h>

/*
 * Add the rest of a file to a buffer.
 *   in    open for reading; stays the caller's
 *   file  as the grower knows it; NULL: none
 *   text  its ceiling is that of the file
 * PB_ELIMIT  there is more than that   PB_EIO  it cannot be read   PB_ENOMEM
 */
enum pb_rc pb_read_whole(FILE *in, const char *file, struct pb_buf *text,
                         struct pb_err *err);

#endif
