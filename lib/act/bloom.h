/* What plants have to give: flowerings and stored pollen, entered by the grower. */
#ifndef PB_ACT_BLOOM_H
#define PB_ACT_BLOOM_H

#include "act/act.h"
#include "base/buf.h"
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

/*
 * Append what speaks against the age of the pollinated flowers, a line: they are younger
 * or older than a stigma takes pollen by the profile, with its source; nothing where no
 * profile says or no age is known.  The age is the cross's, else that of the flowering
 * that was open then, counted from its first flower.  A warning; no cross is refused by it.
 */
enum pb_rc pb_stigma_words(struct pb_act *a, const struct pb_cross *x,
                           struct pb_buf *out, struct pb_err *err);

/* Append, a line each, whose fresh pollen cannot have been fresh: the plant had left before the
 * day of the pollination.  A warning, as above. */
enum pb_rc pb_pollen_words(struct pb_act *a, const struct pb_cross *x,
                           struct pb_buf *out, struct pb_err *err);

/* Append the sources of a stage of a profile, in words. */
void pb_stage_sources(const struct pb_profile_match *m,
                      const struct pb_profile_stage *stage, struct pb_buf *out);

/* Days for which the lot is still held to be good on a day, negative: for so many days no
 * more. */
int pb_pollen_days_left(const struct pb_batch *lot, pb_day today);

#endif
