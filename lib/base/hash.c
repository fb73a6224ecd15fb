/* FNV-1a, 64 bits.  See hash.h. */
#include "base/hash.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

/*
 * hash times the prime 2^40 + 0x1b3, modulo 2^64, in halves of 32 bits: no product passes
 * 64 bits, so a build that traps on wrapping stays quiet.
 */
static uint64_t times_prime(uint64_t hash)
{
    const uint64_t half = UINT64_C(0xffffffff), prime_low = 0x1b3, prime_high = 0x100;
    uint64_t low = hash & half, high = hash >> 32;
    uint64_t product = low * prime_low;
    uint64_t upper = (product >> 32) + high * prime_low + low * prime_high;
    return ((upper & half) << 32) | (product & half);
}

uint64_t pb_hash_bytes(uint64_t hash, const void *bytes, size_t n)
{
    const unsigned char *p = bytes;
    for (size_t i = 0; i < n; i++)
        hash = times_prime(hash ^ p[i]);
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
