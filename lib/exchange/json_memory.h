/*
 * jansson when memory runs out.  Internal to exchange (see json_read.h).
 *
 * jansson 2.14 does not look at every allocation: its parser reports a fault of the syntax
 * then, or drops a character and goes on, or reads past a token buffer that could not grow;
 * its writer may drop a member.  So its allocations are watched.  The first use puts
 * watching functions before the allocator that jansson has; that one still does the work,
 * but for a document it is asked for the whole, not for each value.
 *
 * And what jansson writes raw, though no terminal should be handed it.
 */
#ifndef PB_EXCHANGE_JSON_MEMORY_H
#define PB_EXCHANGE_JSON_MEMORY_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

/*
 * How many allocations of jansson failed in this thread so far.  What it wrote or built is
 * good only if the number is the same before and behind.
 */
unsigned pb_json_failures(void);

/*
 * json_loadb, left at the first allocation that fails.
 *   no_memory  out: one failed; nothing is left allocated, the result is NULL
 * What is read comes back in the thread that read it.  Its memory is given back when the last
 * value of all documents that the thread read has come back.
 */
json_t *pb_json_loadb(const char *text, size_t n, size_t flags, json_error_t *fault,
                      bool *no_memory);

/*
 * A callback of json_dump_callback: append to out, a struct pb_buf.  The characters of
 * pb_text_is_control that JSON lets stand, as only a mangled book holds them, are written
 * by their number: in a JSON text they can only be part of a string.
 */
int pb_json_append(const char *bytes, size_t n, void *out);

#endif
