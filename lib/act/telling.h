/* A life that is being told.  Internal to lifeline.c and lifeline_came.c. */
#ifndef PB_ACT_TELLING_H
#define PB_ACT_TELLING_H

#include "act/lifeline.h"
#include "base/buf.h"

/* What happens on one day is told in this order. */
enum pb_at {
    PB_AT_ORIGIN, /* the pollination that it was raised from */
    PB_AT_SEED,
    PB_AT_SOWN, /* or cut from its mother */
    PB_AT_RESCUED,
    PB_AT_REPLATED,
    PB_AT_COMPOT,
    PB_AT_OUT, /* it is a plant, and here */
    PB_AT_FLOWER,
    PB_AT_POLLEN,
    PB_AT_CROSSED,
    PB_AT_CAPSULE,
    PB_AT_OVER,
    PB_AT_LOOK,
    PB_AT_PARTED, /* cuttings, pups and seedlings, each a plant of its own */
    PB_AT_GONE
};

struct pb_telling {
    struct pb_act *a;
    struct pb_lifeline *list;
    const struct pb_plant *plant; /* whose life it is, NULL: of another record */
    struct pb_buf text;           /* of the line under way */
    bool compot;                  /* one was told of */
};

/* plant: see above */
void pb_telling_begin(struct pb_telling *t, struct pb_act *a, struct pb_lifeline *list,
                      const struct pb_plant *plant);

/* Add what stands in the text, and begin it anew. */
enum pb_rc pb_tell(struct pb_telling *t, enum pb_at at, pb_day on, const char *code,
                   struct pb_err *err);

/* A flask's compot and its rescue, if they were by the day; any other emptying is told of what
 * was made of it.  Of what is no flask nothing. */
enum pb_rc pb_tell_emptied(struct pb_telling *t, const struct pb_batch *b, pb_day by,
                           struct pb_err *err);

/* The list is made: put it into order.  Passes rc on. */
enum pb_rc pb_telling_end(struct pb_telling *t, enum pb_rc rc);

/* "s", but not of one. */
const char *pb_plural(int64_t n);

#endif
