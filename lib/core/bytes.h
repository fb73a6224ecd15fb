/*
 * Numbers as bytes that every machine reads: little-endian, doubles as IEEE 754 binary64.
 */
#ifndef PB_CORE_BYTES_H
#define PB_CORE_BYTES_H

#include "base/buf.h"

#include <stdint.h>

/* Append the low bytes of a number, the lowest first; 1 to 8 of them. */
void pb_bytes_put(struct pb_buf *out, uint64_t value, size_t bytes);
void pb_bytes_put_double(struct pb_buf *out, double value);

/* Read one and step over it; so many bytes are there. */
uint64_t pb_bytes_get(const unsigned char **at, size_t bytes);
double pb_bytes_get_double(const unsigned char **at);

#endif
