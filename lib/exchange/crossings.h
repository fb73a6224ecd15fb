/*
 * A cross as the open Breeding API (version 2.1) has them: the Cross object of its
 * germplasm module, JSON.
 *
 * Its germplasm is our clone, its observation unit our plant; what it has no key for stands
 * under additionalInfo and in crossAttributes.  podbook-share(1) lists key by key.
 */
#ifndef PB_EXCHANGE_CROSSINGS_H
#define PB_EXCHANGE_CROSSINGS_H

#include "base/buf.h"
#include "core/record.h"
#include "core/view.h"

/* What became of the pollination. */
enum pb_success { PB_SUCCESS_PENDING, PB_SUCCESS_YES, PB_SUCCESS_NO };

/* What is told beside the cross itself; borrowed. */
struct pb_crossing {
    const struct pb_cross_view *view;
    enum pb_success success; /* pending: not said */
    const char *doubtful; /* why its parents are not believed; NULL, empty: they are */
    bool notes;           /* the private texts too */
};

/*
 * Append one object, without a line's end, keys sorted.
 * PB_EPARSE  a text of it is no UTF-8: a mangled book    PB_ELIMIT, PB_ENOMEM
 */
enum pb_rc pb_crossing_write(const struct pb_cross *x, const struct pb_crossing *told,
                             struct pb_buf *out, struct pb_err *err);

#endif
