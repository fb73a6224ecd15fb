/* One record as JSON, with all that is told with it. */
#ifndef PB_ACT_SHARE_RECORD_H
#define PB_ACT_SHARE_RECORD_H

#include "act/batch.h"
#include "act/timing.h"
#include "base/buf.h"
#include "exchange/record.h"

/* What is told of a plant of the book beside itself: its flowerings and looks, the taxa of
 * its stated parents.
 *   more  in: all zero; out: pb_plant_more_clear, on an error too */
enum pb_rc pb_plant_more_load(struct pb_act *a, const struct pb_plant *p,
                              struct pb_plant_more *more, struct pb_err *err);

/*
 * Append one record, what is computed of it too.
 *   notes  private texts as well
 *   view, o  what is worked out of it
 */
enum pb_rc pb_share_plant(struct pb_act *a, const struct pb_plant *p, bool notes,
                          struct pb_buf *out, struct pb_err *err);
enum pb_rc pb_share_cross(struct pb_act *a, const struct pb_cross *x,
                          const struct pb_cross_view *view, bool notes,
                          struct pb_buf *out, struct pb_err *err);
/* A seed lot or flask carries its whole cross, cuttings and pollen the plant; o: NULL: it is
 * worked out here. */
enum pb_rc pb_share_batch(struct pb_act *a, const struct pb_batch *b,
                          const struct pb_batch_outlook *o, bool notes,
                          struct pb_buf *out, struct pb_err *err);

#endif
