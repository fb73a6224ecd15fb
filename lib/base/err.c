/* Errors: the caller-owned record.  See err.h. */
#include "base/err.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* an analysis puts macros of these names in front of the callers */
#undef pb_fail
#undef pb_fail_at
#undef pb_fail_memory

/* ORDER RC */
static const char *const rc_names[] = {
    "ok", "no-memory", "invalid", "parse", "limit", "not-found", "conflict", "io",
};
_Static_assert(sizeof(rc_names) / sizeof(rc_names[0]) == PB_RC_N, "ORDER RC");

/* Drop the tail of a character that the end of the array cut in two. */
static void trim_partial(char *text)
{
    size_t n = strlen(text), lead = n;
    while (lead > 0 && ((unsigned char)text[lead - 1] & 0xC0U) == 0x80U)
        lead--;
    if (lead == 0)
        return;
    unsigned char c = (unsigned char)text[lead - 1];
    size_t need = c >= 0xF0U ? 4 : c >= 0xE0U ? 3 : c >= 0xC0U ? 2 : 1;
    if (n - (lead - 1) < need)
        text[lead - 1] = '\0';
}

/* Copy a place; of one that is too long the end, which says more. */
static void set_where(char *to, size_t size, const char *where)
{
    static const char left_out[] = "...";
    size_t n = strlen(where);
    const char *from = where;
    if (n >= size) {
        from += n - (size - sizeof(left_out));
        while (((unsigned char)*from & 0xC0U) == 0x80U)
            from++; /* not from the middle of a character */
    }
    (void)snprintf(to, size, "%s%s", from > where ? left_out : "", from);
}

PB_PRINTF(5, 0)
static void fill(struct pb_err *err, enum pb_rc rc, const char *where, long line,
                 const char *fmt, va_list ap)
{
    if (err == NULL || err->rc != PB_OK)
        return;
    err->rc = rc;
    err->line = line;
    set_where(err->where, sizeof(err->where), where != NULL ? where : "");
    (void)vsnprintf(err->text, sizeof(err->text), fmt, ap);
    trim_partial(err->text);
}

enum pb_rc pb_fail(struct pb_err *err, enum pb_rc rc, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    fill(err, rc, NULL, 0, fmt, ap);
    va_end(ap);
    return rc;
}

enum pb_rc pb_fail_at(struct pb_err *err, enum pb_rc rc, const char *where, long line,
                      const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    fill(err, rc, where, line, fmt, ap);
    va_end(ap);
    return rc;
}

enum pb_rc pb_fail_memory(struct pb_err *err)
{
    return pb_fail(err, PB_ENOMEM, "out of memory");
}

void pb_err_clear(struct pb_err *err)
{
    if (err != NULL)
        memset(err, 0, sizeof(*err));
}

const char *pb_rc_name(enum pb_rc rc)
{
    return rc < PB_RC_N ? rc_names[rc] : "unknown";
}
