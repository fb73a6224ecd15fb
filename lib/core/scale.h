/*
 * The scales that stages of protocorms are told on.  Published ones differ, most of all in
 * what stage 1 is, so a stage goes with the name of its scale; podbook-look(1) has the stages
 * of those that are known here.
 */
#ifndef PB_CORE_SCALE_H
#define PB_CORE_SCALE_H

#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>

/*
 * Can it be a name?  It has three letters or more and, else, digits, blanks and what stands
 * between names and years.  Bytes above 127 count as letters.
 * PB_EINVALID  says so
 */
enum pb_rc pb_scale_check(const char *name, struct pb_err *err);

/* Are they one scale?  Case, dots, commas and brackets do not matter, "&" is "and". */
bool pb_scale_same(const char *a, const char *b);

/* Is it, in the same way, one of those that are known here? */
bool pb_scale_is_known(const char *name);

/* The known one that was perhaps meant, NULL: none. */
const char *pb_scale_meant(const char *name);

/* The name of the i-th known one, NULL: there are no more. */
const char *pb_scale_name(size_t i);

#endif
