/* What the system refuses, as an error.  See system.h. */
#include "exchange/system.h"

#include <errno.h>
#include <string.h>

/* an analysis puts a macro of this name in front of the callers */
#undef pb_fail_system

enum pb_rc pb_fail_system(struct pb_err *err, const char *where, long line,
                          const char *what)
{
    char why[128] = "";
    if (errno == ENOMEM)
        return pb_fail_memory(err);
    (void)strerror_r(errno, why, sizeof(why));
    return pb_fail_at(err, PB_EIO, where, line, "%s: %s", what, why);
}
