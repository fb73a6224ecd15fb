/*
 * How sowing, cuttings and seedlings have done: shares of what was followed to an outcome,
 * counted from the looks.
 */
#ifndef PB_ACT_RATES_H
#define PB_ACT_RATES_H

#include "act/act.h"
#include "core/setrate.h"

enum { PB_ALIVE_DAYS = 60 }; /* of a seedling: two months after potting */

/* ORDER RATE: pb_rate_names, pb_rate_words */
enum pb_rate {
    PB_RATE_GERMINATION, /* first sown flasks that germinated; the others were discarded
                              clean and ungerminated */
    PB_RATE_CONTAMINATION, /* flasks found contaminated, of those looked at */
    PB_RATE_ROOTING,       /* cuttings that rooted, or settled; the others rotted */
    PB_RATE_SURVIVAL, /* seedlings alive so many days after they left their flask; the
                              others died before, or were missing in their compot.  Counted
                              once those days are over, so that no death counts early */
    PB_RATE_RESCUE_SURVIVAL, /* the same of those rescued from contaminated flasks, which
                              are not among the former */
    PB_RATE_N
};
extern const char *const pb_rate_names[PB_RATE_N]; /* "germination", for JSON */
extern const char *const pb_rate_words[PB_RATE_N]; /* "flasks germinated" */

struct pb_rate_count {
    uint32_t of, yes;
    struct pb_setrate rate; /* Jeffreys, as of the set rate */
};

/* Of which batches. */
struct pb_rates_ask {
    const char *taxon_key; /* of the plants cut, of the seed parents */
    int64_t genet;         /* only of that clone; 0: of all */
    int64_t cross;         /* flasks and seedlings of that cross alone; 0: of all */
};

/*
 * Count them.  What has no outcome yet, was given away or lost is not counted, nor what
 * contradicts itself.
 * Cost: that of the taxon's flasks and cuttings.
 */
enum pb_rc pb_act_rates(struct pb_act *a, const struct pb_rates_ask *ask,
                        struct pb_rate_count rates[PB_RATE_N], struct pb_err *err);

#endif
