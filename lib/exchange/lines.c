/* JSON Lines in constant memory.  See lines.h. */
#include "exchange/lines.h"

#include "exchange/system.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNK = 65536 /* bytes read at a time */ };

enum pb_rc pb_lines_init(struct pb_lines *lines, FILE *in, const char *file, size_t max,
                         struct pb_err *err)
{
    *lines = (struct pb_lines){.in = in, .file = file};
    pb_buf_init(&lines->line, max);
    lines->chunk = malloc(CHUNK);
    return lines->chunk != NULL ? PB_OK : pb_fail_memory(err);
}

void pb_lines_clear(struct pb_lines *lines)
{
    free(lines->chunk);
    lines->chunk = NULL;
    pb_buf_clear(&lines->line);
}

/* Fill the chunk where it is used up; more: false at the end of the file. */
static enum pb_rc refill(struct pb_lines *lines, bool *more, struct pb_err *err)
{
    *more = true;
    if (lines->at < lines->end)
        return PB_OK;
    errno = 0;
    lines->at = 0;
    lines->end = fread(lines->chunk, 1, CHUNK, lines->in);
    *more = lines->end > 0;
    if (*more || !ferror(lines->in))
        return PB_OK;
    lines->ended = true;
    return pb_fail_system(err, lines->file, lines->number, "cannot be read");
}

/* One line into lines->line, whatever it holds; sets ended where there is none. */
static enum pb_rc take(struct pb_lines *lines, struct pb_err *err)
{
    bool more = false, whole = false;
    pb_buf_reset(&lines->line);
    enum pb_rc rc = refill(lines, &more, err);
    lines->ended = !more;
    lines->number += more;
    while (rc == PB_OK && more && !whole) {
        const char *from = lines->chunk + lines->at;
        size_t left = lines->end - lines->at;
        const char *stop = memchr(from, '\n', left);
        size_t n = stop != NULL ? (size_t)(stop - from) : left;
        pb_buf_add(&lines->line, from, n);
        whole = stop != NULL;
        lines->at += n + whole;
        if (!whole)
            rc = refill(lines, &more, err);
    }
    return rc;
}

/* Take off what does not belong to the text: the mark at the start, the CR of a CRLF. */
static void trim(struct pb_lines *lines)
{
    static const char mark[] = "\xEF\xBB\xBF";
    struct pb_buf *b = &lines->line;
    if (b->len > 0 && b->data[b->len - 1] == '\r')
        b->data[--b->len] = '\0';
    if (lines->number == 1 && b->len >= 3 && memcmp(b->data, mark, 3) == 0) {
        b->len -= 3;
        memmove(b->data, b->data + 3, b->len + 1);
    }
}

static bool is_blank(const struct pb_buf *b)
{
    const char *p = pb_buf_peek(b);
    return strspn(p, " \t") == b->len;
}

enum pb_rc pb_lines_next(struct pb_lines *lines, bool *got, struct pb_err *err)
{
    do {
        enum pb_rc rc = lines->ended ? PB_OK : take(lines, err);
        if (rc != PB_OK)
            return rc;
        if (lines->ended) {
            *got = false;
            return PB_OK;
        }
        rc = pb_buf_status(&lines->line, NULL);
        if (rc == PB_ELIMIT)
            return pb_fail_at(err, PB_ELIMIT, lines->file, lines->number,
                              "the line is longer than %zu bytes", lines->line.max);
        if (rc != PB_OK) {
            lines->ended = true;
            return pb_fail_memory(err);
        }
        trim(lines);
    } while (is_blank(&lines->line));
    *got = true;
    return PB_OK;
}
