/*
 * A running 64-bit hash, to see whether content has changed.  Not for security: anybody
 * can make two contents of one hash.
 *
 * Source: Fowler, Noll and Vo, FNV-1a with 64 bits; basis and prime from memory, and
 * confirmed in the tests by its authors' vectors.
 */
#ifndef PB_BASE_HASH_H
#define PB_BASE_HASH_H

#include <stddef.h>
#include <stdint.h>

#define PB_HASH_START UINT64_C(0xcbf29ce484222325) /* the hash of nothing */

enum { PB_HASH_TEXT = 17 }; /* 16 hexadecimal digits and the NUL */

/* The hash after n more bytes. */
uint64_t pb_hash_bytes(uint64_t hash, const void *bytes, size_t n);

/*
 * The hash after one more field: presence, length, bytes, so that neighbouring fields
 * cannot be taken for each other.  NULL (not given) differs from empty.
 */
uint64_t pb_hash_text(uint64_t hash, const char *text);
uint64_t pb_hash_int(uint64_t hash, int64_t value);

/*
 * Arithmetic modulo 2^64 for those who mix bits: the remainder is meant, and a build that
 * traps on wrapping lets it pass.
 */
uint64_t pb_wrap_add(uint64_t a, uint64_t b);
uint64_t pb_wrap_mul(uint64_t a, uint64_t b);

/* Sixteen lower-case hexadecimal digits; text has room for PB_HASH_TEXT.  Returns text. */
char *pb_hash_format(uint64_t hash, char text[PB_HASH_TEXT]);

#endif
