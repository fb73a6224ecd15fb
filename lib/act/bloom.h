/* What plants have to give: flowerings and stored pollen, entered by the grower. */
#ifndef PB_ACT_BLOOM_H
#define PB_ACT_BLOOM_H

#include "act/act.h"
#include "core/bloom.h"

/* What a flowering has come to. */
struct pb_blooming {
    const char *code; /* of the plant */
    enum pb_bloom what;
    pb_day on;
};

/*
 * Enter what has been seen of a plant's flowering.
 *   p  in: initialised; out: the plant, yours (pb_plant_clear)
 *   f  out: its newest flowering
 * PB_EINVALID  a day in the future or out of order, a plant that is gone or elsewhere
 */
enum pb_rc pb_act_bloom(struct pb_act *a, const struct pb_blooming *b,
                        struct pb_plant *p, struct pb_flowering *f, struct pb_err *err);

/* Days for which the lot is still held to be good on a day, negative: for so many days no
 * more. */
int pb_pollen_days_left(const struct pb_batch *lot, pb_day today);

#endif
