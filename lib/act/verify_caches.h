/* What the book keeps beside the facts, worked out again.  Internal to verify. */
#ifndef PB_ACT_VERIFY_CACHES_H
#define PB_ACT_VERIFY_CACHES_H

#include "act/timing.h"
#include "book/sound.h"

/* Laws of ripening, as kept and as fitted again. */
struct pb_verify_laws {
    struct pb_act kept, anew;
    int64_t genet;                /* asked about last; 0: none yet */
    const struct pb_profile *row; /* and under which profile */
};

void pb_verify_laws_open(struct pb_verify_laws *l, const struct pb_act *a);
void pb_verify_laws_close(struct pb_verify_laws *l);

/* Does a fit of the facts give the law that the book keeps for this cross's seed parent? */
enum pb_rc pb_verify_laws(struct pb_verify_laws *l, const struct pb_cross *x,
                          pb_fault_each *each, void *ctx, struct pb_err *err);

/*
 * What calendars were told: it reads, is what its hash says, and belongs to a record.  That
 * it is not of today is no fault: `calendar` brings it up to date.
 */
enum pb_rc pb_verify_reminders(struct pb_act *a, pb_fault_each *each, void *ctx,
                               struct pb_err *err);

#endif
