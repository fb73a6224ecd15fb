/* What the seedlings of a cross are called before anybody names them. */
#ifndef PB_CORE_PROGENY_H
#define PB_CORE_PROGENY_H

#include "base/buf.h"
#include "core/record.h"

/*
 * The taxon of the seedlings, without the names of clones, which end with the parents.
 *   out  appended to: of one species (or one genus and nothing more) that name; of one genus
 *        the registered name where the cross has one; else the formula, seed parent first,
 *        a parent that is a formula itself in brackets, one that is not known - or one of
 *        several - as "unknown"
 * PB_ELIMIT  longer than a taxon may be, or than out takes    PB_ENOMEM
 */
enum pb_rc pb_progeny_taxon(const struct pb_cross *x, struct pb_buf *out,
                            struct pb_err *err);

/*
 * Append the formula of two parents, the seed parent first: one that is a formula itself in
 * brackets, NULL as "unknown".
 *   brief  for a narrow column: a genus by its initial; one name alone where both have it
 */
void pb_parents_formula(const char *seed, const char *pollen, bool brief,
                        struct pb_buf *out);

#endif
