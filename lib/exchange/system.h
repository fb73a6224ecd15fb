/* What the system refuses, as an error. */
#ifndef PB_EXCHANGE_SYSTEM_H
#define PB_EXCHANGE_SYSTEM_H

#include "base/err.h"

/*
 * Record what errno says, as "what: reason".
 *   where, line  as of pb_fail_at
 * Returns PB_ENOMEM where memory was lacking, for the buffer of a file, say; else PB_EIO.
 */
enum pb_rc pb_fail_system(struct pb_err *err, const char *where, long line,
                          const char *what);

#endif
