/*
 * Text as it enters and leaves: checked UTF-8, safe on a terminal, strict numbers.
 *
 * Text is checked once where it enters (command line, book, JSON, table); inside it is
 * opaque bytes.  "_len" counts bytes, "_cols" counts terminal columns.
 */
#ifndef PB_BASE_TEXT_H
#define PB_BASE_TEXT_H

#include "base/buf.h"
#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define PB_ARRAY_LEN(a) (sizeof(a) / sizeof((a)[0]))

/*
 * Is the text fit to be kept?  Valid UTF-8 of at most max bytes, not empty, no blank at
 * either end, and without control characters: C0 (newline and tab too), DEL, C1, the
 * bidirectional controls, line and paragraph separators, the byte order mark.
 *   what  the field's name, for the message
 * PB_EPARSE  not UTF-8, a control character, empty    PB_ELIMIT  longer than max
 */
enum pb_rc pb_text_check(const char *what, const char *text, size_t max,
                         struct pb_err *err);

/*
 * Decode one character.
 *   p, n  bytes and their number (n > 0)     cp  out: the code point
 * Returns its length in bytes, 0 where the bytes are not UTF-8 (overlong forms,
 * surrogates, above U+10FFFF).  Source: RFC 3629, section 4.
 */
size_t pb_text_decode(const char *p, size_t n, uint32_t *cp);

/* A character that must not reach a terminal or a calendar raw (the list above). */
bool pb_text_is_control(uint32_t cp);

/* How many of the first bytes, at most n, are printable ASCII: most text is all of it, and
 * is done in one go. */
size_t pb_text_plain(const char *p, size_t n);

/* Columns that the text takes; a byte that is not UTF-8 counts as one. */
size_t pb_text_cols(const char *text);

/* Append the text with control characters and bad bytes written as \xNN or \u{N}. */
void pb_text_escape(struct pb_buf *out, const char *text);

/*
 * The same of the first character alone; allocates nothing.
 *   text  len bytes, 1 at least
 *   to    out: the character, or what stands for it; room for PB_TEXT_ESCAPED
 * Returns how many bytes of the text it was.
 */
enum { PB_TEXT_ESCAPED = 16 };
size_t pb_text_escape_first(const char *text, size_t len, char to[PB_TEXT_ESCAPED]);

/* Bytes of the longest head of at most cols columns. */
size_t pb_text_head(const char *text, size_t cols);

/* Append the longest head of at most cols columns; one that was cut ends in "…". */
void pb_text_clip(struct pb_buf *out, const char *text, size_t cols);

/* ASCII letters without regard to case; bytes above 127 as they are. */
int pb_text_casecmp(const char *a, const char *b);
bool pb_text_equal(const char *a, const char *b); /* NULL equals only NULL */

/*
 * A whole decimal number in [low, high]: optional sign, digits, nothing else.
 *   what  the option or field, for the message
 * PB_EPARSE  not a whole number    PB_ELIMIT  outside the range; both name the range
 */
enum pb_rc pb_parse_int(const char *what, const char *text, int64_t low, int64_t high,
                        int64_t *value, struct pb_err *err);

/*
 * A decimal number in [low, high]: digits with an optional point and more digits; no
 * exponent, no sign other than "-", no locale.  Errors as pb_parse_int.
 */
enum pb_rc pb_parse_decimal(const char *what, const char *text, double low, double high,
                            double *value, struct pb_err *err);

enum { PB_NUMBER_TEXT = 32 };

/*
 * A number in the %g form for a message: six digits, a point whatever the locale has.
 * Returns text.
 */
const char *pb_text_number(double value, char text[PB_NUMBER_TEXT]);

/*
 * How many single-character edits (insert, delete, replace, swap of neighbours) lead from
 * a to b, without regard to ASCII case; limit + 1 where more than limit.  For "did you
 * mean".  Texts over 64 bytes are limit + 1 apart unless equal.
 * Source: restricted edit distance, Damerau (1964), Commun. ACM 7:171-176.
 */
unsigned pb_text_distance(const char *a, const char *b, unsigned limit);

/*
 * The word that was perhaps meant: the nearest of n, the first of those alike, NULL where
 * none is near.  One letter is near itself alone.  A NULL word is passed over.
 */
const char *pb_text_nearest(const char *text, const char *const *words, size_t n);

/* So many edits may lie between a typed word and what was meant: 1 below five bytes (any
 * two short words are near by more), else 2. */
unsigned pb_text_slips(const char *text);

/* A copy that is yours (free), NULL when out of memory; NULL gives NULL. */
char *pb_text_copy(const char *text);

#endif
