/*
 * Growable text with a ceiling.
 *
 * The first failure (no memory, ceiling) sticks: later appends do nothing, and the one
 * check is pb_buf_status at the end.  The content always ends in a NUL that len does not
 * count.  Embedded: pb_buf_init / pb_buf_clear.
 */
#ifndef PB_BASE_BUF_H
#define PB_BASE_BUF_H

#include "base/err.h"

#include <stddef.h>

struct pb_buf {
    char *data;
    size_t len, cap;
    size_t max; /* bytes; passing it is PB_ELIMIT */
    enum pb_rc rc;
};

/* Start empty; max in bytes.  Allocates nothing. */
void pb_buf_init(struct pb_buf *b, size_t max);
/* Release and make empty; the ceiling stays. */
void pb_buf_clear(struct pb_buf *b);
/* Make empty, keep the memory, forget a failure. */
void pb_buf_reset(struct pb_buf *b);

void pb_buf_add(struct pb_buf *b, const char *bytes, size_t n);
void pb_buf_adds(struct pb_buf *b, const char *text);
void pb_buf_addc(struct pb_buf *b, char c);
void pb_buf_pad(struct pb_buf *b, size_t n); /* n blanks */
void pb_buf_printf(struct pb_buf *b, const char *fmt, ...) PB_PRINTF(2, 3);

/* Room behind the text for n more bytes, which somebody else writes; NULL: a failure. */
char *pb_buf_room(struct pb_buf *b, size_t n);
/* The first n bytes of that room are text now. */
void pb_buf_filled(struct pb_buf *b, size_t n);

/* Borrowed until the next append; never NULL. */
const char *pb_buf_peek(const struct pb_buf *b);
/* PB_OK, or what went wrong first (PB_ENOMEM, PB_ELIMIT). */
enum pb_rc pb_buf_status(const struct pb_buf *b, struct pb_err *err);
/* The text becomes the caller's (free); the buffer is empty afterwards. */
enum pb_rc pb_buf_take(struct pb_buf *b, char **text, struct pb_err *err);

#endif
