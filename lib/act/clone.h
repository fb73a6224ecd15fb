/* One clone is one taxon: a pup, a cutting, a division is what its source is. */
#ifndef PB_ACT_CLONE_H
#define PB_ACT_CLONE_H

#include "act/act.h"
#include "base/buf.h"

enum { PB_CLONE_BYTES = 1 << 20 }; /* room for the codes of a clone */

/*
 * Is a plant of the taxon of its source?  One without a source passes.
 *   what  the field that names the source, for the message
 * PB_EINVALID  it is not: names both, with their taxa, and the remedies
 */
enum pb_rc pb_clone_check(struct pb_act *a, const char *what, const struct pb_plant *p,
                          struct pb_err *err);

/*
 * The taxon of a plant was put right: so is that of its pups, cuttings and divisions, at
 * any remove.  Those that spell the new taxon in a way of their own keep it.  Only inside
 * an act; p is in the book as it is now.
 *   before  its taxon as it was
 *   codes   appended to: those that were changed, separated by commas
 */
enum pb_rc pb_clone_carry(struct pb_act *a, const struct pb_plant *p,
                          const char *before, struct pb_buf *codes, struct pb_err *err);

#endif
