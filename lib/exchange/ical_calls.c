/* Loading libical when it is first needed.  See ical_calls.h. */
#include "exchange/ical_calls.h"

#include "base/text.h"

#include <dlfcn.h>
#include <errno.h>
#include <stddef.h>
#include <string.h>

#define ROW(name) {#name, offsetof(struct pb_ical_calls, name)},
static const struct {
    const char *name;
    size_t at; /* bytes into the table */
} rows[] = {PB_ICAL_CALLS(ROW)};
#undef ROW

/* POSIX promises it; C alone does not. */
_Static_assert(sizeof(void *) == sizeof(void (*)(void)), "dlsym gives functions");
_Static_assert(sizeof(struct pb_ical_calls) == PB_ARRAY_LEN(rows) * sizeof(void *),
               "a pointer a row and nothing else");

static const char remedy[] = "install it (Debian: apt install libical3)";

enum pb_rc pb_ical_load(const char *soname, struct pb_ical_calls *calls,
                        struct pb_err *err)
{
    errno = 0;
    /* Never unloaded (NODELETE): it leaves a destructor for its threads' memory. */
    void *library = dlopen(soname, RTLD_NOW | RTLD_LOCAL | RTLD_NODELETE);
    if (library == NULL && errno == ENOMEM)
        return pb_fail_memory(err);
    if (library == NULL) {
        const char *reason = dlerror(); /* NOLINT(concurrency-mt-unsafe): one thread */
        return pb_fail(err, PB_EIO,
                       "calendars need libical, which does not load: %s; %s", reason,
                       remedy);
    }
    struct pb_ical_calls found = {.icalcomponent_new = NULL};
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; rc == PB_OK && i < PB_ARRAY_LEN(rows); i++) {
        void *function = dlsym(library, rows[i].name);
        if (function == NULL)
            rc = pb_fail(err, PB_EIO, "%s has no %s; %s", soname, rows[i].name, remedy);
        memcpy((char *)&found + rows[i].at, &function, sizeof(function));
    }
    (void)dlclose(library);
    if (rc == PB_OK)
        *calls = found;
    return rc;
}
