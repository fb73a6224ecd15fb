/* Records out of the book, one after the other. */
#ifndef PB_ACT_SHARE_H
#define PB_ACT_SHARE_H

#include "act/act.h"
#include "base/buf.h"
#include "core/view.h"

/* What leaves the book. */
struct pb_share {
    const char *const *codes; /* of plants and crosses; borrowed */
    size_t n;                 /* 0: every plant that is or was here, every cross */
    bool notes;               /* private texts too */
};

/* Called for each record: its JSON, without a line's end; borrowed for the call. */
typedef enum pb_rc pb_share_each(void *ctx, const char *json, size_t n,
                                 struct pb_err *err);

/*
 * Share records: plants first, then crosses, each in the order of entry (or of the codes).
 * Withdrawn ones too, so that whoever has them learns of it.  In constant memory.
 * PB_ENOTFOUND, PB_EINVALID  a code is not of a record that can be shared; nothing was
 * handed over then
 */
enum pb_rc pb_act_share(struct pb_act *a, const struct pb_share *what,
                        pb_share_each *each, void *ctx, struct pb_err *err);

/* Append one plant as JSON, the taxa of its stated parents with it; one cross, with what
 * is computed of it.  The marks of doubtful parents that they stand under are told too. */
enum pb_rc pb_share_plant(struct pb_act *a, const struct pb_plant *p, bool notes,
                          struct pb_buf *out, struct pb_err *err);
enum pb_rc pb_share_cross(struct pb_act *a, const struct pb_cross *x,
                          const struct pb_cross_view *view, bool notes,
                          struct pb_buf *out, struct pb_err *err);

#endif
