/* Records out of the book, one after the other. */
#ifndef PB_ACT_SHARE_H
#define PB_ACT_SHARE_H

#include "act/act.h"
#include "base/buf.h"

/* What leaves the book. */
struct pb_share {
    const char *const *codes; /* of any records; borrowed */
    size_t n;                 /* 0: every record that is or was here */
    bool notes;               /* private texts too */
};

/* Called for each record: its JSON, without a line's end; borrowed for the call. */
typedef enum pb_rc pb_share_each(void *ctx, const char *json, size_t n,
                                 struct pb_err *err);

/*
 * Share records: plants first, then crosses, seed lots, flasks, cuttings, pollen, each kind
 * in the order of entry (or of the codes).  Withdrawn ones too, so that whoever has them learns of it.  In constant memory.
 * PB_ENOTFOUND, PB_EINVALID  a code is not of a record that can be shared; nothing was
 * handed over then
 */
enum pb_rc pb_act_share(struct pb_act *a, const struct pb_share *what,
                        pb_share_each *each, void *ctx, struct pb_err *err);

#endif
