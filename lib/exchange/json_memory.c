/*
 * jansson's allocations, watched.  See json_memory.h.
 *
 * While a parse runs, every block that is given out and every block that comes back is noted.
 * On a failure control jumps back here; blocks that were given out more often than they
 * came back are still alive and are released.  (An address may come and go many times.)
 * Nothing else is lost by the jump: a parse holds memory, no locks and no files.
 */
#include "exchange/json_memory.h"

#include "base/buf.h"
#include "base/text.h"

#include <setjmp.h>
#include <stdint.h>
#include <stdlib.h>

struct notes {
    void **v;
    size_t n, cap;
};

/* The allocator that jansson had. */
static json_malloc_t beneath_malloc;
static json_free_t beneath_free;

static _Thread_local struct {
    unsigned failures;
    bool on; /* a parse runs */
    struct notes given, returned;
    jmp_buf out;
} watch;

static void leave(void)
{
    watch.on = false;
    longjmp(watch.out, 1);
}

static bool note(struct notes *list, void *p)
{
    if (list->n == list->cap) {
        size_t cap = list->cap == 0 ? 64 : list->cap * 2;
        void **v = realloc(list->v, cap * sizeof(*v));
        if (v == NULL)
            return false;
        list->v = v;
        list->cap = cap;
    }
    list->v[list->n++] = p;
    return true;
}

static void *watched_malloc(size_t n)
{
    void *p = beneath_malloc(n);
    watch.failures += p == NULL;
    if (watch.on && (p == NULL || !note(&watch.given, p))) {
        beneath_free(p);
        leave();
    }
    return p;
}

static void watched_free(void *p)
{
    /* noted first: a block that could not be noted is alive and will be released */
    if (watch.on && p != NULL && !note(&watch.returned, p))
        leave();
    beneath_free(p);
}

static void hook(void)
{
    json_malloc_t allocate = NULL;
    json_free_t release = NULL;
    json_get_alloc_funcs(&allocate, &release);
    if (allocate == watched_malloc)
        return;
    beneath_malloc = allocate;
    beneath_free = release;
    json_set_alloc_funcs(watched_malloc, watched_free);
}

unsigned pb_json_failures(void)
{
    hook();
    return watch.failures;
}

static int by_address(const void *a, const void *b)
{
    uintptr_t x = (uintptr_t) * (void *const *)a, y = (uintptr_t) * (void *const *)b;
    return x < y ? -1 : x > y;
}

static void release_the_living(void)
{
    struct notes *given = &watch.given, *returned = &watch.returned;
    if (given->n > 0)
        qsort(given->v, given->n, sizeof(*given->v), by_address);
    if (returned->n > 0)
        qsort(returned->v, returned->n, sizeof(*returned->v), by_address);
    size_t k = 0;
    for (size_t i = 0; i < given->n; i++)
        if (k < returned->n && returned->v[k] == given->v[i])
            k++;
        else
            beneath_free(given->v[i]);
}

static void forget(void)
{
    free(watch.given.v);
    free(watch.returned.v);
    watch.given = watch.returned = (struct notes){NULL, 0, 0};
}

json_t *pb_json_loadb(const char *text, size_t n, size_t flags, json_error_t *fault,
                      bool *no_memory)
{
    *no_memory = false;
    hook();
    if (setjmp(watch.out) != 0) {
        release_the_living();
        forget();
        *no_memory = true;
        return NULL;
    }
    watch.on = true;
    json_t *value = json_loadb(text, n, flags, fault);
    watch.on = false;
    forget();
    return value;
}

int pb_json_append(const char *bytes, size_t n, void *out)
{
    size_t kept = 0; /* of the bytes, what has been appended */
    for (size_t at = 0; at < n;) {
        uint32_t cp = 0;
        size_t len = pb_text_decode(bytes + at, n - at, &cp);
        if (len > 0 && cp > '~' && pb_text_is_control(cp)) {
            pb_buf_add(out, bytes + kept, at - kept);
            pb_buf_printf(out, "\\u%04x", (unsigned)cp);
            kept = at + len;
        }
        at += len > 0 ? len : 1;
    }
    pb_buf_add(out, bytes + kept, n - kept);
    return 0;
}
