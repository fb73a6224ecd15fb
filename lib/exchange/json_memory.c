/*
 * jansson's allocations, watched.  See json_memory.h.
 *
 * While a parse runs, blocks are cut off chunks, each chunk twice as long as the one before.
 * A block that comes back is only counted; with the last one go the chunks.  On a failure
 * control jumps back here and the chunks go with all that was cut off them, but for what
 * documents that were read earlier still have.  Nothing else is lost by the jump: a parse
 * holds memory, no locks and no files.
 */
#include "exchange/json_memory.h"

#include "base/buf.h"
#include "base/text.h"

#include <setjmp.h>
#include <stdint.h>
#include <stdlib.h>

enum { CHUNK = 16384, ALIGN = _Alignof(max_align_t) }; /* bytes; a usual record fits */

struct chunk {
    struct chunk *older;
    size_t size, used;
    _Alignas(max_align_t) unsigned char bytes[];
};

/* How far the chunks are used. */
struct mark {
    struct chunk *newest;
    size_t used, living;
};

/* The allocator that jansson had. */
static json_malloc_t beneath_malloc;
static json_free_t beneath_free;

static _Thread_local struct {
    unsigned failures;
    bool on;              /* a parse runs */
    struct chunk *newest; /* NULL where nothing lives */
    size_t living;        /* blocks of the chunks that have not come back */
    struct mark before;   /* the parse */
    jmp_buf out;
} watch;

/* The chunks that are newer than that one; NULL: all. */
static void release_chunks(const struct chunk *down_to)
{
    while (watch.newest != down_to) {
        struct chunk *c = watch.newest;
        watch.newest = c->older;
        beneath_free(c);
    }
}

static void leave(void)
{
    watch.failures++;
    watch.on = false;
    longjmp(watch.out, 1);
}

/* A chunk with room for n bytes. */
static struct chunk *add_chunk(size_t n)
{
    size_t size = watch.newest != NULL ? watch.newest->size * 2 : CHUNK;
    size = size > n ? size : n;
    struct chunk *c = beneath_malloc(sizeof(*c) + size);
    if (c == NULL)
        leave();
    c->older = watch.newest;
    c->size = size;
    c->used = 0;
    watch.newest = c;
    return c;
}

static void *cut_off(size_t n)
{
    n = (n + ALIGN - 1) / ALIGN * ALIGN;
    struct chunk *c = watch.newest;
    if (c == NULL || c->size - c->used < n)
        c = add_chunk(n);
    void *p = c->bytes + c->used;
    c->used += n;
    watch.living++;
    return p;
}

/* There are few, and the newest is the longest. */
static bool is_cut_off(const void *p)
{
    const struct chunk *c = watch.newest;
    const uintptr_t at = (uintptr_t)p;
    while (c != NULL &&
           (at < (uintptr_t)c->bytes || at >= (uintptr_t)c->bytes + c->size))
        c = c->older;
    return c != NULL;
}

static void *watched_malloc(size_t n)
{
    if (watch.on)
        return cut_off(n);
    void *p = beneath_malloc(n);
    watch.failures += p == NULL;
    return p;
}

static void watched_free(void *p)
{
    if (!is_cut_off(p))
        beneath_free(p);
    else if (--watch.living == 0)
        release_chunks(NULL);
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

static void go_back(void)
{
    release_chunks(watch.before.newest);
    watch.living = watch.before.living;
    if (watch.newest != NULL)
        watch.newest->used = watch.before.used;
}

json_t *pb_json_loadb(const char *text, size_t n, size_t flags, json_error_t *fault,
                      bool *no_memory)
{
    *no_memory = false;
    hook();
    watch.before = (struct mark){
        watch.newest, watch.newest != NULL ? watch.newest->used : 0, watch.living};
    if (setjmp(watch.out) != 0) {
        go_back();
        *no_memory = true;
        return NULL;
    }
    watch.on = true;
    json_t *value = json_loadb(text, n, flags, fault);
    watch.on = false;
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
