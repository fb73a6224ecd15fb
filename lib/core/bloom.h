/*
 * Flowerings and stored pollen: what a plant has to give to a cross today.
 */
#ifndef PB_CORE_BLOOM_H
#define PB_CORE_BLOOM_H

#include "core/batch.h"

/* What a flowering has come to, in this order.  ORDER BLOOM: pb_bloom_names */
enum pb_bloom {
    PB_BLOOM_SPIKE,
    PB_BLOOM_OPEN,
    PB_BLOOM_OVER,
    PB_BLOOM_DYING, /* the shoot that flowered dies back: the pups carry on */
    PB_BLOOM_N
};
extern const char *const pb_bloom_names[PB_BLOOM_N];

/* One flowering of a plant. */
struct pb_flowering {
    int64_t n;
    int64_t plant; /* row */
    int number;    /* of the plant, from 1 */
    pb_day on[PB_BLOOM_N];
};

/* Number 0, no days. */
void pb_flowering_init(struct pb_flowering *f);

/* Flowers are open: opened, and not over by the end of today. */
bool pb_flowering_is_open(const struct pb_flowering *f, pb_day today);

/* The last thing that it has come to, and when; PB_BLOOM_N where there is nothing. */
enum pb_bloom pb_flowering_last(const struct pb_flowering *f);

/*
 * What has been seen, entered into the newest flowering of a plant.
 *   f     in: the newest flowering, number 0 where there is none.  Out: it with the day,
 *         or a new one (n 0, the next number): a spike of another day always begins one,
 *         flowers that open begin one where the last is past its opening
 *   what, on  what was seen, and when
 * PB_EINVALID  it has come to that already, or the day does not lie in the order of the
 * others; names the days
 */
enum pb_rc pb_flowering_enter(struct pb_flowering *f, enum pb_bloom what, pb_day on,
                              struct pb_err *err);

/* How a lot counts as kept: as somebody said, else by its temperature - below 0 as in a
 * freezer, up to 10 degrees as in a fridge, allowances of ours. */
enum pb_pollen_kept pb_pollen_kept_as(const struct pb_batch *lot);

/*
 * How many days stored pollen is held to be good for.  Where nobody said how it is kept,
 * it counts as in a room.  A guess that the grower's own crosses overrule: pollen is left
 * out of what is suggested, never refused.
 * Source: growers' reports, common practice, and they disagree: pb_pollen_good_words.
 */
int pb_pollen_good_days(enum pb_pollen_kept kept, bool dried);

/* What the sources, where there are several, say of pollen that is kept so; static. */
const char *pb_pollen_good_words(enum pb_pollen_kept kept, bool dried);

#endif
