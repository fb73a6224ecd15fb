/* Growable text with a ceiling and a sticky first failure.  See buf.h. */
#include "base/buf.h"

#include <assert.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void pb_buf_init(struct pb_buf *b, size_t max)
{
    memset(b, 0, sizeof(*b));
    b->max = max;
}

void pb_buf_clear(struct pb_buf *b)
{
    free(b->data);
    pb_buf_init(b, b->max);
}

void pb_buf_reset(struct pb_buf *b)
{
    b->len = 0;
    b->rc = PB_OK;
    if (b->data != NULL)
        b->data[0] = '\0';
}

/* Room for n more bytes and the NUL. */
static bool reserve(struct pb_buf *b, size_t n)
{
    if (b->rc != PB_OK)
        return false;
    if (n > b->max || b->len > b->max - n) {
        b->rc = PB_ELIMIT;
        return false;
    }
    size_t need = b->len + n + 1;
    if (need <= b->cap)
        return true;
    size_t cap = b->cap < 64 ? 64 : b->cap;
    while (cap < need)
        cap *= 2;
    char *data = realloc(b->data, cap);
    if (data == NULL) {
        b->rc = PB_ENOMEM;
        return false;
    }
    b->data = data;
    b->cap = cap;
    return true;
}

void pb_buf_add(struct pb_buf *b, const char *bytes, size_t n)
{
    if (!reserve(b, n))
        return;
    if (n > 0)
        memcpy(b->data + b->len, bytes, n);
    b->len += n;
    b->data[b->len] = '\0';
}

char *pb_buf_room(struct pb_buf *b, size_t n)
{
    return reserve(b, n) ? b->data + b->len : NULL;
}

void pb_buf_filled(struct pb_buf *b, size_t n)
{
    assert(b->len + n < b->cap);
    b->len += n;
    b->data[b->len] = '\0';
}

void pb_buf_adds(struct pb_buf *b, const char *text)
{
    pb_buf_add(b, text, strlen(text));
}

void pb_buf_addc(struct pb_buf *b, char c)
{
    pb_buf_add(b, &c, 1);
}

void pb_buf_pad(struct pb_buf *b, size_t n)
{
    if (!reserve(b, n))
        return;
    memset(b->data + b->len, ' ', n);
    b->len += n;
    b->data[b->len] = '\0';
}

/* Formats into what room there is; what needs more is formatted once more. */
void pb_buf_printf(struct pb_buf *b, const char *fmt, ...)
{
    va_list ap, again;
    va_start(ap, fmt);
    va_copy(again, ap);
    size_t room = b->rc == PB_OK && b->cap > 0 ? b->cap - b->len : 0;
    int n = vsnprintf(room > 0 ? b->data + b->len : NULL, room, fmt, ap);
    va_end(ap);
    if (n < 0)
        b->rc = b->rc != PB_OK ? b->rc : PB_EINVALID;
    else if (reserve(b, (size_t)n)) {
        if ((size_t)n >= room)
            (void)vsnprintf(b->data + b->len, (size_t)n + 1, fmt, again);
        b->len += (size_t)n;
    }
    if (b->data != NULL)
        b->data[b->len] = '\0'; /* also where it did not fit */
    va_end(again);
}

const char *pb_buf_peek(const struct pb_buf *b)
{
    return b->data != NULL ? b->data : "";
}

enum pb_rc pb_buf_status(const struct pb_buf *b, struct pb_err *err)
{
    if (b->rc == PB_ELIMIT)
        return pb_fail(err, PB_ELIMIT, "text is longer than %zu bytes", b->max);
    if (b->rc == PB_ENOMEM)
        return pb_fail_memory(err);
    if (b->rc != PB_OK)
        return pb_fail(err, b->rc, "text could not be formatted");
    return PB_OK;
}

enum pb_rc pb_buf_take(struct pb_buf *b, char **text, struct pb_err *err)
{
    if (b->data == NULL)
        (void)reserve(b, 0);
    enum pb_rc rc = pb_buf_status(b, err);
    if (rc != PB_OK)
        return rc;
    assert(b->data != NULL); /* reserve gave it or left a failure */
    b->data[b->len] = '\0';
    *text = b->data;
    b->data = NULL;
    b->len = b->cap = 0;
    return PB_OK;
}
