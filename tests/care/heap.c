/*
 * Memory that runs out.  See heap.h.
 *
 * Blocks come from the C library by its other names, or from the address sanitizer by its
 * own; which of them are alive is kept in a table of open addressing, for the one that asked
 * for each tells whose it is.  The sanitizer finds what is lost by its own means.
 */
#define _GNU_SOURCE
#include "heap.h"

#include <dlfcn.h>
#include <errno.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct {
    bool on;       /* what is given and given back is noted */
    bool counting; /* and what is asked for is counted */
    bool onward;
    long at, calls;
} heap;

/*
 * libical 3.0 does not look whether it was given memory, and lets nobody put functions of
 * their own before its allocator: what it asks for itself, it gets.  ICU is its own.  So does
 * what loads it: the loader of glibc ends a program at some places where it lacks memory (exit
 * 127, "out of memory"), and nobody can keep it from that.
 */
static bool is_the_others(void *from)
{
    enum { KNOWN = 4096 };
    static struct {
        void *from;
        bool its;
    } known[KNOWN];
    size_t i = ((uintptr_t)from >> 1) % KNOWN;
    if (known[i].from != from) {
        Dl_info info;
        bool found = dladdr(from, &info) != 0;
        known[i].from = from;
        known[i].its = found && (strstr(info.dli_fname, "/libical") != NULL ||
                                 strstr(info.dli_fname, "/libicu") != NULL ||
                                 strstr(info.dli_fname, "/ld-linux") != NULL);
    }
    return known[i].its;
}

static bool refused(void *from)
{
    if (!heap.counting || is_the_others(from))
        return false;
    heap.calls++;
    bool fails =
        heap.at != 0 && (heap.onward ? heap.calls >= heap.at : heap.calls == heap.at);
    if (fails)
        errno = ENOMEM;
    return fails;
}

#ifdef HEAP_OF_SANITIZER

#include <sanitizer/lsan_interface.h>

void *__interceptor_malloc(size_t n);
void *__interceptor_calloc(size_t n, size_t size);
void *__interceptor_realloc(void *p, size_t n);

void *malloc(size_t n)
{
    return refused(__builtin_return_address(0)) ? NULL : __interceptor_malloc(n);
}

void *calloc(size_t n, size_t size)
{
    return refused(__builtin_return_address(0)) ? NULL : __interceptor_calloc(n, size);
}

void *realloc(void *p, size_t n)
{
    return refused(__builtin_return_address(0)) ? NULL : __interceptor_realloc(p, n);
}

static void find_lost(struct program_note *note)
{
    note->lost = __lsan_do_recoverable_leak_check();
    (void)snprintf(note->where, sizeof(note->where), "see the report");
}

#else

void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *p, size_t n);
void __libc_free(void *p);

enum { SLOTS = 1 << 16 };

/* p 0: never used, 1: given back */
static struct {
    uintptr_t p, from;
} alive[SLOTS];

static size_t slot_of(uintptr_t p)
{
    return (size_t)((p >> 4) * UINT64_C(0x9E3779B97F4A7C15) >> 40) % SLOTS;
}

static void *note_block(void *p, void *from)
{
    if (!heap.on || p == NULL)
        return p;
    size_t i = slot_of((uintptr_t)p), looked = 0;
    while (alive[i].p > 1 && looked++ < SLOTS)
        i = (i + 1) % SLOTS;
    if (looked > SLOTS)
        abort(); /* the table is full: make it larger */
    alive[i].p = (uintptr_t)p;
    alive[i].from = (uintptr_t)from;
    return p;
}

static void forget_block(void *p)
{
    if (!heap.on || p == NULL)
        return;
    size_t i = slot_of((uintptr_t)p);
    for (size_t looked = 0; looked < SLOTS && alive[i].p != 0; looked++) {
        if (alive[i].p == (uintptr_t)p) {
            alive[i].p = 1;
            return;
        }
        i = (i + 1) % SLOTS;
    }
}

void *malloc(size_t n)
{
    return refused(__builtin_return_address(0))
               ? NULL
               : note_block(__libc_malloc(n), __builtin_return_address(0));
}

void *calloc(size_t n, size_t size)
{
    return refused(__builtin_return_address(0))
               ? NULL
               : note_block(__libc_calloc(n, size), __builtin_return_address(0));
}

void *realloc(void *p, size_t n)
{
    if (refused(__builtin_return_address(0)))
        return NULL;
    void *more = __libc_realloc(p, n);
    if (more != NULL || n == 0)
        forget_block(p);
    return note_block(more, __builtin_return_address(0));
}

void free(void *p)
{
    forget_block(p);
    __libc_free(p);
}

/* These two would ask in the C library's name. */
char *strndup(const char *s, size_t n)
{
    size_t len = strnlen(s, n);
    char *copy = refused(__builtin_return_address(0))
                     ? NULL
                     : note_block(__libc_malloc(len + 1), __builtin_return_address(0));
    if (copy != NULL) {
        memcpy(copy, s, len);
        copy[len] = '\0';
    }
    return copy;
}

char *strdup(const char *s)
{
    size_t n = strlen(s) + 1;
    char *copy = refused(__builtin_return_address(0))
                     ? NULL
                     : note_block(__libc_malloc(n), __builtin_return_address(0));
    return copy != NULL ? memcpy(copy, s, n) : NULL;
}

/* Nothing of it survives the end of a command: ours, and those that we have closed. */
static bool gives_all_back(const char *object)
{
    static const char *const names[] = {"/libsqlite3.", "/libjansson.", "/libcsv.",
                                        "/libuuid."};
    for (size_t i = 0; i < PB_ARRAY_LEN(names); i++)
        if (strstr(object, names[i]) != NULL)
            return true;
    return strstr(object, ".so") == NULL;
}

static void find_lost(struct program_note *note)
{
    for (size_t i = 0; i < SLOTS; i++) {
        Dl_info info;
        if (alive[i].p <= 1)
            continue;
        /* the address is one behind the call */
        bool known = dladdr((const char *)alive[i].from - 1, &info) != 0;
        if (!known || !gives_all_back(info.dli_fname)) {
            note->others++;
            continue;
        }
        note->lost++;
        (void)snprintf(note->where, sizeof(note->where), "%.60s+0x%lx", info.dli_fname,
                       (unsigned long)(alive[i].from - (uintptr_t)info.dli_fbase));
    }
}

#endif

/* Nothing here outlives a power cut: what is written needs not reach the disk. */
int fsync(int fd)
{
    (void)fd;
    return 0;
}

int fdatasync(int fd)
{
    (void)fd;
    return 0;
}

void heap_watch(long at, bool onward)
{
    heap.at = at;
    heap.onward = onward;
    heap.calls = 0;
    heap.on = heap.counting = true;
}

long heap_calls(void)
{
    return heap.calls;
}

void heap_rest(void)
{
    heap.counting = false;
}

void heap_end(struct program_note *note)
{
    heap.on = heap.counting = false;
    note->calls = heap.calls;
    find_lost(note);
}
