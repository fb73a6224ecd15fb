/* FNV-1a, 64 bits.  See hash.h. */
#include "base/hash.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#define PRIME ((UINT64_C(1) << 40) + 0x1b3)
#define HALF  UINT64_C(0xffffffff)

uint64_t pb_wrap_add(uint64_t a, uint64_t b)
{
    uint64_t low = (a & HALF) + (b & HALF);
    uint64_t high = (low >> 32) + (a >> 32) + (b >> 32);
    return ((high & HALF) << 32) | (low & HALF);
}

/* In halves of 32 bits, so that no product and no sum passes 64. */
uint64_t pb_wrap_mul(uint64_t a, uint64_t b)
{
    uint64_t low = (a & HALF) * (b & HALF);
    uint64_t high = (low >> 32) + (((a & HALF) * (b >> 32)) & HALF) +
                    (((a >> 32) * (b & HALF)) & HALF);
    return ((high & HALF) << 32) | (low & HALF);
}

uint64_t pb_hash_bytes(uint64_t hash, const void *bytes, size_t n)
{
    const unsigned char *p = bytes;
    for (size_t i = 0; i < n; i++)
        hash = pb_wrap_mul(hash ^ p[i], PRIME);
    return hash;
}

uint64_t pb_hash_int(uint64_t hash, int64_t value)
{
    unsigned char bytes[8]; /* lowest first, whatever the machine does */
    uint64_t v;
    memcpy(&v, &value, sizeof(v));
    for (size_t i = 0; i < sizeof(bytes); i++)
        bytes[i] = (unsigned char)((v >> (8 * i)) & 0xffU);
    return pb_hash_bytes(hash, bytes, sizeof(bytes));
}

uint64_t pb_hash_text(uint64_t hash, const char *text)
{
    if (text == NULL)
        return pb_hash_int(hash, -1);
    size_t n = strlen(text);
    return pb_hash_bytes(pb_hash_int(hash, (int64_t)n), text, n);
}

char *pb_hash_format(uint64_t hash, char text[PB_HASH_TEXT])
{
    (void)snprintf(text, PB_HASH_TEXT, "%016" PRIx64, hash);
    return text;
}
