/* The counting allocator behind oom.h. */
#include "oom.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

void *__real_malloc(size_t n);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *p, size_t n);
char *__real_strdup(const char *s);
char *__real_strndup(const char *s, size_t n);
void *__wrap_malloc(size_t n);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *p, size_t n);
char *__wrap_strdup(const char *s);
char *__wrap_strndup(const char *s, size_t n);

/* More than any scenario makes; passing it means that one does not end. */
enum { CALLS_MAX = 100000 };

static struct {
    long fail_at; /* number of the call that fails, from 1; 0: none */
    bool onward;  /* all after it fail too */
    long calls;
} heap;

static bool refused(void)
{
    heap.calls++;
    return heap.fail_at != 0 &&
           (heap.onward ? heap.calls >= heap.fail_at : heap.calls == heap.fail_at);
}

void *__wrap_malloc(size_t n)
{
    return refused() ? NULL : __real_malloc(n);
}

void *__wrap_calloc(size_t n, size_t size)
{
    return refused() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *p, size_t n)
{
    return refused() ? NULL : __real_realloc(p, n);
}

char *__wrap_strdup(const char *s)
{
    return refused() ? NULL : __real_strdup(s);
}

char *__wrap_strndup(const char *s, size_t n)
{
    return refused() ? NULL : __real_strndup(s, n);
}

static enum pb_rc run_with(oom_scenario *run, long fail_at, bool onward,
                           struct pb_err *err)
{
    pb_err_clear(err);
    heap.calls = 0;
    heap.onward = onward;
    heap.fail_at = fail_at;
    enum pb_rc rc = run(err);
    heap.fail_at = 0;
    return rc;
}

void oom_tolerant(const char *claim, oom_scenario *run, long step)
{
    struct pb_err err = {0};
    long all, refusals = 0;
    CLAIM(run_with(run, 0, false, &err) == PB_OK, "%s: fails with memory enough: %s",
          claim, err.text);
    all = heap.calls;
    for (int onward = 0; onward < 2; onward++)
        for (long n = 1; n <= all; n += step) {
            enum pb_rc rc = run_with(run, n, onward != 0, &err);
            CLAIM(rc == err.rc && (rc == PB_OK || rc == PB_ENOMEM),
                  "%s: allocation %ld of %ld fails: returns %s, says %s \"%s\"", claim,
                  n, all, pb_rc_name(rc), pb_rc_name(err.rc), err.text);
            refusals += rc == PB_ENOMEM;
        }
    CLAIM(refusals > 0, "%s: no allocation of %ld mattered", claim, all);
    CLAIM(run_with(run, 0, false, &err) == PB_OK, "%s: does not recover: %s", claim,
          err.text);
}

void oom_each(const char *claim, oom_scenario *run)
{
    struct pb_err err = {0};
    CLAIM(run_with(run, 0, false, &err) == PB_OK, "%s: fails with memory enough: %s",
          claim, err.text);
    long all = heap.calls;
    CLAIM(all > 0 && all < CALLS_MAX, "%s: makes %ld allocations", claim, all);
    for (int onward = 0; onward < 2; onward++)
        for (long n = 1; n <= all; n++) {
            enum pb_rc rc = run_with(run, n, onward != 0, &err);
            CLAIM(rc == PB_ENOMEM, "%s: allocation %ld of %ld fails: returns %s", claim,
                  n, all, pb_rc_name(rc));
            CLAIM(err.rc == PB_ENOMEM && err.text[0] != '\0',
                  "%s: allocation %ld of %ld fails: says %s \"%s\"", claim, n, all,
                  pb_rc_name(err.rc), err.text);
        }
    CLAIM(run_with(run, 0, false, &err) == PB_OK, "%s: does not recover: %s", claim,
          err.text);
}
