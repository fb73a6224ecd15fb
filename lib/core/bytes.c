/* Numbers as bytes.  See bytes.h. */
#include "core/bytes.h"

#include <string.h>

void pb_bytes_put(struct pb_buf *out, uint64_t value, size_t bytes)
{
    for (size_t i = 0; i < bytes; i++)
        pb_buf_addc(out, (char)(unsigned char)(value >> (8 * i) & 0xFFU));
}

void pb_bytes_put_double(struct pb_buf *out, double value)
{
    uint64_t bits = 0;
    memcpy(&bits, &value, sizeof(bits));
    pb_bytes_put(out, bits, sizeof(bits));
}

uint64_t pb_bytes_get(const unsigned char **at, size_t bytes)
{
    uint64_t value = 0;
    for (size_t i = 0; i < bytes; i++)
        value |= (uint64_t)(*at)[i] << (8 * i);
    *at += bytes;
    return value;
}

double pb_bytes_get_double(const unsigned char **at)
{
    /* written out, so that compilers make one load of it: laws are long rows of these */
    const unsigned char *p = *at;
    uint64_t bits = (uint64_t)p[0] | (uint64_t)p[1] << 8 | (uint64_t)p[2] << 16 |
                    (uint64_t)p[3] << 24 | (uint64_t)p[4] << 32 | (uint64_t)p[5] << 40 |
                    (uint64_t)p[6] << 48 | (uint64_t)p[7] << 56;
    double value = 0;
    *at += sizeof(bits);
    memcpy(&value, &bits, sizeof(value));
    return value;
}
